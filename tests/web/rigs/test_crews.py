"""Who can work a rig, told by name only to those who may read masses."""

from __future__ import annotations

from collections.abc import Callable

from django.test import Client
from django.urls import reverse

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.people.models import Person
from ropewright.web.workings.models import Working
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]

BELOW = "These limits are the gear's own: at a mass below them the check may still find a factor too small"


def _crew(browser: Client, slug: str) -> str:
    return browser.get(reverse("rigs:crew", args=(slug, 1)), headers={"hx-request": "true"}).content.decode()


def test_an_instructor_reads_who_of_the_roster_can(team: Team, browser_of: BrowserOf) -> None:
    make_rig("self-haul-one-sheave", team[Role.LEAD])
    Person.objects.create(name="Otis <i>Pellerin</i>", mass=146.0)
    Person.objects.create(name="Without Mass")
    page = _crew(browser_of(Role.INSTRUCTOR), "self-haul-one-sheave")
    assert "Otis &lt;i&gt;Pellerin&lt;/i&gt;" in page
    assert "equipment limit" in page
    assert "the harness is rated for 140 kg (309 lb)" in page
    assert "1 person has no mass on the roster" in page


def test_a_student_reads_classes_of_mass_and_themselves_only(team: Team, browser_of: BrowserOf) -> None:
    make_rig("self-haul-one-sheave", team[Role.LEAD])
    Person.objects.create(name="Otis Pellerin", mass=146.0)
    page = _crew(browser_of(Role.STUDENT), "self-haul-one-sheave")
    assert "Otis Pellerin" not in page
    assert "146" not in page
    assert "Student Person" in page
    assert "<td>90 kg (198 lb)</td>" in page


def test_an_auditor_reads_no_name_at_all(team: Team, browser_of: BrowserOf) -> None:
    make_rig("self-haul-one-sheave", team[Role.LEAD])
    page = _crew(browser_of(Role.AUDITOR), "self-haul-one-sheave")
    assert "Person</td>" not in page
    assert "<td>60 kg (132 lb)</td>" in page


def test_for_a_weight_it_says_how_many_have_to_haul(team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    page = _crew(browser_of(Role.STUDENT), "haul-3-1")
    assert "Haulers, short pull" in page
    assert "3 haulers as in the file" in page


def test_people_off_the_rope_are_not_put_on_it(team: Team, browser_of: BrowserOf) -> None:
    make_rig("self-haul-one-sheave", team[Role.LEAD])
    Person.objects.create(name="Tove Lindqvist", mass=68.0, duty="safety officer")
    Person.objects.create(name="Ravi Marchetti", mass=88.0, on_rope=False)
    page = _crew(browser_of(Role.LEAD), "self-haul-one-sheave")
    assert "Tove Lindqvist" not in page
    assert "Ravi Marchetti" not in page


def test_what_is_kept_in_the_store_holds_no_name(team: Team, browser_of: BrowserOf) -> None:
    make_rig("self-haul-one-sheave", team[Role.LEAD])
    Person.objects.create(name="Otis Pellerin", mass=146.0)
    page = _crew(browser_of(Role.INSTRUCTOR), "self-haul-one-sheave")
    assert "Otis Pellerin" in page
    kept = Working.objects.filter(kind__in=("rig-crew", "rig-limits"))
    assert len(kept) == 3
    assert "Otis" not in str([each.data for each in kept])


def test_without_scripts_it_is_a_page_of_its_own(team: Team, browser_of: BrowserOf) -> None:
    make_rig("self-haul-one-sheave", team[Role.LEAD])
    page = browser_of(Role.STUDENT).get(reverse("rigs:crew", args=("self-haul-one-sheave", 1)))
    assert "<title>Who can work self-haul-one-sheave" in page.content.decode()


def test_those_who_teach_read_the_roster_and_the_classes_of_mass(team: Team, browser_of: BrowserOf) -> None:
    make_rig("self-haul-one-sheave", team[Role.LEAD])
    page = _crew(browser_of(Role.LEAD), "self-haul-one-sheave")
    assert "<td>Lead Person</td>" in page
    assert "<td>60 kg (132 lb)</td>" in page


def test_the_classes_of_mass_stay_what_they_are_when_the_roster_grows(
    team: Team, browser_of: BrowserOf
) -> None:
    make_rig("self-haul-one-sheave", team[Role.LEAD])
    before = _of_classes(browser_of(Role.LEAD))
    Person.objects.create(name="Otis Pellerin", mass=96.0)
    assert _of_classes(browser_of(Role.LEAD)) == before
    assert before[0].startswith("<td>60 kg (132 lb)</td>")


def _of_classes(browser: Client) -> list[str]:
    rows = _crew(browser, "self-haul-one-sheave").split("<tr>")
    return rows[next(k for k, row in enumerate(rows) if "60 kg (132 lb)</td>" in row) :]


def test_a_rig_at_rest_says_who_is_over_what_it_takes(team: Team, browser_of: BrowserOf) -> None:
    make_rig("descent-locked-off", team[Role.LEAD])
    Person.objects.create(name="Otis Pellerin", mass=146.0)
    page = _crew(browser_of(Role.INSTRUCTOR), "descent-locked-off")
    limits = page[page.index('id="limits"') :]
    assert "equipment limit" in limits
    assert "Otis Pellerin" in limits
    assert "Lead Person" not in limits
    assert BELOW in limits


def test_a_rig_at_rest_tells_a_student_classes_of_mass_and_no_name(team: Team, browser_of: BrowserOf) -> None:
    rig = make_rig("descent-locked-off", team[Role.LEAD])
    Person.objects.create(name="Otis Pellerin", mass=146.0)
    page = _crew(browser_of(Role.STUDENT), "descent-locked-off")
    assert "Otis" not in page
    assert "146" not in page
    assert 'id="limits"' in page
    assert BELOW in page
    opened = browser_of(Role.STUDENT).get(reverse("rigs:open", args=(rig.slug,))).content.decode()
    assert reverse("rigs:crew", args=(rig.slug, 1)) in opened


def test_a_limit_that_nobody_stated_is_not_known(team: Team, browser_of: BrowserOf) -> None:
    rig = make_rig("descent-locked-off", team[Role.LEAD])
    rig.save_version(rig.current.text.replace("wears: harness", "about: Someone"), team[Role.LEAD])
    page = browser_of(Role.LEAD).get(reverse("rigs:crew", args=(rig.slug, 2))).content.decode()
    assert "The file does not say what carries them. Unknown never passes." in page
