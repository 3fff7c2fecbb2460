"""Cutting a rope: the pieces are new items with marks of their own, the rope that was cut is retired."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from ropewright.web.accounts.models import Account
from ropewright.web.gear.kinds import kind_of
from ropewright.web.gear.models import Item
from ropewright.web.gear.refusals import CutError
from ropewright.web.gear.states import enter, is_out, lock, retire
from ropewright.web.shown import shown

__all__ = ["SHORTEST", "Piece", "can_be_cut", "cut", "lineage"]

SHORTEST = 0.3
"""The shortest piece [m] that is kept as an item."""
_COPIED = (
    "type", "name", "colour", "size", "diameter", "material", "textile", "standard", "grade", "strength",
    "working_load", "user_mass", "serial", "supplier", "made", "bought", "first_used", "instructions",
    "place", "kit",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece: its new mark and its length [m]."""

    mark: str
    length: float


def can_be_cut(item: Item) -> str:
    """Why an item can't be cut, or nothing."""
    if kind_of(item.type).family != "rope":
        return "only ropes and cords are cut"
    if item.state == Item.State.RETIRED:
        return f"{item.mark} is retired, which is final"
    if item.state == Item.State.ISSUED or is_out(item):  # what is quarantined may be out with somebody
        return f"{item.mark} is given out; take it back first"
    if item.length is None:
        return f"nobody stated how long {item.mark} is; measure it and enter its length first"
    return ""


@transaction.atomic
def cut(pk: int, pieces: Sequence[Piece], why: str, by: Account) -> list[Item]:
    """Cut a rope into pieces; what they don't use is destroyed. Errors: CutError, with nothing changed.

    A piece has never been inspected under its own mark, so it is due; one of a quarantined rope is
    quarantined as that was, until it is inspected.
    """
    (item,) = lock(pk)
    faults = list(_faults(item, pieces))
    if faults:
        raise CutError(*faults)
    held = item.state == Item.State.QUARANTINED
    first = f"cut from {item.mark}: {why}" + (f"; that was quarantined: {item.reason}" if held else "")
    made = [
        enter(
            Item(
                mark=piece.mark,
                length=piece.length,
                cut_from=item,
                **{name: getattr(item, name) for name in _COPIED},
            ),
            by,
            first[:300],
            quarantined=held,
        )
        for piece in pieces
    ]
    retire(item.pk, f"cut into {', '.join(piece.mark for piece in pieces)}: {why}", by)
    return made


def _faults(item: Item, pieces: Sequence[Piece]) -> list[str]:
    why_not = can_be_cut(item)
    if why_not or item.length is None:
        return [why_not]
    faults = []
    if not pieces:
        faults.append("a cut makes a piece at the least; give its mark and length")
    marks = [piece.mark.casefold() for piece in pieces]
    faults += [f"two pieces have the mark {mark}" for mark in dict.fromkeys(marks) if marks.count(mark) > 1]
    for piece in pieces:
        if Item.objects.filter(mark__iexact=piece.mark).exists():
            faults.append(f"another item has the mark {piece.mark}; a piece needs a mark of its own")
        if piece.length < SHORTEST:
            faults.append(
                f"{piece.mark} is {shown(piece.length, 'length')}; "
                f"a piece is {shown(SHORTEST, 'length')} or more"
            )
    whole = sum(piece.length for piece in pieces)
    if whole > item.length * (1 + 1e-9):
        faults.append(
            f"the pieces are {shown(whole, 'length')} together; "
            f"{item.mark} is only {shown(item.length, 'length')}"
        )
    return faults


def lineage(item: Item) -> list[Item]:
    """What an item was cut from, and what that was cut from, nearest first."""
    found: list[Item] = []
    above = item.cut_from
    while above is not None and above not in found:
        found.append(above)
        above = above.cut_from
    return found
