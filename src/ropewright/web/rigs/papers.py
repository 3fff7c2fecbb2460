"""A rig on paper: its card as PDF, its picture as PNG."""

from __future__ import annotations

from dataclasses import dataclass
from xml.etree import ElementTree

from django.utils import timezone

from ropewright.drawing import png
from ropewright.sheets import Paper, card_of, print_card
from ropewright.web.policy.now import rules_now
from ropewright.web.rigs.models import Rig, RigVersion
from ropewright.web.workings.engine import check

__all__ = ["card_pdf", "picture_png"]


def card_pdf(rig: Rig, version: RigVersion, paper: Paper = "a4") -> bytes:
    """The card of a version, judged by the rules in force. Errors: RigFileError, PressError."""
    rules = rules_now()
    done = check(version.text, rules)
    card = card_of(
        done.examination,
        done.bare,
        file=f"{rig.file_name}, version {version.number}",
        time=f"{timezone.localtime():%Y-%m-%d %H:%M}",
        units=rules.units,
        found=done.findings,
    )
    return print_card(card, paper).pdf


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A picture read back from its SVG."""

    svg: str
    width: float
    height: float
    alt: str


def picture_png(svg: str) -> bytes:
    """A picture of our own drawing as PNG. Errors: PictureError."""
    root = ElementTree.fromstring(svg)
    alt = root.findtext("{http://www.w3.org/2000/svg}desc") or ""
    return png(_Drawn(svg, float(root.get("width", "0")), float(root.get("height", "0")), alt))
