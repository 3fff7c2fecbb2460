"""The demo's accounts, one for each role. Their password is printed: they are for looking round."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.demo import PASSWORD
from ropewright.web.people.models import Person
from ropewright.web.policy.models import PolicyVersion

__all__ = ["SIGN_INS", "fill", "sign_ins"]


SIGN_INS = (
    ("ines", Role.LEAD, "Ines Calloway"),
    ("bram", Role.INSTRUCTOR, "Bram Oduya"),
    ("ravi", Role.CUSTODIAN, "Ravi Marchetti"),
    ("noor", Role.STUDENT, "Noor Haddon"),
    ("auditor", Role.AUDITOR, ""),
)


def fill() -> None:
    """Make the accounts; the lead's is the author of the rules, which were there before it."""
    for username, role, name in SIGN_INS:
        person = Person.objects.filter(name=name).first()
        Account.objects.create_user(username, password=PASSWORD, role=role, person=person)
    PolicyVersion.objects.filter(author=None).update(author=Account.objects.get(username="ines"))


def sign_ins() -> Iterator[str]:
    """Lines that say who may sign in; nothing where the accounts are not the demo's."""
    known = set(
        Account.objects.filter(username__in=[s[0] for s in SIGN_INS]).values_list("username", flat=True)
    )
    if known:
        yield f"Demo sign-ins, all with the password {PASSWORD}:"
        yield from (f"  {name:8} {role.label}" for name, role, _ in SIGN_INS if name in known)
