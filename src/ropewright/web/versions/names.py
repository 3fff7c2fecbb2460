"""The name of a file in addresses: made from its title, free, and no word of its room's own addresses."""

from __future__ import annotations

from collections.abc import Collection

from django.utils.text import slugify

from ropewright.web.versions.models import VersionedFile

__all__ = ["free_name", "name_of"]


def name_of(title: str, noun: str, own_words: Collection[str]) -> str:
    """The name that follows from a title: "Haul, 3:1" gives "haul-3-1"; the noun where nothing is left.

    own_words: those that stand in an address where a file's name could stand.
    """
    name = slugify(title.replace(":", "-"))[:70].strip("-_") or noun
    return f"{name}-{noun}" if name in own_words else name


def free_name(files: type[VersionedFile], name: str) -> str:
    """A name, with the first number behind it that makes it a new one."""
    taken = set(files._default_manager.filter(slug__startswith=name).values_list("slug", flat=True))
    number, found = 2, name
    while found in taken:
        number, found = number + 1, f"{name}-{number}"
    return found
