"""A picture as PNG, by the typesetter that also makes the sheets."""

from __future__ import annotations

import json
from functools import cache
from typing import TYPE_CHECKING, Protocol

from ropewright.errors import RopewrightError

from .text import font_folder

if TYPE_CHECKING:
    from typst import Fonts

__all__ = ["PictureError", "png"]

DOTS = 192.0
"""Dots per inch: two for each page unit."""


class PictureError(RopewrightError):
    """A picture that can't be turned into dots."""


class _Drawn(Protocol):
    @property
    def svg(self) -> str: ...
    @property
    def width(self) -> float: ...
    @property
    def height(self) -> float: ...
    @property
    def alt(self) -> str: ...


_PAGE = """
#let d = json(bytes(sys.inputs.data))
#set page(width: d.width * 0.75pt, height: d.height * 0.75pt, margin: 0pt)
#image(bytes(d.svg), format: "svg", width: 100%, height: 100%, alt: d.alt)
"""


def png(picture: _Drawn, dots: float = DOTS) -> bytes:
    """Return the picture as PNG, `dots` an inch (a page unit is 1/96 inch)."""
    import typst  # 80 MB of library: only when dots are asked for

    data = {"svg": picture.svg, "width": picture.width, "height": picture.height, "alt": picture.alt}
    try:
        return typst.compile(
            _PAGE.encode(),
            format="png",
            ppi=dots,
            sys_inputs={"data": json.dumps(data)},
            font_paths=_typeface(),
        )
    except typst.TypstError as error:
        raise PictureError(f"the picture can't be turned into dots: {error}") from None


@cache
def _typeface() -> Fonts:
    """The drawing's own typeface and no other, so that a picture looks alike everywhere."""
    import typst

    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(font_folder())]
    )
