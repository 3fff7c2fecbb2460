"""From a card to PDF and PNG: the largest type at which it takes one page, else two."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any, Literal

from .glyphs import everywhere
from .ink import LEAST_SIZE
from .model import Card, Paper
from .typesetter import PressError, compiler, count_pages

if TYPE_CHECKING:
    import typst

__all__ = ["MOST_PAGES", "PressError", "Printed", "pages_png", "print_card"]

MOST_PAGES = 2
SIZES = (LEAST_SIZE, 8.5, 9.0, 9.5, 10.0)
"""Type sizes [pt] that are tried; the largest that takes no more pages than the least wins."""
_SPARE = (3, 2, 1)
_ROOM: dict[Paper, tuple[float, float]] = {"a4": (555.0, 690.0), "us-letter": (572.0, 640.0)}
"""Width and height [pt] that a picture may take above the sections."""
_ALONE: dict[Paper, tuple[float, float]] = {"a4": (555.0, 760.0), "us-letter": (572.0, 710.0)}
_ACROSS: dict[Paper, tuple[float, float]] = {"a4": (800.0, 515.0), "us-letter": (750.0, 530.0)}
"""What it may take on a page of its own, upright and with the long side across."""
_Place = Literal["", "upright", "across"]
"""The page of its own that a picture has; empty for one that stands among the sections."""


@dataclass(frozen=True, slots=True)
class Printed:
    """A card as PDF, how many pages it takes, the size of its type [pt], whether its check has a
    column of its own, whether its short sections are whole, and the card that is on it.
    """

    pdf: bytes
    pages: int
    size: float
    alone: bool
    together: bool
    card: Card


def print_card(card: Card, paper: Paper = "a4") -> Printed:
    """Print a card on one page if it fits at the smallest type, else on two; larger type where there is room.

    A picture too large to stand among the sections has a page to itself after them. What may be spared is
    left out, and said to be, where even two pages are not enough; a card that still takes more gets more
    pages rather than a check with rows missing. Errors: PressError.
    """
    for shorter in _shorter(card, _place(card, paper)):
        sheet = _Sheet(shorter, paper)
        pages = sheet.pages(_LEAST)
        if pages <= MOST_PAGES:
            break
    form = _largest(sheet, pages)
    return Printed(sheet.pdf(form), pages + sheet.beside, form.size, form.alone, form.together, sheet.card)


def _place(card: Card, paper: Paper) -> _Place | None:
    """Where the picture has room at a size at which its words can be read; None where it has none."""
    if card.picture is None:
        return ""
    rooms: tuple[tuple[_Place, tuple[float, float]], ...] = (
        ("", _ROOM[paper]),
        ("upright", _ALONE[paper]),
        ("across", _ACROSS[paper]),
    )
    wide, high = card.picture.width, card.picture.height
    return next((place for place, room in rooms if wide <= room[0] and high <= room[1]), None)


def _shorter(card: Card, place: _Place | None) -> Iterator[Card]:
    """The card whole, then with less and less on it."""
    never = _SPARE[0] + 1
    yield card.without(never, picture=place is None)
    for spare in _SPARE:
        yield card.without(spare, picture=place is None)
    if place == "":  # one with a page of its own takes no room from the sections
        yield card.without(_SPARE[-1], picture=True)


def pages_png(printed: Printed, paper: Paper = "a4", dots: float = 150.0) -> list[bytes]:
    """Each page of a printed card as PNG, `dots` an inch."""
    return _Sheet(printed.card, paper).png(_Form(printed.size, printed.alone, printed.together), dots)


@dataclass(frozen=True, slots=True)
class _Form:
    """The size of the type [pt]; ``alone``: with the check last, in a column of its own; ``together``: no
    section that is shorter than half a page is torn.
    """

    size: float
    alone: bool
    together: bool


_LEAST = _Form(LEAST_SIZE, alone=False, together=False)


def _largest(sheet: _Sheet, pages: int) -> _Form:
    """The largest type at which a sheet takes no more pages, its sections whole where they fit so; of several
    pages first with the check in a column of its own.
    """
    if pages > 1:
        for together in (True, False):
            form = _within(sheet, pages, alone=True, together=together)
            if form is not None:
                return form
    return (
        _within(sheet, pages, alone=False, together=True)
        or _within(sheet, pages, alone=False, together=False)
        or _LEAST
    )


def _within(sheet: _Sheet, pages: int, *, alone: bool, together: bool) -> _Form | None:
    """The largest type of a form that takes no more pages; None where its least takes more."""
    forms = [_Form(size, alone, together) for size in SIZES]
    if sheet.pages(forms[0]) > pages:
        return None
    low, high = 0, len(forms) - 1
    while low < high:
        middle = (low + high + 1) // 2
        if sheet.pages(forms[middle]) <= pages:
            low = middle
        else:
            high = middle - 1
    return forms[low]


class _Sheet:
    """A card on its way through the typesetter; each size is set once."""

    def __init__(self, card: Card, paper: Paper) -> None:
        self.card = card
        data = everywhere({k: v for k, v in asdict(card).items() if k != "picture"})
        picture, place = card.picture, _place(card, paper)
        self.beside = 1 if place else 0
        """How many pages it takes beside those of its sections."""
        data["picture"] = picture and {
            "page": place,
            "svg": picture.svg,
            "width": picture.width,
            "height": picture.height,
            "alt": everywhere(picture.alt),
        }
        self._data = {**data, "paper": paper}
        self._done: dict[_Form, bytes] = {}

    def pages(self, form: _Form) -> int:
        """How many pages its sections take."""
        return count_pages(self.pdf(form)) - self.beside

    def pdf(self, form: _Form) -> bytes:
        """The sheet as tagged PDF."""
        if form not in self._done:
            self._done[form] = bytes(self._made(form, format="pdf", pdf_standards="ua-1"))
        return self._done[form]

    def png(self, form: _Form, dots: float) -> list[bytes]:
        """Each page as PNG."""
        made = self._made(form, format="png", ppi=dots)
        return [bytes(page) for page in (made if isinstance(made, list) else [made])]

    def _text(self, alone: bool) -> str:
        """The data; with the check last where it stands alone."""
        data = self._data
        if alone:
            sections = sorted(data["sections"], key=lambda s: bool(s["key"] == "check"))
            data = {**data, "sections": sections}
        return json.dumps(data, ensure_ascii=True)

    def _made(self, form: _Form, **how: Any) -> Any:
        import typst

        try:
            return _compiler().compile(
                sys_inputs={
                    "data": self._text(form.alone),
                    "size": f"{form.size:g}",
                    "alone": "yes" if form.alone else "no",
                    "together": "yes" if form.together else "no",
                },
                **how,
            )
        except typst.TypstError as error:
            said = " ".join(str(error).split())
            raise PressError(f"the card of {self.card.file} can't be printed: {said[:300]}") from None


def _compiler() -> typst.Compiler:
    """The typesetter with the card's form."""
    return compiler("card.typ")
