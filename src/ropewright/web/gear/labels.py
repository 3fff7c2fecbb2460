"""QR labels: a page of them as PDF, each with an item's mark, the team's name and the sign of its page."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from ropewright.sheets.typesetter import compiler
from ropewright.web.gear.models import Item
from ropewright.web.gear.qr import qr_svg

__all__ = ["PAPERS", "SIZES", "Size", "labels_pdf"]


@dataclass(frozen=True, slots=True)
class Size:
    """A label [mm]. The sign is as high as the label allows; ``beside`` puts the words beside it."""

    words: str
    wide: float
    high: float
    beside: bool


SIZES: Mapping[str, Size] = {
    "small": Size("22 × 28 mm, for carabiners and small gear", 22, 28, False),
    "medium": Size("46 × 25 mm, for devices and slings", 46, 25, True),
    "large": Size("80 × 40 mm, for bags, litters and shelves", 80, 40, True),
}
PAPERS: Mapping[str, str] = {"a4": "A4", "us-letter": "US letter"}


def labels_pdf(
    items: Sequence[Item], address: Callable[[Item], str], team: str, size: Size, paper: str
) -> bytes:
    """The labels as PDF, in the order of the items. ``address`` gives where an item's sign leads."""
    data = {
        "paper": paper,
        "wide": size.wide,
        "high": size.high,
        "beside": size.beside,
        "team": team,
        "labels": [
            {"mark": item.mark, "what": item.name or item.type, "qr": qr_svg(address(item))} for item in items
        ],
    }
    pdf = compiler("labels.typ", "ropewright.web.gear").compile(
        format="pdf", sys_inputs={"data": json.dumps(data)}
    )
    assert isinstance(pdf, bytes)  # a list only where pages come as pictures
    return pdf
