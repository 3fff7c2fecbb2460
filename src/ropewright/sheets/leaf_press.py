"""A procedure's sheet as PDF and PNG: the largest type at which it takes no more pages than the least."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import Any

from .glyphs import everywhere
from .leaf import Leaf
from .model import Paper
from .typesetter import PressError, compiler, count_pages

__all__ = ["PrintedLeaf", "leaf_png", "print_leaf"]

SIZES = (8.5, 9.0, 10.0, 11.0)
SMALL = (8.5, 9.5, 10.0)
"""Type sizes [pt] that are tried, the smaller ones where pictures ask for the room."""


@dataclass(frozen=True, slots=True)
class PrintedLeaf:
    """A sheet as tagged PDF, how many pages it takes, and the size of its type [pt]."""

    pdf: bytes
    pages: int
    size: float


def print_leaf(leaf: Leaf, paper: Paper = "a4") -> PrintedLeaf:
    """Print a sheet. Errors: PressError."""
    data = _data(leaf, paper)
    sizes = SMALL if any(b.scenes for b in leaf.blocks) else SIZES
    best: PrintedLeaf | None = None
    for size in sizes:
        pdf = bytes(_made(leaf, data, size, format="pdf", pdf_standards="ua-1"))
        printed = PrintedLeaf(pdf, count_pages(pdf), size)
        if best is not None and printed.pages > best.pages:
            break
        best = printed
    assert best is not None
    return best


def leaf_png(leaf: Leaf, size: float, paper: Paper = "a4", dots: float = 110.0) -> list[bytes]:
    """Each page of a sheet as PNG, `dots` an inch."""
    made = _made(leaf, _data(leaf, paper), size, format="png", ppi=dots)
    return [bytes(page) for page in (made if isinstance(made, list) else [made])]


def _data(leaf: Leaf, paper: Paper) -> str:
    data = asdict(leaf)
    for block in data["blocks"]:
        for scene in block["scenes"]:
            picture = scene["picture"]
            if picture is not None:
                scene["picture"] = {**picture, "svg": _Whole(picture["svg"])}
    return json.dumps(_shown({**data, "paper": paper}), ensure_ascii=True)


class _Whole(str):
    """A picture's text, whose words were made fit to print when it was made."""


def _shown(data: Any) -> Any:
    if isinstance(data, _Whole):
        return str(data)
    if isinstance(data, dict):
        return {key: _shown(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_shown(value) for value in data]
    return everywhere(data)


def _made(leaf: Leaf, data: str, size: float, **how: Any) -> Any:
    import typst

    try:
        return compiler("leaf.typ").compile(sys_inputs={"data": data, "size": f"{size:g}"}, **how)
    except typst.TypstError as error:
        said = " ".join(str(error).split())
        raise PressError(f"the {leaf.kind.lower()} of {leaf.file} can't be printed: {said[:300]}") from None
