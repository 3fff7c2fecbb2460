"""Days go by the clock of the team, also in what fills a store outside any page."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from django.utils import timezone

from ropewright.web.demo.fill import fill_demo
from ropewright.web.demo.large import Large, fill_large
from ropewright.web.gear.models import Inspection, Issue
from ropewright.web.people.models import Prerequisite
from ropewright.web.planning.models import Plan

NIGHT = datetime(2026, 11, 28, 1, 30, tzinfo=UTC)
"""Saturday by UTC, Friday evening in Tern Harbor."""
FRIDAY = date(2026, 11, 27)


@pytest.fixture
def at_night(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "now", lambda: NIGHT)
    fill_demo(lambda _line: None)


def test_stores_are_filled_by_the_clock_of_their_team(at_night: None) -> None:
    assert Issue.objects.get().until == date(2026, 11, 26)
    assert Prerequisite.objects.get(person__name="Ravi Marchetti", kind="medical").expires == date(
        2026, 11, 17
    )
    assert Plan.objects.get().day == date(2026, 11, 28)
    fill_large(Large(people=10, items=40, rigs=2, years=1))
    assert Inspection.objects.order_by("-day")[0].day <= FRIDAY
