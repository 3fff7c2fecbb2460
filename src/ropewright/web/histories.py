"""What was changed on a thing, by whom and when, out of the records that are kept at every save."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Any

__all__ = ["Change", "Told", "changes"]

Told = tuple[str, Callable[[Any], str]]
"""The name of a field for people, and how its value is told."""


@dataclass(frozen=True, slots=True)
class Change:
    """One save: when, by whom (nobody where the app did it), and each field's value before and after.

    ``about``: the thing, where several are told in one list; ``kind``: added, changed or removed.
    """

    when: datetime
    who: str
    kind: str
    fields: tuple[tuple[str, str, str], ...]
    about: str = ""


def changes(records: Iterable[Any], fields: Mapping[str, Told], about: str = "") -> list[Change]:
    """The saves among the records of one thing, given newest first; those that changed no such field are not
    told.
    """
    found = list(records)
    out = []
    for after, before in pairwise([*found, None]):
        if after.history_type == "-":
            out.append(_change(after, "removed", (), about))
            continue
        first = before is None or after.history_type == "+"
        told = tuple(
            (words, "" if first else show(getattr(before, name)), show(getattr(after, name)))
            for name, (words, show) in fields.items()
            if (show(getattr(after, name)) if first else getattr(before, name) != getattr(after, name))
        )
        if told or first:
            out.append(_change(after, "added" if first else "changed", told, about))
    return out


def _change(record: Any, kind: str, told: tuple[tuple[str, str, str], ...], about: str) -> Change:
    who = record.history_user
    return Change(record.history_date, str(who) if who else "", kind, told, about)
