"""What may follow from what was found, when the next inspection is due, and what an event asks."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.gear import events, states
from ropewright.web.gear.inspections import Look, Seen, record, record_many
from ropewright.web.gear.models import Finding, Inspection, Item
from ropewright.web.gear.refusals import InspectionError
from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.now import forget_rules
from tests.web.gear.things import good_look, make_item, ready_item

Team = dict[Role, Account]
State = Item.State


def _policy(**intervals: int) -> None:
    kept = {
        name.replace("_", "-"): {"days": days, "source": "standing order 9"}
        for name, days in intervals.items()
    }
    PolicyVersion.objects.create(number=1, name="ours", team="Tern Harbor", intervals=kept)
    forget_rules()


def _with(look: Look, point: int, result: str) -> Look:
    seen = list(look.seen)
    seen[point] = replace(seen[point], result=result)
    return replace(look, seen=seen)


def test_not_fit_can_never_end_in_fit(team: Team) -> None:
    item = ready_item("C-1")
    for verdict in ("fit", "watch"):
        look = replace(_with(good_look(item), 1, "bad"), verdict=verdict)
        with pytest.raises(InspectionError, match="not fit at Body: the verdict can only be"):
            record(item.pk, look, team[Role.CUSTODIAN])
    assert not Inspection.objects.exists()


def test_what_is_to_be_watched_is_not_simply_fit(team: Team) -> None:
    item = ready_item("C-1")
    look = _with(good_look(item), 2, "watch")
    with pytest.raises(InspectionError, match="to be watched at Wear"):
        record(item.pk, look, team[Role.CUSTODIAN])
    assert record(item.pk, replace(look, verdict="watch"), team[Role.CUSTODIAN]).verdict == "watch"


def test_what_nobody_looked_at_passes_nothing_silently(team: Team) -> None:
    by, item = team[Role.CUSTODIAN], ready_item("C-1")
    look = _with(good_look(item, level="periodic"), 3, "not-seen")
    with pytest.raises(InspectionError, match="not looked at: Gate"):
        record(item.pk, look, by)
    with pytest.raises(InspectionError, match="with a note that says why"):
        record(item.pk, replace(look, verdict="watch"), by)
    said = record(item.pk, replace(look, verdict="watch", note="gate frozen, to be seen tomorrow"), by)
    assert said.findings.get(result=Finding.Result.NOT_SEEN).point == "Gate"


def test_a_form_left_as_it_came_is_refused(team: Team) -> None:
    item = ready_item("C-1")
    look = replace(good_look(item), seen=[Seen(s.point, "not-seen") for s in good_look(item).seen])
    with pytest.raises(InspectionError, match="no point was looked at"):
        record(item.pk, look, team[Role.CUSTODIAN])


def test_the_policys_interval_sets_the_next_day_and_is_told_with_its_source(team: Team) -> None:
    _policy(join=182)
    item = make_item("C-1")
    look = good_look(item, next_due=None)
    made = record(item.pk, look, team[Role.CUSTODIAN])
    assert made.next_due == look.day + timedelta(days=182)
    assert made.interval_source == "182 days: standing order 9"
    item.refresh_from_db()
    assert (item.inspected, item.next_due, item.due) == (look.day, made.next_due, False)


def test_a_types_own_interval_goes_before_its_familys(team: Team) -> None:
    _policy(join=182, carabiner_locking=30)
    item = make_item("C-1")
    look = good_look(item, next_due=None)
    assert record(item.pk, look, team[Role.LEAD]).next_due == look.day + timedelta(days=30)


def test_the_next_day_may_be_earlier_than_the_policys_and_never_later(team: Team) -> None:
    _policy(join=182)
    item = make_item("C-1")
    day = timezone.localdate()
    earlier = record(item.pk, good_look(item, next_due=day + timedelta(days=10)), team[Role.LEAD])
    assert earlier.next_due == day + timedelta(days=10)
    assert earlier.interval_source.startswith("set by R. Custodian; the policy's 182 days would end on")
    with pytest.raises(InspectionError, match=r"C-1 is due again by .* at the latest"):
        record(item.pk, good_look(item, next_due=day + timedelta(days=183)), team[Role.LEAD])


def test_without_an_interval_somebody_has_to_set_the_day(team: Team) -> None:
    _policy()
    item = make_item("C-1")
    with pytest.raises(InspectionError, match="the policy states no interval for carabiner-locking"):
        record(item.pk, good_look(item, next_due=None), team[Role.LEAD])
    made = record(item.pk, good_look(item), team[Role.LEAD])
    assert made.interval_source == "set by R. Custodian; the policy states no interval"


def test_a_look_before_use_sets_no_day(team: Team) -> None:
    item = make_item("C-1")
    record(item.pk, good_look(item, level="before", next_due=None), team[Role.INSTRUCTOR])
    item.refresh_from_db()
    assert (item.inspected, item.due) == (None, True)


def test_the_reason_of_a_quarantine_says_what_was_not_fit(team: Team) -> None:
    item = ready_item("C-1")
    seen = [Seen("Gate", "bad", "does not shut by itself")]
    record(item.pk, Look("after", timezone.localdate(), "quarantine", "R. Custodian", seen), team[Role.LEAD])
    item.refresh_from_db()
    assert item.state == State.QUARANTINED
    assert item.reason == "inspection (after use): quarantine; Gate: does not shut by itself"


def test_several_of_a_kind_pass_together_or_not_at_all(team: Team) -> None:
    by = team[Role.CUSTODIAN]
    items = [make_item(f"C-{n}") for n in range(3)]
    look = good_look(items[0], level="periodic")
    states.quarantine(items[2].pk, "doubt", by)
    with pytest.raises(InspectionError, match="C-2 is quarantined: inspect it by itself"):
        record_many([item.pk for item in items], look, by)
    assert not Inspection.objects.exists()
    assert len(record_many([item.pk for item in items[:2]], look, by)) == 2


def test_after_an_event_only_a_thorough_inspection_clears(team: Team) -> None:
    by, item = team[Role.LEAD], ready_item("C-1")
    events.report(events.Happened("fall", timezone.localdate(), "ran"), by, chosen=[item.pk])
    with pytest.raises(InspectionError, match="only a detailed inspection or one after an event clears it"):
        record(item.pk, good_look(item, level="periodic"), by)
    record(item.pk, good_look(item, level="event"), by)
    item.refresh_from_db()
    assert item.state == State.IN_SERVICE


def _posted(item: Item, **changed: str) -> dict[str, str]:
    look = good_look(item)
    assert look.next_due
    data = {
        "item": str(item.pk),
        "level": "periodic",
        "day": look.day.isoformat(),
        "inspector": "R. Custodian",
        "verdict": "fit",
        "next_due": look.next_due.isoformat(),
        "note": "",
        "opened": f"{item.pk}={states.stands_at(item)}",
    }
    for n, _ in enumerate(look.seen):
        data |= {f"point_{n}": "good", f"note_{n}": ""}
    return data | changed


def test_a_form_that_was_opened_before_a_quarantine_clears_nothing(
    browser_of: Callable[[Role], Client], team: Team
) -> None:
    item = make_item("C-1")
    custodian = browser_of(Role.CUSTODIAN)
    page = custodian.get(f"/gear/inspect/?item={item.pk}").text
    opened = re.search(r'name="opened" value="([^"]+)"', page)
    assert opened
    states.quarantine(item.pk, "gate does not close, dropped 20 m", team[Role.STUDENT])
    old = custodian.post("/gear/inspect/", _posted(item, level="detailed", opened=opened[1]))
    assert old.status_code == 422
    assert "C-1 was inspected or changed since this form was opened" in old.text
    assert "it is quarantined now, gate does not close, dropped 20 m" in old.text
    assert "C-1 is quarantined:" in old.text
    item.refresh_from_db()
    assert item.state == State.QUARANTINED
    assert not item.inspections.exists()
    again = re.search(r'name="opened" value="([^"]+)"', old.text)
    assert again
    sent = _posted(item, level="detailed", opened=again[1])
    assert custodian.post("/gear/inspect/", sent).status_code == 302
    item.refresh_from_db()
    assert item.state == State.IN_SERVICE
    assert custodian.post("/gear/inspect/", sent).status_code == 422  # pressed twice
    assert item.inspections.count() == 1


def test_a_form_that_does_not_say_what_it_was_opened_on_is_refused(
    browser_of: Callable[[Role], Client],
) -> None:
    item = make_item("C-1")
    for opened in ("", "7", f"{item.pk}=", "²=1"):
        answer = browser_of(Role.CUSTODIAN).post("/gear/inspect/", _posted(item, opened=opened))
        assert answer.status_code == 422
    assert not item.inspections.exists()


def test_an_instructor_records_looks_and_not_periodic_inspections(
    browser_of: Callable[[Role], Client], team: Team
) -> None:
    item = make_item("C-1")
    instructor = browser_of(Role.INSTRUCTOR)
    assert instructor.post("/gear/inspect/", _posted(item)).status_code == 422
    assert (
        instructor.post("/gear/inspect/", _posted(item, level="before", verdict="retire")).status_code == 422
    )
    assert instructor.post("/gear/inspect/", _posted(item, level="before")).status_code == 302
    assert browser_of(Role.CUSTODIAN).post("/gear/inspect/", _posted(item)).status_code == 302


def test_the_page_keeps_what_was_typed_and_says_why_not(browser_of: Callable[[Role], Client]) -> None:
    item = make_item("C-1")
    page = browser_of(Role.CUSTODIAN).post("/gear/inspect/", _posted(item, point_1="bad", note_1="bent nose"))
    assert page.status_code == 422
    assert "not fit at Body" in page.content.decode()
    assert 'value="bent nose"' in page.content.decode()


def test_a_day_in_the_future_is_refused(browser_of: Callable[[Role], Client]) -> None:
    item = make_item("C-1")
    tomorrow = (timezone.localdate() + timedelta(days=1)).isoformat()
    page = browser_of(Role.CUSTODIAN).post("/gear/inspect/", _posted(item, day=tomorrow))
    assert f"{tomorrow} is in the future" in page.content.decode()


def test_items_of_different_lists_are_taken_list_by_list(browser_of: Callable[[Role], Client]) -> None:
    carabiner, rope = make_item("C-1"), make_item("R-1", type="rope-11-low-stretch")
    page = (
        browser_of(Role.CUSTODIAN).get(f"/gear/inspect/?item={carabiner.pk}&item={rope.pk}").content.decode()
    )
    assert "Take one list at a time" in page
    assert "Ropes and cords" in page
    assert "Carabiners and screw links" in page


def test_a_textile_of_no_known_age_passes_with_a_reason_alone(team: Team) -> None:
    item = make_item("S-9", type="sling", textile=True)
    with pytest.raises(InspectionError, match=r"S-9: its age can't be told.*say in the note why"):
        record(item.pk, good_look(item), team[Role.CUSTODIAN])
    assert not Inspection.objects.exists()
    record(item.pk, good_look(item, level="before", next_due=None), team[Role.CUSTODIAN])
    record(item.pk, good_look(item, note="bought new with this year's batch"), team[Role.CUSTODIAN])
    dated = make_item("S-10", type="sling", textile=True, made=timezone.localdate())
    record(dated.pk, good_look(dated), team[Role.CUSTODIAN])
