"""The typesetter: one for each form, its fonts read once."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from ropewright.drawing import font_folder
from ropewright.errors import RopewrightError

if TYPE_CHECKING:
    import typst

__all__ = ["PressError", "compiler", "count_pages"]


class PressError(RopewrightError):
    """A sheet that the typesetter refuses."""


@cache
def compiler(form: str, package: str = "ropewright.sheets") -> typst.Compiler:
    """The typesetter with a form of a package, such as card.typ."""
    import typst  # 80 MB of library: only when something is printed

    path = Path(str(files(package) / form))
    return typst.Compiler(str(path), font_paths=[str(font_folder())], ignore_system_fonts=True)


def count_pages(pdf: bytes) -> int:
    """How many pages a PDF of the typesetter has: its page tree stands in it as plain text."""
    found = re.search(rb"/Type/Pages/Count (\d+)", pdf)
    if found is None:
        raise PressError("the typesetter's PDF has no page tree that can be read")
    return int(found[1])
