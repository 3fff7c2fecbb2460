"""Links that work once: to make an account, or to choose a new password. The app sends no mail: whoever makes
a link hands it over.
"""

from __future__ import annotations

from axes.utils import reset as forget_wrong_passwords
from django.db import transaction
from django.utils import timezone

from ropewright.web.accounts.models import Account, Invitation, fingerprint
from ropewright.web.interface.tokens import revoke_all
from ropewright.web.people.models import Person

__all__ = ["NotOpen", "choose_password", "invite", "join", "offer_reset", "opened", "withdraw"]


class NotOpen(Exception):  # noqa: N818 - a link that was right once
    """A link that can't be used: used, withdrawn, too old, or never made."""


def invite(by: Account, role: str, person: Person | None = None, note: str = "") -> tuple[Invitation, str]:
    """Make an invitation; its secret is given here and never again."""
    secret = Invitation.new_secret()
    made = Invitation.objects.create(
        secret=fingerprint(secret), role=role, person=person, note=note, made_by=by
    )
    return made, secret


@transaction.atomic
def offer_reset(by: Account, account: Account) -> tuple[Invitation, str]:
    """Make a link for a new password; an earlier one for the same account stops working."""
    Invitation.objects.filter(account=account, used=None, withdrawn=None).update(withdrawn=timezone.now())
    secret = Invitation.new_secret()
    made = Invitation.objects.create(
        secret=fingerprint(secret), role=account.role, account=account, made_by=by
    )
    return made, secret


def opened(secret: str, *, reset: bool = False, lock: bool = False) -> Invitation:
    """The link of a secret, if it can still be used. Errors: NotOpen."""
    links = Invitation.objects.select_for_update(of=("self",)) if lock else Invitation.objects.all()
    links = links.select_related("account", "person")
    found = links.filter(secret=fingerprint(secret), account__isnull=not reset).first()
    if found is None or not found.open or (found.person and _has_account(found.person)):
        raise NotOpen
    return found


@transaction.atomic
def join(secret: str, account: Account) -> Account:
    """Save the account that an invitation is for. Errors: NotOpen, so that a link makes one account only."""
    link = opened(secret, lock=True)
    account.role, account.person = link.role, link.person
    account.save()
    link.used, link.used_by = timezone.now(), account
    link.save(update_fields=["used", "used_by"])
    return account


@transaction.atomic
def choose_password(secret: str, password: str) -> Account:
    """Set the password that a reset is for; every session and token of the account ends. Errors: NotOpen."""
    link = opened(secret, reset=True, lock=True)
    account = link.account
    assert account is not None
    account.set_password(password)
    account.save()
    revoke_all(account)
    link.used = timezone.now()
    link.save(update_fields=["used"])
    forget_wrong_passwords(username=account.username)
    return account


def withdraw(link: Invitation) -> bool:
    """Stop an open link; False where it was used meanwhile."""
    return bool(
        Invitation.objects.filter(pk=link.pk, used=None, withdrawn=None).update(withdrawn=timezone.now())
    )


def _has_account(person: Person) -> bool:
    return Account.objects.filter(person=person).exists()
