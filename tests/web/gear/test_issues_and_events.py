"""Giving out and taking back; an event takes in everything that was there, whatever happens beside it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.utils import timezone

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.gear import events, issues, states
from ropewright.web.gear.inspections import record
from ropewright.web.gear.issues import Line, Purpose
from ropewright.web.gear.models import Event, Issue, IssuedItem, Item, Kit, StateChange
from ropewright.web.gear.refusals import EventError, GearError, IssueError
from ropewright.web.gear.wanted import Part, parts_of, propose
from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.now import forget_rules
from tests.web.gear.things import good_look, make_item, ready_item
from tests.web.rigs.things import make_rig

Team = dict[Role, Account]
State = Item.State


def _out(by: Account, *marks: str) -> Issue:
    return issues.give_out(Purpose("drill"), [Line(ready_item(mark).pk) for mark in marks], by)


def _fall() -> events.Happened:
    return events.Happened("fall", timezone.localdate(), "ran four feet; the second line held")


def _states() -> dict[str, str]:
    return dict(Item.objects.values_list("mark", "state"))


def test_an_issue_is_all_or_nothing(team: Team) -> None:
    good, held = ready_item("C-1"), ready_item("C-2")
    states.quarantine(held.pk, "dropped", team[Role.LEAD])
    with pytest.raises(IssueError, match=r"C-2 is not given out: it is quarantined \(dropped\)"):
        issues.give_out(Purpose("drill"), [Line(good.pk), Line(held.pk)], team[Role.LEAD])
    assert not Issue.objects.exists()
    assert _states()["C-1"] == State.IN_SERVICE


def test_one_item_is_one_part(team: Team) -> None:
    item = ready_item("C-1")
    with pytest.raises(IssueError, match="C-1 is chosen 2 times"):
        issues.give_out(Purpose("drill"), [Line(item.pk, "a"), Line(item.pk, "b")], team[Role.LEAD])


def test_the_store_itself_lets_no_item_out_twice(team: Team) -> None:
    first, second = _out(team[Role.LEAD], "C-1"), _out(team[Role.LEAD], "C-2")
    out_twice = IssuedItem(issue=second, item=first.lines.get().item)
    with pytest.raises(IntegrityError), transaction.atomic():
        out_twice.save()
    issues.take_back(first, [first.lines.get().pk], team[Role.LEAD])
    out_twice.save()


def test_an_issue_closes_when_the_last_item_is_back(team: Team) -> None:
    by = team[Role.LEAD]
    issue = _out(by, "C-1", "C-2")
    first, second = issue.lines.all()
    assert issues.take_back(issue, [first.pk], by) == 1
    assert Issue.objects.filter(closed=None).exists()
    assert issues.take_back(issue, [first.pk, second.pk], by) == 1
    assert not Issue.objects.filter(closed=None).exists()
    assert set(_states().values()) == {State.IN_SERVICE}


def test_nothing_is_ticked_as_back_before_somebody_ticks_it(
    team: Team, browser_of: Callable[[Role], Client]
) -> None:
    issue, browser = _out(team[Role.LEAD], "C-1", "C-2", "C-3"), browser_of(Role.CUSTODIAN)
    issues.take_back(issue, [issue.lines.get(item__mark="C-3").pk], team[Role.LEAD])
    page = browser.get(f"/gear/out/{issue.pk}/").content.decode()
    assert page.count('name="line"') == 2
    assert " checked" not in page
    assert "One that is missing stays unticked and out" in page
    ticked = browser.post(f"/gear/out/{issue.pk}/back/", {"tick": "all"}, follow=True).content.decode()
    assert ticked.count(" checked") == 2
    assert _states() == {"C-1": State.ISSUED, "C-2": State.ISSUED, "C-3": State.IN_SERVICE}


def test_lines_of_another_issue_are_not_taken_back(team: Team) -> None:
    by = team[Role.LEAD]
    mine, other = _out(by, "C-1"), _out(by, "C-2")
    assert issues.take_back(mine, list(other.lines.values_list("pk", flat=True)), by) == 0
    assert _states()["C-2"] == State.ISSUED


def _reserve(count: int) -> None:
    kept = [{"type": "rope-12.5-low-stretch", "length": 60.0, "count": count}]
    PolicyVersion.objects.create(number=1, name="ours", team="Tern Harbor", reserve=kept)
    forget_rules()


def _rescue_rope(n: int) -> Item:
    return ready_item(f"RESCUE-{n}", type="rope-12.5-low-stretch", length=60.96, front_line=True)


def test_the_front_line_keeps_its_reserve_unless_somebody_says_so(team: Team) -> None:
    _reserve(2)
    ropes = [_rescue_rope(n) for n in range(3)]
    issues.give_out(Purpose("class"), [Line(ropes[0].pk)], team[Role.LEAD])
    with pytest.raises(IssueError, match=r"the front line would keep 1 of 2 rope-12.5-low-stretch of 60 m"):
        issues.give_out(Purpose("class"), [Line(ropes[1].pk)], team[Role.LEAD])
    issues.give_out(Purpose("a call"), [Line(ropes[1].pk)], team[Role.LEAD], below_reserve=True)
    assert _states()["RESCUE-1"] == State.ISSUED


def test_what_is_in_a_front_line_kit_counts_to_the_reserve(team: Team) -> None:
    _reserve(1)
    kit = Kit.objects.create(name="Rescue 1", front_line=True)
    rope = ready_item("RESCUE-1", type="rope-12.5-low-stretch", length=59.995, kit=kit)
    with pytest.raises(IssueError, match=r"the front line would keep 0 of 1 rope-12.5-low-stretch of 60 m"):
        issues.give_out(Purpose("class"), [Line(rope.pk)], team[Role.LEAD])


def test_proposals_take_the_shortest_rope_that_is_long_enough_and_no_front_line_gear(team: Team) -> None:
    _rescue_rope(1)
    for mark, length in (("R-short", 20.0), ("R-long", 90.0), ("R-fits", 60.0), ("R-unknown", None)):
        ready_item(mark, type="rope-12.5-low-stretch", length=length)
    ready_item("R-other", type="rope-11-low-stretch", length=60.0)
    (found,) = propose([Part("main", "rope-12.5-low-stretch", 60.0)])
    assert found.first is not None
    assert found.first.mark == "R-fits"
    assert [choice.item.mark for choice in found.choices] == ["R-fits", "RESCUE-1", "R-long"]


def test_nothing_that_may_not_be_used_is_ever_offered(
    team: Team, browser_of: Callable[[Role], Client]
) -> None:
    today = timezone.localdate()
    make_item("C-never")
    ready_item("C-due", next_due=today - timedelta(days=1))
    for state in (State.QUARANTINED, State.RETIRED, State.ISSUED):
        ready_item(f"C-{state}", state=state)
    ready_item("C-good")
    (found,) = propose([Part("join", "carabiner-locking")])
    assert [choice.item.mark for choice in found.choices] == ["C-good"]
    keys = "&".join(f"item={item.pk}" for item in Item.objects.all())
    page = browser_of(Role.INSTRUCTOR).get(f"/gear/out/new/?{keys}").content.decode()
    assert page.count('type="checkbox" name="item"') == 1


def test_the_parts_of_a_rig_are_everything_that_comes_from_the_cache(team: Team) -> None:
    found = parts_of(make_rig("haul-3-1", team[Role.LEAD]).current)
    assert [part.type for part in found].count("pulley-single") == 2
    assert [part.type for part in found].count("carabiner-locking") >= 2
    assert ("main", 60.0) in [(part.name, part.length) for part in found]


def test_a_rig_is_given_out_part_by_part(team: Team, browser_of: Callable[[Role], Client]) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    rope = ready_item("R-1", type="rope-12.5-low-stretch", length=61.0)
    sent = {"what": "Haul 3:1", "part_0": str(rope.pk), "marks": ""}
    answer = browser_of(Role.INSTRUCTOR).post(f"/gear/out/new/?rig={rig.slug}", sent)
    assert answer.status_code == 302
    issue = Issue.objects.get()
    assert issue.rig_version == rig.current
    assert [(line.item.mark, line.part) for line in issue.lines.all()] == [("R-1", "main")]


def test_an_item_is_given_out_as_no_part_that_it_cannot_be(
    team: Team, browser_of: Callable[[Role], Client]
) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    short = ready_item("R-1", type="rope-12.5-low-stretch", length=40.0)
    sent = {"what": "Haul 3:1", "part_0": short.pk, "part_1": ready_item("C-1").pk}
    answer = browser_of(Role.INSTRUCTOR).post(f"/gear/out/new/?rig={rig.slug}", sent)
    assert answer.status_code == 422
    told = answer.content.decode()
    asked = "R-1 can&#x27;t be main: rope-12.5-low-stretch of 60 m (197 ft) or more is asked"
    assert asked in told
    assert f"C-1 can&#x27;t be {parts_of(rig.current)[1].name}: " in told
    assert not Issue.objects.exists()


def test_an_item_that_is_no_longer_on_record_is_refused_plainly(
    team: Team, browser_of: Callable[[Role], Client]
) -> None:
    answer = browser_of(Role.INSTRUCTOR).post("/gear/out/new/", {"what": "class", "item": "999999"})
    assert answer.status_code == 422
    assert "an item of those chosen is no longer on record" in answer.content.decode()


def test_an_event_takes_in_everything_of_the_issue_also_what_came_back(team: Team) -> None:
    by = team[Role.LEAD]
    issue = _out(by, "C-1", "C-2", "C-3")
    ready_item("C-elsewhere")
    issues.take_back(issue, [issue.lines.get(item__mark="C-1").pk], by)
    states.retire(issue.lines.get(item__mark="C-3").item_id, "lost in the water", by)
    event = events.report(_fall(), team[Role.STUDENT], issue=issue)
    assert _states() == {
        "C-1": State.QUARANTINED,
        "C-2": State.QUARANTINED,
        "C-3": State.RETIRED,
        "C-elsewhere": State.IN_SERVICE,
    }
    assert [(x.item.mark, x.before, x.stayed_retired) for x in events.outcomes(event)] == [
        ("C-1", State.IN_SERVICE, False),
        ("C-2", State.ISSUED, False),
        ("C-3", State.RETIRED, True),
    ]


def test_an_item_that_was_quarantined_before_the_event_is_held_by_both(team: Team) -> None:
    by, item = team[Role.LEAD], ready_item("C-1")
    states.quarantine(item.pk, "no label", by)
    events.report(_fall(), by, chosen=[item.pk])
    item.refresh_from_db()
    hold = states.hold_on(item)
    assert hold is not None
    assert len(hold.reasons) == 2
    assert len(hold.events) == 1


def test_only_inspections_one_by_one_clear_what_an_event_held(team: Team) -> None:
    by = team[Role.LEAD]
    event = events.report(_fall(), by, issue=_out(by, "C-1", "C-2"))
    made = record(Item.objects.get(mark="C-1").pk, good_look(Item.objects.get(mark="C-1"), level="event"), by)
    assert [(x.item.mark, x.cleared) for x in events.outcomes(event)] == [("C-1", made), ("C-2", None)]
    assert _states() == {"C-1": State.ISSUED, "C-2": State.QUARANTINED}


def test_an_event_on_nothing_is_refused(team: Team) -> None:
    with pytest.raises(EventError, match="no item was there"):
        events.report(_fall(), team[Role.LEAD])


def test_the_kind_of_an_event_is_chosen_and_never_preset(
    team: Team, browser_of: Callable[[Role], Client]
) -> None:
    issue, browser = _out(team[Role.LEAD], "C-1"), browser_of(Role.STUDENT)
    url = f"/gear/events/new/?issue={issue.pk}"
    kinds = browser.get(url).content.decode().split('name="kind"')[1].split("</select>")[0]
    assert kinds.index("choose what it was") < kinds.index('<option value="fall"')
    assert '<option value="" selected>' in kinds
    refused = browser.post(url, {"day": timezone.localdate().isoformat(), "text": "ran", "kind": ""})
    assert refused.status_code == 422
    assert "say what it was" in refused.content.decode()
    assert not Event.objects.exists()


def test_the_list_is_shown_before_and_after(team: Team, browser_of: Callable[[Role], Client]) -> None:
    issue = _out(team[Role.LEAD], "C-1", "C-2")
    browser = browser_of(Role.STUDENT)
    page = browser.get(f"/gear/events/new/?issue={issue.pk}").content.decode()
    assert "This quarantines 2 items" in page
    assert not Event.objects.exists()
    sent = {"kind": "fall", "day": timezone.localdate().isoformat(), "text": "ran"}
    answer = browser.post(f"/gear/events/new/?issue={issue.pk}", sent)
    after = browser.get(answer.headers["Location"]).content.decode()
    assert "2 items still quarantined" in after


@pytest.mark.django_db(transaction=True)
def test_what_is_given_out_while_an_event_is_reported_never_slips_through(team: Team) -> None:
    by = team[Role.LEAD]
    issue = _out(by, "C-0")
    late = [ready_item(f"C-{n}") for n in range(1, 6)]
    together = threading.Barrier(2)

    def hand_over() -> None:
        together.wait()
        for item in late:
            try:
                issues.add(issue, [Line(item.pk)], by)
            except GearError:
                continue
        connection.close()

    def report() -> None:
        together.wait()
        events.report(_fall(), by, issue=issue)
        connection.close()

    threads = [threading.Thread(target=act) for act in (hand_over, report)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    event = Event.objects.get()
    held = {line.item_id for line in event.lines.all()}
    reported = StateChange.objects.filter(event=event).order_by("pk")[0]
    for line in issue.lines.all():
        given = StateChange.objects.filter(item=line.item, after=State.ISSUED).latest("pk")
        assert line.item_id in held or given.pk > reported.pk


def test_of_two_reports_at_once_both_are_kept_and_each_item_is_held(team: Team) -> None:
    by = team[Role.LEAD]
    issue = _out(by, "C-1")
    first, second = (events.report(_fall(), by, issue=issue) for _ in range(2))
    assert [x.before for x in events.outcomes(first)] == [State.ISSUED]
    assert [x.before for x in events.outcomes(second)] == [State.QUARANTINED]
    made = record(Item.objects.get().pk, good_look(Item.objects.get()), by)
    assert [x.cleared for event in (first, second) for x in events.outcomes(event)] == [made, made]
