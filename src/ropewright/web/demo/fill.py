"""Filling an empty store with the Tern Harbor rescue team, room by room."""

from __future__ import annotations

from collections.abc import Callable

from django.db import transaction

from ropewright.web.accounts.models import Account
from ropewright.web.demo import accounts, gear, people, plans, policy, procedures, rigs
from ropewright.web.policy.now import by_team_clock

__all__ = ["fill_demo"]

Say = Callable[[str], None]

# In the order in which they need each other; all after the team's rules, whose clock their days go by.
ROOMS = (people.fill, accounts.fill, rigs.fill, procedures.fill, gear.fill, plans.fill)


def fill_demo(say: Say) -> None:
    """Fill the store where it has no account, in one piece; print who may sign in."""
    if not Account.objects.exists():
        say("Filling the store with the Tern Harbor demo …")
        with transaction.atomic():
            policy.fill()
            with by_team_clock():
                for room in ROOMS:
                    room()
    for line in accounts.sign_ins():
        say(line)
