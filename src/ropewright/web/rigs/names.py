"""The name of a rig in addresses and files: made from its title, free, and no word of our own addresses."""

from __future__ import annotations

from django.utils.text import slugify

from ropewright.web.rigs.models import Rig

__all__ = ["OWN_WORDS", "free_name", "name_of"]

OWN_WORDS = frozenset(
    {"new", "edit", "start", "live", "table", "tables", "compare", "upload", "pictures", "cards"}
)
"""Words that stand in an address where a rig's name could stand."""


def name_of(title: str) -> str:
    """The name that follows from a title: "Haul, 3:1" gives "haul-3-1"; "rig" where nothing is left."""
    name = slugify(title.replace(":", "-"))[:70].strip("-_") or "rig"
    return f"{name}-rig" if name in OWN_WORDS else name


def free_name(title: str) -> str:
    """The name that follows from a title, with the first number behind it that makes it a new one."""
    name = name_of(title)
    taken = set(Rig.objects.filter(slug__startswith=name).values_list("slug", flat=True))
    number, found = 2, name
    while found in taken:
        number, found = number + 1, f"{name}-{number}"
    return found
