"""Making and changing a plan."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

from django.test import Client
from django.utils import timezone

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.people.models import Person
from ropewright.web.planning.models import Plan, PlanExtra, PlanLine
from tests.web.planning.things import LANE, make_plan, saturday
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]


def form(*lines: dict[str, Any], extras: tuple[dict[str, Any], ...] = (), **known: Any) -> dict[str, Any]:
    data: dict[str, Any] = {"title": "Saturday", "day": str(saturday()), "work": "", "base": 0, **known}
    for prefix, rows in (("lines", lines), ("extras", extras)):
        data |= {f"{prefix}-TOTAL_FORMS": len(rows), f"{prefix}-INITIAL_FORMS": 0}
        for k, row in enumerate(rows):
            data |= {f"{prefix}-{k}-{key}": value for key, value in row.items()}
    return data


def test_a_plan_is_made_with_its_rigs_gear_and_people(browser_of: BrowserOf, team: Team) -> None:
    rig = make_rig(LANE, team[Role.LEAD])
    person = Person.objects.create(name="Per Lund")
    data = form(
        {"rig": rig.pk, "count": 3, "station": "Lanes"},
        {"rig": "", "count": 1, "station": ""},
        extras=({"type": "sling", "count": 4, "length": "", "size": "", "station": "Lanes"},),
        people=[person.pk],
        more_people=11,
    )
    response = browser_of(Role.INSTRUCTOR).post("/plans/new/", data)
    plan = Plan.objects.get()
    assert response.headers["Location"] == f"/plans/{plan.pk}/"
    assert [(line.rig_id, line.count, line.station) for line in plan.lines.all()] == [(rig.pk, 3, "Lanes")]
    assert [(extra.type, extra.count) for extra in plan.extras.all()] == [("sling", 4)]
    assert (list(plan.people.all()), plan.more_people, plan.made_by) == ([person], 11, team[Role.INSTRUCTOR])


def test_a_rig_begins_a_plan_with_itself(browser_of: BrowserOf, team: Team) -> None:
    rig = make_rig(LANE, team[Role.LEAD])
    text = browser_of(Role.LEAD).get("/plans/new/?rig=tower-day-lane").content.decode()
    assert f'<option value="{rig.pk}" selected>' in text


def test_a_day_that_has_passed_is_refused_and_what_was_typed_stays(browser_of: BrowserOf, team: Team) -> None:
    yesterday = timezone.localdate() - timedelta(days=1)
    response = browser_of(Role.LEAD).post("/plans/new/", form(title="Mine", day=str(yesterday)))
    assert response.status_code == 422
    assert f"{yesterday} has passed; give today or a later day" in response.content.decode()
    assert 'value="Mine"' in response.content.decode()
    assert not Plan.objects.exists()


def test_a_plan_without_a_day_asks_for_it(browser_of: BrowserOf, team: Team) -> None:
    response = browser_of(Role.LEAD).post("/plans/new/", form(day=""))
    assert response.status_code == 422
    assert "say on which day" in response.content.decode()


def test_a_refused_plan_says_at_its_head_what_is_to_be_mended(browser_of: BrowserOf, team: Team) -> None:
    rig, person = make_rig(LANE, team[Role.LEAD]), Person.objects.create(name="Per Lund")
    rows = ({"rig": rig.pk, "count": 1, "station": ""}, {"rig": rig.pk, "count": 51, "station": ""})
    extras = ({"type": "sling", "count": 1, "length": "20", "size": "", "station": ""},)
    sent = form(*rows, extras=extras, day="", people=[person.pk], instructors=[person.pk])
    text = browser_of(Role.LEAD).post("/plans/new/", sent).content.decode()
    box = text.split('<div class="to-mend" tabindex="-1" autofocus')[1].split("</div>")[0]
    assert text.index("to-mend") < text.index('name="title"')
    assert '<a href="#id_day">Day</a>: say on which day' in box
    assert '<a href="#id_lines-1-count">Rig 2, How many</a>: ' in box
    assert '<a href="#id_extras-0-length">Gear 1, Least length</a>: ' in box
    assert '<a href="#id_instructors">Who teaches, from the roster</a>: Per Lund can' in box
    assert box.count("<li>") == 4
    assert all(f'id="{place}"' in text for place in re.findall(r'href="#([^"]+)"', box))


def test_a_plan_that_is_only_opened_has_nothing_to_mend(browser_of: BrowserOf) -> None:
    assert "to-mend" not in browser_of(Role.LEAD).get("/plans/new/").content.decode()


def test_nobody_goes_on_rope_and_teaches(browser_of: BrowserOf, team: Team) -> None:
    person = Person.objects.create(name="Per Lund")
    response = browser_of(Role.LEAD).post("/plans/new/", form(people=[person.pk], instructors=[person.pk]))
    assert response.status_code == 422
    assert "Per Lund can&#x27;t both go on rope and teach" in response.content.decode()


def test_too_many_of_one_rig_are_refused(browser_of: BrowserOf, team: Team) -> None:
    rig = make_rig(LANE, team[Role.LEAD])
    response = browser_of(Role.LEAD).post("/plans/new/", form({"rig": rig.pk, "count": 51, "station": ""}))
    assert response.status_code == 422


def test_hidden_characters_are_refused(browser_of: BrowserOf, team: Team) -> None:
    response = browser_of(Role.LEAD).post("/plans/new/", form(title="Satur\u202eday"))
    assert response.status_code == 422
    assert "hidden character" in response.content.decode()


def test_more_rows_keep_what_was_typed_and_save_nothing(browser_of: BrowserOf, team: Team) -> None:
    rig = make_rig(LANE, team[Role.LEAD])
    data = form({"rig": rig.pk, "count": 2, "station": "A"}, title="Mine", more="1")
    response = browser_of(Role.LEAD).post("/plans/new/", data)
    assert response.status_code == 200
    text = response.content.decode()
    assert 'name="lines-TOTAL_FORMS" value="5"' in text
    assert f'<option value="{rig.pk}" selected>' in text
    assert not Plan.objects.exists()


def test_a_line_is_taken_out(browser_of: BrowserOf, team: Team) -> None:
    plan = make_plan("Saturday", team[Role.LEAD], (LANE, 2, "A"))
    line = plan.lines.get()
    data = form({"id": line.pk, "rig": line.rig_id, "count": 2, "station": "A", "DELETE": "on"})
    data["lines-INITIAL_FORMS"] = 1
    response = browser_of(Role.LEAD).post(f"/plans/{plan.pk}/change/", data)
    assert response.status_code == 302
    assert not PlanLine.objects.exists()


def test_a_plan_that_somebody_else_changed_meanwhile_is_not_saved_over(
    browser_of: BrowserOf, team: Team
) -> None:
    plan = make_plan("Saturday", team[Role.LEAD], (LANE, 2, "A"))
    line = plan.lines.get()
    row = {"id": line.pk, "rig": line.rig_id, "count": 3, "station": "A"}
    first, second = browser_of(Role.LEAD), browser_of(Role.INSTRUCTOR)
    url = f"/plans/{plan.pk}/change/"
    opened = re.search(r'name="base" value="(\d+)"', first.get(url).content.decode())
    assert opened
    sent = {**form(row, title="By the lead", base=opened[1]), "lines-INITIAL_FORMS": 1}
    assert first.post(url, sent).status_code == 302
    late = second.post(url, {**sent, "title": "By the instructor", "lines-0-count": 9})
    assert late.status_code == 422
    text = late.content.decode()
    assert "changed this plan since you opened it" in text
    assert 'value="By the instructor"' in text
    plan.refresh_from_db()
    assert (plan.title, plan.lines.get().count) == ("By the lead", 3)
    again = re.search(r'name="base" value="(\d+)"', text)
    assert again
    assert second.post(url, {**sent, "title": "By both", "base": again[1]}).status_code == 302


def test_a_plan_of_the_past_can_still_be_changed(browser_of: BrowserOf, team: Team) -> None:
    before = timezone.localdate() - timedelta(days=9)
    plan = make_plan("Old", team[Role.LEAD], day=before)
    response = browser_of(Role.LEAD).post(f"/plans/{plan.pk}/change/", form(title="Older", day=str(before)))
    assert response.status_code == 302
    plan.refresh_from_db()
    assert plan.title == "Older"


def test_a_length_is_read_with_its_unit(browser_of: BrowserOf, team: Team) -> None:
    extra = {"type": "rope-11-low-stretch", "count": 1, "length": "150 ft", "size": "", "station": ""}
    browser_of(Role.LEAD).post("/plans/new/", form(extras=(extra,)))
    assert PlanExtra.objects.get().length == 150 * 0.3048


def test_the_list_says_what_to_do_where_there_is_no_plan(browser_of: BrowserOf, team: Team) -> None:
    assert "No plan yet. Make one" in browser_of(Role.LEAD).get("/plans/").content.decode()


def test_the_list_asks_no_more_for_more_plans(
    browser_of: BrowserOf, team: Team, django_assert_max_num_queries: Callable[[int], object]
) -> None:
    for k in range(12):
        Plan.objects.create(title=f"Plan {k}", day=saturday(), made_by=team[Role.LEAD])
    client = browser_of(Role.LEAD)
    with django_assert_max_num_queries(8):  # type: ignore[attr-defined]
        assert client.get("/plans/").status_code == 200


def test_a_repair_fills_the_form_in_and_writes_nothing(browser_of: BrowserOf, team: Team) -> None:
    plan = make_plan("Saturday", team[Role.LEAD], (LANE, 4, "A"), (LANE, 2, "B"))
    four, two = plan.lines.all()
    asked = f"rig-{four.pk}=3&rig-{two.pk}=0&lend=yes"
    text = browser_of(Role.LEAD).get(f"/plans/{plan.pk}/change/?{asked}").content.decode()
    assert 'name="lines-0-count" value="3"' in text
    assert re.search(r'<input[^>]*name="lines-1-DELETE"[^>]* checked', text)
    assert re.search(r'<input[^>]*name="lend"[^>]* checked', text)
    assert "Nothing is changed before you press the button" in text
    assert [line.count for line in plan.lines.all()] == [4, 2]


def test_what_is_no_count_proposes_nothing(browser_of: BrowserOf, team: Team) -> None:
    plan = make_plan("Saturday", team[Role.LEAD], (LANE, 4, "A"))
    text = browser_of(Role.LEAD).get(f"/plans/{plan.pk}/change/?rig-{plan.lines.get().pk}=-1&lend=x")
    assert 'name="lines-0-count" value="4"' in text.content.decode()
    assert "filled in as the repair" not in text.content.decode()


def test_more_rigs_than_a_day_holds_are_refused(browser_of: BrowserOf, team: Team) -> None:
    rig = make_rig(LANE, team[Role.LEAD])
    fifty = {"rig": rig.pk, "count": 50, "station": ""}
    response = browser_of(Role.LEAD).post("/plans/new/", form(fifty, fifty, {**fifty, "count": 1}))
    assert response.status_code == 422
    assert "101 rigs in all are more than a plan holds (100); plan them as two" in response.content.decode()
    assert not Plan.objects.exists()
    assert browser_of(Role.LEAD).post("/plans/new/", form(fifty, fifty)).status_code == 302
