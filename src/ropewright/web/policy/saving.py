"""Saving versions of the rules: the first one, the next one, an older one taken up again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import IntegrityError, transaction

from ropewright.web.accounts.models import Account
from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.now import forget_rules
from ropewright.web.policy.shipped import shipped_intervals, shipped_ratios, shipped_rules

__all__ = ["KEPT", "Stale", "first_version", "next_version", "take_up_again"]

KEPT = (
    "name",
    "team",
    "zone",
    "units",
    "edition",
    "rules",
    "words",
    "intervals",
    "ratios",
    "reserve",
    "retention",
)
"""The columns that say what the rules are; the others say who saved them, when and why."""


class Stale(Exception):  # noqa: N818 - nothing is wrong with what was asked, only with when
    """Somebody else saved a version since; ``newest`` is theirs."""

    def __init__(self, newest: PolicyVersion) -> None:
        super().__init__(f"version {newest.number} was saved meanwhile")
        self.newest = newest


def first_version(team: str, zone: str, units: str, author: Account | None) -> PolicyVersion:
    """Make version 1 of a team's rules: the shipped ones under its name."""
    version = PolicyVersion.objects.create(
        number=1,
        name=f"{team} policy",
        team=team,
        zone=zone,
        units=units,
        rules=shipped_rules(),
        ratios=shipped_ratios(),
        intervals=shipped_intervals(),
        author=author,
        note="the shipped figures, taken over as they are",
    )
    forget_rules()
    return version


def next_version(columns: Mapping[str, Any], base: int, author: Account, note: str) -> PolicyVersion:
    """Save the version after ``base``. Errors: Stale where that one is there already.

    The unique number decides between two who save at once.
    """
    newest = PolicyVersion.objects.first()
    if newest is not None and newest.number != base:
        raise Stale(newest)
    try:
        with transaction.atomic():
            version = PolicyVersion.objects.create(
                **{key: columns[key] for key in KEPT}, number=base + 1, author=author, note=note
            )
    except IntegrityError:
        newest = PolicyVersion.objects.first()
        if newest is None or newest.number <= base:
            raise
        raise Stale(newest) from None
    forget_rules()
    return version


def take_up_again(old: PolicyVersion, base: int, author: Account, why: str) -> PolicyVersion:
    """Save what an older version says as the next one. Errors: Stale."""
    columns = {key: getattr(old, key) for key in KEPT}
    return next_version(columns, base, author, f"version {old.number} taken up again: {why}"[:400])
