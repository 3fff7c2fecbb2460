"""What the cache holds: items by their marks, and what keeps one from being used on a day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

__all__ = ["Item", "Reserve", "Trouble", "trouble", "trouble_text"]

Trouble = Literal["", "due", "never inspected", "out"]
"""Why an item can't be used: its inspection is due before the day, nobody ever set a date for one, or it is
issued, quarantined or retired."""


@dataclass(frozen=True, slots=True)
class Item:
    """One piece of gear as its record has it; figures in SI, None where nobody stated them.

    ``due``: the day until which its last inspection holds. ``front_line``: it counts to the reserve.
    ``reason``: why it can't be used whatever the day, in words; empty for an item in service. ``away``: out
    now and wanted back before the day, so that it serves where nothing at hand does.
    """

    mark: str
    type: str
    length: float | None = None
    strength: float | None = None
    user_mass: float | None = None
    size: str = ""
    kit: str = ""
    due: date | None = None
    front_line: bool = False
    reason: str = ""
    away: bool = False


@dataclass(frozen=True, slots=True)
class Reserve:
    """What stays on the rig: so many of a type, ropes at least ``length`` [m] long."""

    type: str
    count: int
    length: float | None = None


def trouble(item: Item, day: date) -> Trouble:
    """What keeps an item from being used on a day; what nobody has inspected never passes."""
    if item.reason:
        return "out"
    if item.due is None:
        return "never inspected"
    return "due" if item.due < day else ""


def trouble_text(item: Item, day: date) -> str:
    """The same in words, empty where nothing does."""
    match trouble(item, day):
        case "out":
            return item.reason
        case "never inspected":
            return "no inspection on record"
        case "due" if item.due is not None:
            days = (day - item.due).days
            return f"inspection due {item.due}, {days} day{'' if days == 1 else 's'} before"
        case _:
            return ""
