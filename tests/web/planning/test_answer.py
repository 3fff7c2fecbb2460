"""The result page: the verdict, what it follows from, and who sees what."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.gear import states
from ropewright.web.gear.issues import Line, Purpose, give_out
from ropewright.web.gear.models import Item
from ropewright.web.people.models import Person
from ropewright.web.planning.answer import answer
from ropewright.web.planning.models import Plan, PlanExtra
from ropewright.web.planning.repairs import repairs_told
from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.now import forget_rules, rules_now, shipped_rules
from tests.web.planning.things import LANE, lane_gear, make_plan, saturday, somebody

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]


def page(browser_of: BrowserOf, plan: Plan, role: Role = Role.LEAD) -> str:
    response = browser_of(role).get(f"/plans/{plan.pk}/")
    assert response.status_code == 200
    return response.content.decode()


def have_all(plan: Plan, station: str) -> None:
    """Gear for what one station lacks."""
    found = answer(plan, rules_now()).solved.allotment
    Item.objects.bulk_create(
        Item(mark=f"more {n} {k}", type=need.type, length=need.length, size=need.size, next_due=saturday())
        for n, need in enumerate(found.needs)
        for k in range(need.count)
        if need.unit.name == station
    )


def before_the_form(text: str) -> str:
    """The page without the form that lists everybody who might take the items."""
    return text.split("Give these items out")[0]


def keep(mark: str, **known: object) -> None:
    Item.objects.filter(mark=mark).update(**known)


def test_a_lane_that_the_cache_has_can_be_rigged(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(1, (100, 100))
    text = page(browser_of, make_plan("Lane", team[Role.LEAD]))
    assert "Yes: it can be rigged" in text
    assert "R1" in text
    assert "descender-self-braking 1" in text


def test_three_lanes_with_a_75_ft_rope_are_refused_with_the_reason(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(3, (100, 100, 100, 100, 100, 75))
    text = page(browser_of, make_plan("Fixed lines", team[Role.LEAD], (LANE, 3, "Lanes")))
    assert "No: not as planned" in text
    assert "R6: is 22.9 m (75 ft) long, 27.4 m (90 ft) is asked" in text
    assert "Rig Lanes twice instead of 3 times" in text
    assert "1 × rope-11-low-stretch: 27.4 m (90 ft) or longer" in text


def test_the_page_follows_the_store(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(1, (100, 100))
    plan = make_plan("Lane", team[Role.LEAD])
    assert "Yes: it can be rigged" in page(browser_of, plan)
    states.quarantine(Item.objects.get(mark="R1").pk, "heat glaze", team[Role.LEAD])
    text = page(browser_of, plan)
    assert "No: not as planned" in text
    assert "R1: quarantined: heat glaze" in text


def test_two_plans_of_a_day_that_each_could_be_rigged_alone(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(1, (100, 100))
    plan, other = make_plan("Lane", team[Role.LEAD]), make_plan("Evening drill", team[Role.LEAD])
    text = page(browser_of, plan)
    assert "Yes: it can be rigged" in text
    assert "Together with “Evening drill” that day, pieces are missing: " in text
    assert "1 × descender-self-braking" in text
    assert "2 × rope-11-low-stretch, 27.4 m (90 ft)" in text
    other.day += timedelta(days=1)
    other.save()
    assert "Evening drill" not in before_the_form(page(browser_of, plan))


def test_two_plans_of_a_day_for_which_there_is_enough(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(2, (100, 100, 100, 100))
    plan = make_plan("Lane", team[Role.LEAD])
    make_plan("Evening drill", team[Role.LEAD])
    text = page(browser_of, plan)
    assert "There is enough for “Evening drill” that day too" in text
    assert "Only what is given out is held" in text


def test_an_overdue_rope_is_a_step_for_a_competent_person(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(1, (100, 100))
    keep("R2", next_due=saturday() - timedelta(days=20))
    text = page(browser_of, make_plan("Lane", team[Role.LEAD]))
    assert "20 days before" in text
    assert "Have R2 of 30.5 m (100 ft) inspected by a competent person before" in text
    assert text.count("Have R2 of") == 1
    assert f"/gear/inspect/?item={Item.objects.get(mark='R2').pk}" in text


def test_who_may_not_keep_gear_is_offered_no_inspection(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(1, (100, 100))
    keep("R2", next_due=None)
    assert "/gear/inspect/" not in page(browser_of, make_plan("Lane", team[Role.LEAD]), Role.AUDITOR)


def test_the_front_line_is_lent_only_where_the_plan_says_so(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(1, (100, 100))
    keep("R2", front_line=True)
    plan = make_plan("Lane", team[Role.LEAD])
    assert "Lend R2 of 30.5 m (100 ft) from the front line" in page(browser_of, plan)
    Plan.objects.update(lend=True)
    text = page(browser_of, plan)
    assert "Yes: it can be rigged" in text
    assert "Lent from the front line: R2." in text


def test_the_reserve_is_never_lent(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(1, (100, 100))
    keep("R2", front_line=True)
    PolicyVersion.objects.create(
        number=1,
        name="House",
        team="Team",
        rules=shipped_rules(),
        reserve=[{"type": "rope-11-low-stretch", "length": 20.0, "count": 1}],
    )
    forget_rules()
    text = page(browser_of, make_plan("Lane", team[Role.LEAD], lend=True))
    assert "No: not as planned" in text
    assert "the policy keeps 1, the front line holds 1" in text


def test_what_is_out_counts_if_it_is_wanted_back_before_the_day(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(1, (100, 100))
    plan = make_plan("Lane", team[Role.LEAD])
    issue = give_out(Purpose("night drill"), [Line(Item.objects.get(mark="R1").pk)], team[Role.LEAD])
    assert "R1: out for night drill" in page(browser_of, plan)
    issue.until = saturday() - timedelta(days=2)
    issue.save()
    assert "as they are wanted back before the day: R1" in page(browser_of, plan)
    issue.until = timezone.localdate() - timedelta(days=1)
    issue.save()
    assert "R1: out for night drill, wanted back" in page(browser_of, plan)


@pytest.fixture
def heavy(team: Team) -> Plan:
    lane_gear(1, (100, 100))
    plan = make_plan("Lane", team[Role.LEAD])
    plan.people.set(
        [somebody("Wilma Okafor", mass=146.0), somebody("Per Lund", mass=95.0), somebody("Jo Tan")]
    )
    return plan


@pytest.mark.parametrize("role", [Role.LEAD, Role.INSTRUCTOR])
def test_who_is_over_a_limit_is_named_to_those_who_teach(
    browser_of: BrowserOf, heavy: Plan, role: Role
) -> None:
    text = before_the_form(page(browser_of, heavy, role))
    assert "Wilma Okafor, 146 kg (322 lb) with gear: equipment limit at" in text
    assert "is rated for 140 kg (309 lb)" in text
    assert "Per Lund" not in text
    assert "No mass on record: Jo Tan" in text
    assert "fail" not in text.replace("no failure of the person", "")


OTHERS = [Role.CUSTODIAN, Role.AUDITOR]


@pytest.mark.parametrize("role", OTHERS)
def test_others_are_told_that_limits_of_people_are_not_shown_to_them(
    browser_of: BrowserOf, heavy: Plan, role: Role
) -> None:
    text = before_the_form(page(browser_of, heavy, role))
    assert "Whether people are within its limits is not shown to you." in text
    assert "3 people from the roster: whether they are within the limits of the gear is shown to" in text
    for word in (
        "Wilma",
        "Jo Tan",
        "146 kg",
        "322 lb",
        "equipment limit",
        "No mass on record",
        "within every limit",
    ):
        assert word not in text


@pytest.mark.parametrize("role", OTHERS)
def test_a_plan_for_one_person_tells_others_the_same_whatever_the_mass(
    browser_of: BrowserOf, heavy: Plan, role: Role
) -> None:
    pages = []
    for mass in (95.0, 146.0, None):
        heavy.people.set([somebody("Alex Moe", mass=mass)])
        text = before_the_form(page(browser_of, heavy, role))
        pages.append(text.split("<main")[1])
    assert pages[0] == pages[1] == pages[2]


def test_a_custodian_is_told_of_the_own_limit_alone(browser_of: BrowserOf, heavy: Plan, team: Team) -> None:
    own = Person.objects.create(name="Cust Odian", mass=150.0)
    Account.objects.filter(pk=team[Role.CUSTODIAN].pk).update(person=own)
    heavy.people.add(own)
    text = before_the_form(page(browser_of, heavy, Role.CUSTODIAN))
    assert "1 person is over a limit of the gear" in text
    assert "Cust Odian, 150 kg (331 lb) with gear: equipment limit at" in text
    assert "Wilma" not in text
    assert "3 people from the roster: whether they are within" in text


@pytest.mark.parametrize("role", [Role.LEAD, Role.INSTRUCTOR])
def test_those_who_teach_are_shown_every_limit(browser_of: BrowserOf, heavy: Plan, role: Role) -> None:
    heavy.people.set(Person.objects.filter(name="Per Lund"))
    text = page(browser_of, heavy, role)
    assert "1 person from the roster is within every limit of the gear" in text
    assert "not shown to you" not in text


def test_a_harness_of_its_own_rating_may_take_the_heaviest(browser_of: BrowserOf, heavy: Plan) -> None:
    for kind in ("harness", "descender-self-braking", "running-back-up"):
        keep(f"{kind} 1", user_mass=160)
    assert "equipment limit" not in page(browser_of, heavy)


def test_too_few_instructors_are_told(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(1, (100, 100))
    plan = make_plan("Lane", team[Role.LEAD], work="at-height", more_people=24, more_instructors=4, groups=3)
    assert "of 3 groups one has 8 students and 1 instructor; the policy allows 6" in page(browser_of, plan)


def test_a_rig_outside_policy_cannot_be_planned(browser_of: BrowserOf, team: Team) -> None:
    text = page(browser_of, make_plan("Wrong", team[Role.LEAD], ("wrong-device-reversed", 1, "Post")))
    assert "is outside policy as it is written" in text
    assert "No: not as planned" in text


def test_a_way_does_not_hide_a_rig_outside_policy(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(1, (100, 100))
    plan = make_plan("Wrong", team[Role.LEAD], (LANE, 2, "Lanes"), ("wrong-device-reversed", 1, "Post"))
    have_all(plan, "Post")
    text = page(browser_of, plan)
    assert "Ways that work" not in text
    ways = text.split("Ways to have every piece, with something else still in the way")[1].split("<h3>")[0]
    assert "Rig Lanes once instead of twice" in ways
    assert "Post is outside policy as it is written: it has to be mended or left out first." in ways
    assert "All the rest can be rigged" not in ways


def test_leaving_out_what_is_outside_policy_is_a_repair_of_its_own(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(1, (100, 100))
    plan = make_plan("Wrong", team[Role.LEAD], (LANE, 1, "Lane"), ("wrong-device-reversed", 1, "Post"))
    have_all(plan, "Post")
    extra = PlanExtra.objects.create(plan=plan, type="manikin", count=1, station="Post")
    text = page(browser_of, plan)
    assert "Leave out Post, which is outside policy, with the gear that goes with it" in text
    assert f"?rig-{plan.lines.all()[1].pk}=0&amp;extra-{extra.pk}=0" in text
    Item.objects.create(mark="M1", type="manikin", next_due=saturday())
    text = page(browser_of, plan)
    assert "Missing: " not in text
    own = text.split("Without what can't be rigged as it is written")[1].split("</ul>")[0]
    assert "All the rest can be rigged." in own


def test_leaving_out_what_is_outside_policy_says_what_is_still_missing(team: Team) -> None:
    lane_gear(1, (100,))
    plan = make_plan("Wrong", team[Role.LEAD], (LANE, 1, "Lane"), ("wrong-device-reversed", 1, "Post"))
    without = repairs_told(answer(plan, rules_now()), rules_now()).without
    assert without is not None
    assert without.then == "Still missing: 1 × rope-11-low-stretch, 27.4 m (90 ft)."


def test_gear_beside_the_rigs_is_left_out_in_words_and_by_its_form(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(1, (100, 100))
    plan = make_plan("Lane", team[Role.LEAD], (LANE, 1, "Lane"))
    extra = PlanExtra.objects.create(plan=plan, type="manikin", count=1)
    text = page(browser_of, plan)
    assert "Leave out the gear that stands beside the rigs" in text
    assert f"/plans/{plan.pk}/change/?extra-{extra.pk}=0" in text
    form = browser_of(Role.LEAD).get(f"/plans/{plan.pk}/change/?extra-{extra.pk}=0").content.decode()
    assert re.search(r'<input[^>]*name="extras-0-DELETE"[^>]* checked', form)


def test_a_row_that_a_longer_rope_serves_says_so(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(1, (100, 100, 200))
    plan = make_plan("Lane", team[Role.LEAD], (LANE, 1, "Lane"))
    PlanExtra.objects.create(plan=plan, type="rope-11-low-stretch", count=1, length=20.0)
    row = page(browser_of, plan).split('row">rope-11-low-stretch, 20 m')[1].split("</tr>")[0]
    assert re.search(r"served by a longer rope, R[123], counted in a row above", row)
    assert "</span> served by a longer rope</span>" in row
    assert "no spare" not in row
    assert ">0 + 1</td>" in row


def test_a_rig_whose_text_cannot_be_used_is_said_to_be_so(browser_of: BrowserOf, team: Team) -> None:
    plan = make_plan("Broken", team[Role.LEAD])
    plan.lines.get().rig.save_version("rig: [", team[Role.LEAD])
    text = page(browser_of, plan)
    assert "can&#x27;t be used" in text
    assert "No: not as planned" in text


def test_gear_beside_a_rig_goes_with_its_station(team: Team) -> None:
    lane_gear(2, (100,) * 4)
    plan = make_plan("Lanes", team[Role.LEAD], (LANE, 2, "Lanes"))
    PlanExtra.objects.create(plan=plan, type="manikin", count=1, station="Lanes")
    PlanExtra.objects.create(plan=plan, type="manikin", count=3)
    found = answer(plan, rules_now())
    (row,) = [row for row in found.rows if row.type == "manikin"]
    assert (row.need, row.gap) == (5, 5)
    assert [one.name for one in found.asked] == ["Lanes", "Gear beside the rigs"]


def test_an_empty_plan_says_what_to_do(browser_of: BrowserOf, team: Team) -> None:
    plan = Plan.objects.create(title="Empty", day=saturday(), made_by=team[Role.LEAD])
    text = page(browser_of, plan)
    assert "No: not as planned" in text
    assert "Choose its rigs" in text


def test_the_questions_to_the_store_do_not_grow_with_the_plan(
    browser_of: BrowserOf, team: Team, django_assert_max_num_queries: Callable[[int], object]
) -> None:
    lane_gear(4, (100,) * 8)
    client = browser_of(Role.LEAD)
    plan = make_plan("Lanes", team[Role.LEAD], *((LANE, 1, f"Lane {k}") for k in range(4)))
    assert client.get(f"/plans/{plan.pk}/").status_code == 200
    with django_assert_max_num_queries(26):  # type: ignore[attr-defined]
        client.get(f"/plans/{plan.pk}/")
