"""Time zones by their names, as the machine knows them."""

from __future__ import annotations

from functools import cache
from zoneinfo import available_timezones

__all__ = ["zone_names"]

_AREAS = (
    "Africa",
    "America",
    "Antarctica",
    "Arctic",
    "Asia",
    "Atlantic",
    "Australia",
    "Europe",
    "Indian",
    "Pacific",
)


@cache
def zone_names() -> tuple[str, ...]:
    """UTC and every zone that is named after a place, in order."""
    return ("UTC", *sorted(name for name in available_timezones() if name.split("/")[0] in _AREAS))
