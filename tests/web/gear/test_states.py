"""The ways from one state to another, and that nobody's change is lost."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import date, timedelta
from itertools import pairwise

import pytest
from django.db import connection
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.gear import issues, states
from ropewright.web.gear.inspections import Look, Seen, record
from ropewright.web.gear.models import Inspection, Item, StateChange
from ropewright.web.gear.refusals import GearError, StateError
from tests.web.gear.things import good_look, make_item, ready_item

Team = dict[Role, Account]
State = Item.State


def test_a_new_item_has_its_first_line_of_history(team: Team) -> None:
    item = states.enter(Item(mark="N-1", type="sling"), team[Role.CUSTODIAN], "bought new")
    (change,) = item.changes.all()
    assert (change.before, change.after, change.reason) == ("", State.IN_SERVICE, "bought new")
    assert change.by == team[Role.CUSTODIAN]


def test_what_nobody_ever_inspected_is_due_and_not_given_out(team: Team) -> None:
    item = make_item("C-1")
    assert item.shown_state == "due"
    with pytest.raises(
        StateError, match="C-1 is not given out: its inspection is due: it was never inspected"
    ):
        states.issue(item.pk, "drill", team[Role.LEAD])


def test_the_day_of_the_next_inspection_is_the_last_good_one(team: Team) -> None:
    today = timezone.localdate()
    assert states.why_not_usable(make_item("C-1", next_due=today)) == ""
    late = make_item("C-2", next_due=today - timedelta(days=1))
    assert states.why_not_usable(late) == f"its inspection was due on {late.next_due}"


def test_retired_is_final(team: Team) -> None:
    by = team[Role.LEAD]
    item = ready_item("C-1")
    states.retire(item.pk, "gate bent", by)
    for change in (
        lambda: states.quarantine(item.pk, "doubt", by),
        lambda: states.retire(item.pk, "again", by),
        lambda: states.issue(item.pk, "drill", by),
        lambda: record(item.pk, good_look(item), by),
    ):
        with pytest.raises(GearError, match="retired"):
            change()
    item.refresh_from_db()
    assert (item.state, item.reason) == (State.RETIRED, "gate bent")


def test_a_change_without_a_reason_is_refused(team: Team) -> None:
    item = ready_item("C-1")
    with pytest.raises(StateError, match="say why C-1 is to be quarantined"):
        states.quarantine(item.pk, "  ", team[Role.LEAD])
    item.refresh_from_db()
    assert item.state == State.IN_SERVICE
    assert not item.changes.exists()


def test_what_was_quarantined_while_out_stays_so_when_it_comes_back(team: Team) -> None:
    by, item = team[Role.LEAD], ready_item("C-1")
    issue = issues.give_out(issues.Purpose("drill"), [issues.Line(item.pk)], by)
    states.quarantine(item.pk, "dropped", by)
    issues.take_back(issue, list(issue.lines.values_list("pk", flat=True)), by)
    item.refresh_from_db()
    assert item.state == State.QUARANTINED


def test_what_is_cleared_while_it_is_out_is_issued_again(team: Team) -> None:
    by, item = team[Role.LEAD], ready_item("C-1")
    issues.give_out(issues.Purpose("drill"), [issues.Line(item.pk)], by)
    states.quarantine(item.pk, "dropped", by)
    record(item.pk, good_look(item), by)
    item.refresh_from_db()
    assert item.state == State.ISSUED


def test_an_inspection_from_before_the_quarantine_clears_nothing(team: Team) -> None:
    by, item = team[Role.LEAD], ready_item("C-1")
    states.quarantine(item.pk, "dropped", by)
    yesterday = timezone.localdate() - timedelta(days=1)
    with pytest.raises(GearError, match="C-1 is quarantined since"):
        record(item.pk, good_look(item, day=yesterday), by)


def _moves(item: Item, by: Account) -> dict[str, Callable[[], object]]:
    look = good_look(item)
    bad = Look("detailed", look.day, "quarantine", "R. Custodian", [Seen("Body", "bad")], next_due=None)
    return {
        "quarantine": lambda: states.quarantine(item.pk, "doubt", by),
        "retire": lambda: states.retire(item.pk, "worn", by),
        "issue": lambda: states.issue(item.pk, "drill", by),
        "give back": lambda: states.give_back(item.pk, "drill", by),
        "inspect, fit": lambda: record(item.pk, look, by),
        "inspect, not fit": lambda: record(item.pk, bad, by),
    }


MOVES = ("quarantine", "retire", "issue", "give back", "inspect, fit", "inspect, not fit")


@pytest.mark.django_db
class TestAnyOrder(TestCase):
    @settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
    @given(order=st.lists(st.sampled_from(MOVES), max_size=7))
    def test_history_and_state_always_agree_and_follow_the_table(self, order: list[str]) -> None:
        by, _ = Account.objects.get_or_create(username="any", role=Role.LEAD)
        item = states.enter(Item(mark=f"C-{Item.objects.count()}", type="carabiner-locking"), by)
        for name in order:
            try:
                _moves(item, by)[name]()
            except GearError:
                continue
        item.refresh_from_db()
        chain = list(item.changes.order_by("pk"))
        assert chain[-1].after == item.state
        for before, after in pairwise(chain):
            assert after.before == before.after
            assert after.after in states.FOLLOWS[before.after]
            if before.after == State.QUARANTINED and after.after in (State.IN_SERVICE, State.ISSUED):
                assert after.inspection is not None
                assert after.inspection.verdict in ("fit", "watch")
        assert sum(change.after == State.RETIRED for change in chain) <= 1


@pytest.mark.django_db(transaction=True)
def test_of_two_people_who_take_one_item_one_gets_it(team: Team) -> None:
    item, by = ready_item("C-1"), team[Role.LEAD]
    outcome: list[str] = []
    together = threading.Barrier(4)

    def take() -> None:
        together.wait()
        try:
            issues.give_out(issues.Purpose("drill"), [issues.Line(item.pk)], by)
            outcome.append("got it")
        except GearError as error:
            outcome.append(str(error))
        finally:
            connection.close()

    threads = [threading.Thread(target=take) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcome) == ["C-1 is not given out: it is out already"] * 3 + ["got it"]
    assert StateChange.objects.filter(item=item, after=State.ISSUED).count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_return_never_undoes_a_quarantine_of_the_same_moment(team: Team) -> None:
    by = team[Role.LEAD]
    items = [ready_item(f"C-{n}") for n in range(6)]
    issue = issues.give_out(issues.Purpose("drill"), [issues.Line(item.pk) for item in items], by)
    lines = list(issue.lines.values_list("pk", flat=True))
    together = threading.Barrier(2)

    def at_once(act: Callable[[], object]) -> None:
        together.wait()
        try:
            act()
        finally:
            connection.close()

    acts: list[Callable[[], object]] = [
        lambda: issues.take_back(issue, lines, by),
        lambda: [states.quarantine(item.pk, "doubt", by) for item in items],
    ]
    threads = [threading.Thread(target=at_once, args=(act,)) for act in acts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert set(Item.objects.values_list("state", flat=True)) == {State.QUARANTINED}


def test_a_saved_line_is_never_changed(team: Team) -> None:
    change = states.enter(Item(mark="N-1", type="sling"), team[Role.LEAD]).changes.get()
    change.reason = "another"
    with pytest.raises(TypeError, match="never changed"):
        change.save()


def test_an_older_inspection_entered_late_moves_no_date(team: Team) -> None:
    item, by = make_item("C-1"), team[Role.LEAD]
    today = timezone.localdate()
    record(item.pk, good_look(item), by)
    record(item.pk, good_look(item, day=today - timedelta(days=40)), by)
    item.refresh_from_db()
    assert item.inspected == today
    assert Inspection.objects.filter(item=item).count() == 2
    assert item.next_due is not None
    assert item.next_due > date(2020, 1, 1)
