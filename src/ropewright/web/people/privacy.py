"""What of a person only those who teach and the person themself may read."""

from __future__ import annotations

from ropewright.web.access import sees_mass
from ropewright.web.accounts.models import Account
from ropewright.web.people.models import Person

__all__ = ["PRIVATE", "private_of"]

PRIVATE = ("mass", "weighed", "pull", "pull_measured", "reach", "limits")
"""The columns that no page, list, message or file shows to anybody else."""


def private_of(person: Person, account: Account) -> dict[str, object]:
    """The private columns of a person for somebody who asks; empty for whoever may not read them."""
    return {key: getattr(person, key) for key in PRIVATE} if sees_mass(account, person) else {}
