"""What is refused in the cache, and why: one base, so that every page can show every reason."""

from __future__ import annotations

from ropewright.errors import RopewrightError

__all__ = ["CutError", "EventError", "GearError", "InspectionError", "IssueError", "StateError", "UseError"]


class GearError(RopewrightError):
    """Something that can't be done with gear; `faults` holds every reason, one line each."""

    def __init__(self, *faults: str) -> None:
        super().__init__("\n".join(faults))
        self.faults = faults


class StateError(GearError):
    """What was asked can't follow the state that the item is in."""


class InspectionError(GearError):
    """An inspection that contradicts itself, the policy or the item's record."""


class UseError(GearError):
    """A line of the use log that can't be true, or that was corrected already."""


class CutError(GearError):
    """A cut that can't be made."""


class IssueError(GearError):
    """Something that can't be given out. ``short``: whether the front-line reserve is among the reasons."""

    def __init__(self, *faults: str, short: bool = False) -> None:
        super().__init__(*faults)
        self.short = short


class EventError(GearError):
    """An event that can't be reported as it stands."""
