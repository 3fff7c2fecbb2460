"""The first account of all: a lead instructor, the team's name and version 1 of its rules, in one piece."""

from __future__ import annotations

from django.contrib.contenttypes.models import ContentType
from django.db import transaction

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.people.models import Person
from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.saving import first_version

__all__ = ["TooLate", "make_first"]


class TooLate(Exception):  # noqa: N818 - nobody did anything wrong
    """Somebody made the first account meanwhile."""


@transaction.atomic
def make_first(account: Account, own_name: str, team: str, zone: str, units: str) -> Account:
    """Save the first account, with its entry on the roster and the team's first rules. Errors: TooLate.

    Where there is no account there is no row to lock, so the lock is on a row that every store has: of two
    who come at once the second waits, and then finds the first one's account.
    """
    ContentType.objects.select_for_update().get(app_label="accounts", model="account")
    if Account.objects.exists():
        raise TooLate
    account.role = Role.LEAD
    account.person = Person.objects.create(name=own_name, duty="leader", hauls=False, on_rope=False)
    account.save()
    if not PolicyVersion.objects.exists():
        first_version(team, zone, units, account)
    return account
