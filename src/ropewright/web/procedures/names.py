"""The name of a procedure in addresses and files: made from its title, free, none of our own words."""

from __future__ import annotations

from django.utils.text import slugify

from ropewright.web.procedures.models import Procedure

__all__ = ["OWN_WORDS", "free_name", "name_of"]

OWN_WORDS = frozenset({"new", "upload", "find", "working", "first", "live", "steps"})
"""Words that stand in an address where a procedure's name could stand."""


def name_of(title: str) -> str:
    """The name that follows from a title; "procedure" where nothing is left of it."""
    name = slugify(title.replace(":", "-"))[:70].strip("-_") or "procedure"
    return f"{name}-procedure" if name in OWN_WORDS else name


def free_name(title: str) -> str:
    """The name that follows from a title, with the first number behind it that makes it a new one."""
    name = name_of(title)
    taken = set(Procedure.objects.filter(slug__startswith=name).values_list("slug", flat=True))
    number, found = 2, name
    while found in taken:
        number, found = number + 1, f"{name}-{number}"
    return found
