"""A plan is judged at the masses of those on rope too, and tells each reader no more than they may know."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.gear.refusals import IssueError
from ropewright.web.planning.answer import answer
from ropewright.web.planning.giving import give, seal
from ropewright.web.planning.models import Plan, PlanLine
from ropewright.web.planning.paper import leaf_of
from ropewright.web.planning.verdict import unknowns
from ropewright.web.planning.without import without_people
from ropewright.web.policy.now import rules_now
from ropewright.web.rigs.models import Rig
from ropewright.web.workings.models import Working
from tests.web.planning.things import lane_gear, make_plan, somebody

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]
TOO_HEAVY = 130.0


@pytest.fixture
def plan(team: Team) -> Plan:
    """A lane written for 95 kg, and gear for it."""
    lane_gear(1, (100, 100))
    return make_plan("Lane", team[Role.LEAD])


def page(browser_of: BrowserOf, plan: Plan, role: Role = Role.LEAD) -> str:
    return browser_of(role).get(f"/plans/{plan.pk}/").content.decode().split("Give these items out")[0]


def verdict_of(text: str) -> str:
    return text.split('class="big">')[1].split("</p>")[0]


def strengths(plan: Plan) -> dict[str, float]:
    return {need.type: need.strength or 0.0 for need in answer(plan, rules_now()).solved.allotment.needs}


def test_people_whom_the_rig_takes_leave_the_yes_as_it_is(browser_of: BrowserOf, plan: Plan) -> None:
    plan.people.set([somebody("Ann", mass=60.0), somebody("Bo", mass=95.0)])
    text = page(browser_of, plan)
    assert "Yes: it can be rigged" in verdict_of(text)
    assert "at the masses on record of those who go on rope" in text


def test_the_heaviest_decides_and_the_rule_is_named(browser_of: BrowserOf, plan: Plan) -> None:
    plan.people.set([somebody("Ann", mass=60.0), somebody("Bo", mass=TOO_HEAVY)])
    found = answer(plan, rules_now())
    (lane,) = found.asked
    assert [one.mass for one in lane.rig.at] == [TOO_HEAVY, 60.0]
    assert lane.rig.within
    assert [one.mass for one in lane.rig.beyond] == [TOO_HEAVY]
    text = page(browser_of, plan)
    assert "No: not as planned" in verdict_of(text)
    assert f"At {TOO_HEAVY:g} kg (" in text
    assert ", the mass of Bo, tower-day-lane: " in text
    assert "where the policy asks for" in text
    assert "Ann" not in text


def test_the_demand_is_sized_for_the_heaviest(plan: Plan) -> None:
    before = strengths(plan)
    plan.people.set([somebody("Bo", mass=105.0)])
    after = strengths(plan)
    assert after["rope-11-low-stretch"] > before["rope-11-low-stretch"] * 1.05
    (harness,) = [n for n in answer(plan, rules_now()).solved.allotment.needs if n.type == "harness"]
    assert harness.user_mass == 105.0


def test_the_demand_is_never_less_than_what_is_written(plan: Plan) -> None:
    before = strengths(plan)
    plan.people.set([somebody("Ann", mass=50.0)])
    assert strengths(plan) == before


def test_a_mass_that_is_not_on_record_is_no_yes(browser_of: BrowserOf, plan: Plan) -> None:
    plan.people.set([somebody("Ann", mass=60.0), somebody("Jo")])
    first = verdict_of(page(browser_of, plan))
    assert "Not known: 1 person without a mass on record: not checked" in first
    assert "Yes" not in first


def test_what_is_open_is_told_beside_a_no_too(browser_of: BrowserOf, plan: Plan) -> None:
    Plan.objects.update(more_people=3)
    plan.people.set([somebody("Bo", mass=TOO_HEAVY), somebody("Jo")])
    text = page(browser_of, plan)
    assert "No: not as planned" in verdict_of(text)
    assert "1 person without a mass on record: not checked; " in text
    assert "3 people on no roster: not checked" in text


def test_people_on_no_roster_are_not_checked(browser_of: BrowserOf, plan: Plan) -> None:
    Plan.objects.update(more_people=3)
    assert "The gear is there, but 3 people on no roster: not checked" in verdict_of(page(browser_of, plan))


@pytest.mark.parametrize("role", [Role.CUSTODIAN, Role.AUDITOR])
@pytest.mark.parametrize("address", ["", "pick-list/"])
def test_others_read_the_same_whatever_the_masses(
    browser_of: BrowserOf, plan: Plan, role: Role, address: str
) -> None:
    pages = []
    for mass in (60.0, TOO_HEAVY, None):
        plan.people.set([somebody("Alex Moe", mass=mass)])
        text = browser_of(role).get(f"/plans/{plan.pk}/{address}").content.decode()
        pages.append(text.split("<main")[1].split("Give these items out")[0])
    assert pages[0] == pages[1] == pages[2]
    assert "Yes" not in pages[0]


def test_a_custodian_gives_out_only_with_a_tick_where_masses_are_not_shown(plan: Plan, team: Team) -> None:
    plan.people.set([somebody("Ann", mass=60.0)])
    custodian = team[Role.CUSTODIAN]
    shown = seal(answer(plan, rules_now(), lambda _person: False))
    with pytest.raises(IssueError, match="what people weigh is not looked at for you; tick"):
        give(plan, rules_now(), custodian, shown, None, None)
    assert give(plan, rules_now(), custodian, shown, None, None, anyway=True)
    plan.issues.clear()


def test_paper_has_nobodys_name_or_mass(plan: Plan) -> None:
    plan.people.set([somebody("Bo Strand", mass=TOO_HEAVY)])
    leaf = repr(leaf_of(answer(plan, rules_now()), rules_now()))
    assert "is outside policy with somebody whom the plan puts on rope." in leaf
    assert "Strand" not in leaf
    assert "130 kg" not in leaf


def test_what_is_kept_holds_no_name_and_answers_again(browser_of: BrowserOf, plan: Plan) -> None:
    plan.people.set([somebody("Ann", mass=60.0), somebody("Bo", mass=95.0)])
    page(browser_of, plan)
    assert Working.objects.filter(kind="needs of a rig").count() == 3
    assert not [row for row in Working.objects.all() if "Ann" in str(row.data)]
    page(browser_of, plan)
    assert Working.objects.filter(kind="needs of a rig").count() == 3


def test_a_rig_that_holds_nobody_asks_for_no_masses(team: Team, browser_of: BrowserOf) -> None:
    plan = make_plan("Haul", team[Role.LEAD], ("haul-3-1", 1, ""))
    plan.people.set([somebody("Jo")])
    page(browser_of, plan)
    assert Working.objects.filter(kind="needs of a rig").count() == 1
    assert "not checked" not in page(browser_of, plan)


def test_leaving_fewer_copies_takes_turns(team: Team, browser_of: BrowserOf) -> None:
    lane_gear(1, (100, 100))
    plan = make_plan("Lanes", team[Role.LEAD], ("tower-day-lane", 2, "Lanes"), more_people=5)
    text = page(browser_of, plan)
    assert "5 people for 2 places: they take turns; each needs a harness of their own" in text
    assert "Rig Lanes once instead of twice and take turns" in text


def test_people_add_no_question_to_the_store_for_each_of_them(
    browser_of: BrowserOf, plan: Plan, django_assert_max_num_queries: Callable[[int], object]
) -> None:
    plan.people.set([somebody(f"Student {k}", mass=60.0 + k) for k in range(30)])
    client = browser_of(Role.LEAD)
    assert client.get(f"/plans/{plan.pk}/").status_code == 200
    with django_assert_max_num_queries(27):  # type: ignore[attr-defined]
        client.get(f"/plans/{plan.pk}/")


def test_taking_the_heaviest_off_the_rope_is_a_repair_that_holds(browser_of: BrowserOf, plan: Plan) -> None:
    heavy = somebody("Bo", mass=TOO_HEAVY)
    plan.people.set([somebody("Ann", mass=60.0), heavy, somebody("Cy", mass=TOO_HEAVY - 1)])
    text = page(browser_of, plan)
    assert "Another duty, off the rope: Bo, Cy" in text
    assert "No piece is then missing, and every rig is within policy at the masses on record." in text
    address = f"/plans/{plan.pk}/change/?off-{heavy.pk}=yes"
    assert address in text.replace("&amp;", "&")
    form = browser_of(Role.LEAD).get(address).content.decode().split("Who teaches, from the roster")[0]
    assert form.count(" checked") == 2
    assert "Nothing is changed before you press the button." in form
    plan.people.set(plan.people.filter(name="Ann"))
    assert "Yes: it can be rigged" in verdict_of(page(browser_of, plan))


def test_nobody_is_taken_off_where_nobody_would_be_left(plan: Plan) -> None:
    plan.people.set([somebody("Bo", mass=TOO_HEAVY)])
    assert without_people(answer(plan, rules_now()), rules_now()) is None


def test_who_may_not_go_on_rope_is_taken_off(plan: Plan) -> None:
    plan.people.set([somebody("Ann", mass=60.0), somebody("Tove", mass=68.0, on_rope=False)])
    found = without_people(answer(plan, rules_now()), rules_now())
    assert found is not None
    assert [person.name for person in found.off] == ["Tove"]
    assert found.missing == ()


def test_a_repair_promises_nothing_of_masses_that_its_reader_may_not_see(
    browser_of: BrowserOf, plan: Plan
) -> None:
    plan.people.set([somebody("Ann", mass=60.0, on_rope=False), somebody("Bo", mass=TOO_HEAVY)])
    address = f"/plans/{plan.pk}/"
    told = browser_of(Role.CUSTODIAN).get(address).content.decode()
    assert "Another duty, off the rope: Ann" in told
    assert "what people weigh is not looked at for you." in told
    assert "every rig is within policy at the masses on record" not in told


# --- several people in one rig

PAIR = """
rig: Two on one rope
points:
  top: {kind: anchor, at: [0, 12], strength: 40 kN}
loads:
  left: {kind: person, mass: 90, at: [-0.5, 5], wears: harness}
  right: {kind: person, mass: 90, at: [0.5, 5], wears: harness}
gear:
  wheel: {is: pulley-single, at: top}
ropes:
  main: {is: rope-12.5-low-stretch, run: [tie left with bowline, through wheel, tie right with bowline]}
policy: {chains: 1, hands-off-chains: 0}
"""


def test_people_of_unequal_mass_in_one_rig_are_no_plain_yes(team: Team) -> None:
    plan = Plan.objects.create(
        title="Pair", day=make_plan("Lane", team[Role.LEAD]).day, made_by=team[Role.LEAD]
    )
    rig = Rig.objects.create(slug="pair")
    rig.save_version(PAIR, team[Role.LEAD], title="Pair")
    PlanLine.objects.create(plan=plan, rig=rig, count=1)
    plan.people.set([somebody("Ann", mass=80.0), somebody("Bo", mass=80.0)])
    assert not answer(plan, rules_now()).uneven
    plan.people.add(somebody("Cy", mass=95.0))
    found = answer(plan, rules_now())
    assert [one.name for one in found.uneven] == ["Pair"]
    assert "people of unequal mass in it not checked" in "; ".join(unknowns(found))


def test_what_speaks_against_a_plan_since_it_was_shown_is_shown_first(plan: Plan, team: Team) -> None:
    """A tick for one reason is none for another: the rig was changed in between, for the same items."""
    plan.people.set([somebody("Ann", mass=60.0)])
    shown = seal(answer(plan, rules_now()))
    rig = plan.lines.get().rig
    text = rig.versions.order_by("-number")[0].text
    rig.save_version(text.replace("strength: 36 kN", "strength: 1 kN"), team[Role.LEAD], title="Lane")
    with pytest.raises(IssueError, match="has changed since the page was opened"):
        give(plan, rules_now(), team[Role.LEAD], shown, None, None, anyway=True)


def test_too_few_instructors_are_no_plain_yes(plan: Plan) -> None:
    plan.people.set([somebody("Ann", mass=60.0)])
    plan.more_people, plan.more_instructors, plan.work = 20, 1, "at-height"
    assert "the policy asks for more instructors" in unknowns(answer(plan, rules_now()))
