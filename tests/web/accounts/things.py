"""Accounts and invitations for tests."""

from __future__ import annotations

from ropewright.web.access import Role
from ropewright.web.accounts.invitations import invite
from ropewright.web.accounts.models import Account
from tests.web.things import Maker

__all__ = ["MAKERS", "make_account"]


def make_account(name: str, role: Role = Role.STUDENT) -> Account:
    """An account that is in nobody's way."""
    found = Account.objects.filter(username=name).first()
    return found or Account.objects.create_user(name, password="a rope of words", role=role)


MAKERS: dict[str, Maker] = {
    "account": lambda name, _author: make_account(name).pk,
    "invitation": lambda _state, author: invite(author, Role.STUDENT)[0].pk,
}
