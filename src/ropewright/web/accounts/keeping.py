"""What a lead instructor changes on an account: its role, whether it may sign in, whose entry it is."""

from __future__ import annotations

from django.db import transaction

from ropewright.errors import RopewrightError
from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.interface.tokens import revoke_all
from ropewright.web.people.models import Person

__all__ = ["NotChanged", "set_active", "set_person", "set_role"]


class NotChanged(RopewrightError):  # noqa: N818 - nothing failed, a rule said no
    """A change that would leave the team without a lead, or that is somebody else's to make."""


@transaction.atomic
def set_role(by: Account, account: Account, role: str) -> None:
    """Change a role. Errors: NotChanged."""
    if by.pk == account.pk:
        raise NotChanged("Nobody changes their own role; ask another lead instructor.")
    found = _locked(account)
    if role != Role.LEAD:
        _another_leads(found)
    found.role = role
    found.save(update_fields=["role"])


@transaction.atomic
def set_active(by: Account, account: Account, active: bool) -> None:
    """Let an account sign in, or not any more. Errors: NotChanged.

    The sessions of one that is shut end at the next page, its tokens for good.
    """
    if by.pk == account.pk:
        raise NotChanged("Nobody shuts their own account; ask another lead instructor.")
    found = _locked(account)
    if not active:
        _another_leads(found)
        found.sessions += 1
        revoke_all(found)
    found.is_active = active
    found.save(update_fields=["is_active", "sessions"])


@transaction.atomic
def set_person(account: Account, person: Person | None) -> None:
    """Say whose entry of the roster an account is, or that it has none. Errors: NotChanged."""
    found = _locked(account)
    if person is not None and Account.objects.filter(person=person).exclude(pk=account.pk).exists():
        raise NotChanged(f"{person.name} has an account already; take it off that one first.")
    found.person = person
    found.save(update_fields=["person"])


def _locked(account: Account) -> Account:
    """The account as it stands now. Locking every lead first lets two changes at once see each other."""
    list(Account.objects.select_for_update().filter(role=Role.LEAD).values_list("pk", flat=True))
    return Account.objects.select_for_update().get(pk=account.pk)


def _another_leads(account: Account) -> None:
    """Make sure that somebody else can still keep accounts."""
    leads = Account.objects.filter(role=Role.LEAD, is_active=True)
    if account.role == Role.LEAD and account.is_active and not leads.exclude(pk=account.pk).exists():
        raise NotChanged(
            f"{account} is the only lead instructor who can sign in; make somebody else one first."
        )
