"""A rig on paper: its card as PDF, its picture as PNG."""

from __future__ import annotations

from base64 import b64decode, b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

from django.utils import timezone

from ropewright.drawing import png
from ropewright.rig import Rig as RigRead
from ropewright.sheets import Paper, card_of, print_card
from ropewright.web.policy.now import TeamRules, rules_now, rules_numbered
from ropewright.web.rigs.models import Rig, RigVersion
from ropewright.web.workings.engine import Tell, check_rig, read_for_team, untold
from ropewright.web.workings.results import kept
from ropewright.web.workings.size import is_heavy
from ropewright.web.workings.waiting import leave_to_worker

__all__ = ["card_pdf", "picture_of", "picture_png", "printed_again"]


def card_pdf(rig: Rig, version: RigVersion, paper: Paper = "a4") -> bytes:
    """The card of a version, judged by the rules in force; that of a large rig is set once, and kept.

    Errors: RigFileError, PressError; StillWorkingError where a large rig's was not set before.
    """
    rules, file = rules_now(), f"{rig.file_name}, version {version.number}"
    read = read_for_team(version.text, rules)
    if not is_heavy(read):
        return _printed(read, file, paper, rules)
    parts = (version.text, rules.number, rules.name, file, paper)
    asked = {"text": version.text, "rules": rules.number, "file": file, "paper": paper}

    def work() -> dict[str, Any]:
        leave_to_worker(read, "rig-card", parts, asked)
        return printed_again(asked)

    return b64decode(kept("rig-card", parts, work)["pdf"])


def printed_again(asked: Mapping[str, Any], tell: Tell = untold) -> dict[str, Any]:
    """A card from plain values, in the form that JSON can hold. Errors: RigFileError, PressError."""
    rules = rules_numbered(asked["rules"])
    pdf = _printed(read_for_team(asked["text"], rules), asked["file"], asked["paper"], rules, tell)
    return {"pdf": b64encode(pdf).decode()}


def _printed(rig: RigRead, file: str, paper: Paper, rules: TeamRules, tell: Tell = untold) -> bytes:
    """The card of a rig that was read, with the time by the team's clock. Errors: PressError."""
    done = check_rig(rig, rules, tell)
    card = card_of(
        done.examination,
        done.bare,
        file=file,
        time=f"{timezone.localtime(timezone=ZoneInfo(rules.zone)):%Y-%m-%d %H:%M}",
        units=rules.units,
        found=done.findings,
    )
    return print_card(card, paper).pdf


def picture_of(text: str, svg: str) -> bytes:
    """The picture of a text, drawn as ``svg``, as PNG; that of a large rig is made once, and kept.

    Errors: RigFileError, PictureError; StillWorkingError where a large rig's was not made before.
    """
    rules = rules_now()
    read = read_for_team(text, rules)
    if not is_heavy(read):
        return picture_png(svg)
    parts = (text, rules.number, rules.name)

    def work() -> dict[str, Any]:
        leave_to_worker(read, "rig-png", parts, {"svg": svg})
        return {"png": b64encode(picture_png(svg)).decode()}

    return b64decode(kept("rig-png", parts, work)["png"])


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
