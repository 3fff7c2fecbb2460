"""Versions of the rules for tests."""

from __future__ import annotations

from ropewright.web.accounts.models import Account
from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.saving import first_version
from tests.web.things import Maker

__all__ = ["MAKERS", "make_policy"]


def make_policy(number: int, author: Account) -> PolicyVersion:
    """Version 1, as a team begins with."""
    assert number == 1
    found = PolicyVersion.objects.filter(number=1).first()
    return found or first_version("Tern Harbor rescue team", "America/Halifax", "metric", author)


MAKERS: dict[str, Maker] = {"policy": lambda number, author: make_policy(number, author).number}
