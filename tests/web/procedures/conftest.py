"""Procedures that every test of this room knows, and the work that is done beside the server, done here."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.demo.rigs import example_texts
from ropewright.web.procedures.models import Procedure
from ropewright.web.workings.worker import run_waiting
from tests.web.procedures.things import make_procedure

__all__ = ["REFUSED"]

REFUSED = """\
procedure: Too early off the clamp
about: The chest clamp comes off before the descender is on.
from: lane-on-clamps.rig.yaml
people:
  student: {role: candidate}
words:
  ready: ready to go
steps:
  - student: call ready
  - student: stand in foot up 300 mm
  - student: take chest off
  - student: take upper off
"""
"""A procedure of which a step is refused."""


@pytest.fixture
def untested(team: dict[Role, Account]) -> Procedure:
    """A shipped procedure without its inch-test: proved, with a caution at four steps."""
    text = dict(example_texts(".procedure.yaml"))["self-haul-to-descent"]
    assert "  - climber: inch-test device\n" in text
    text = text.replace("  - climber: inch-test device\n", "")
    return make_procedure("untested", team[Role.LEAD], text)


@pytest.fixture
def procedure(team: dict[Role, Account]) -> Procedure:
    """A shipped procedure of which every step is proved."""
    return make_procedure("ascent-to-descent", team[Role.LEAD])


@pytest.fixture
def refused(team: dict[Role, Account]) -> Procedure:
    """A procedure of which a step is refused."""
    return make_procedure("too-early", team[Role.LEAD], REFUSED)


@pytest.fixture
def work() -> Callable[[], None]:
    """Do everything that was asked for."""

    def all_of_it() -> None:
        while run_waiting("short") or run_waiting("long"):
            pass

    return all_of_it
