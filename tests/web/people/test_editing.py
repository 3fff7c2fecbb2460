"""Adding and changing people: what is refused with what would be right, and that nobody is deleted."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from ropewright.web.access import Role
from ropewright.web.meanwhile import newest
from ropewright.web.people.forms import ChangedPersonForm, PersonForm, PrerequisiteForm, SkillForm
from ropewright.web.people.models import Person, Prerequisite, SkillHeld
from tests.web.people.things import make_person

Browser = Callable[[Role | None], Client]
pytestmark = pytest.mark.django_db


def errors(**given: str) -> dict[str, list[str]]:
    form = PersonForm({"name": "Maren Achterberg"} | given, private=True)
    return {name: [str(error) for error in found] for name, found in form.errors.items()}


def test_a_mass_is_read_in_either_system() -> None:
    for text, kilograms in (("91 kg", 91.0), ("200 lb", 90.718474)):
        form = PersonForm({"name": "Maren Achterberg", "mass": text}, private=True)
        assert form.is_valid()
        assert form.save().mass == kilograms
        Person.objects.all().delete()


@pytest.mark.parametrize("text", ["0 kg", "9000 kg", "24.9 kg", "300.1 kg", "662 lb"])
def test_a_mass_that_nobody_has_is_refused_with_what_would_be_right(text: str) -> None:
    assert errors(mass=text) == {
        "mass": [f"Found ‘{text}’; a person with gear is within 25–300 kg (55–661 lb)."]
    }


@pytest.mark.parametrize(
    ("field", "text", "told"),
    [
        ("mass", "91", "Found ‘91’ without a unit; write kg or lb after it."),
        (
            "mass",
            "0.9 kN",
            "A force (0.9 kN) where a mass is wanted; a mass is given in kg or lb, e.g. 92 kg.",
        ),
        ("mass", "80..90 kg", "Found ‘80..90 kg’; write one figure, not a range."),
        ("pull", "3 kN", "Found ‘3 kN’; a pull is within 0.01–2.00 kN (2–450 lbf)."),
        ("reach", "5 m", "Found ‘5 m’; rope for each pull is within 0.1–3 m (0.3–9.8 ft)."),
        ("name", "  ", "This field is required."),
        ("name", "Maren\u200b", "Found the hidden character U+200B (zero width space); take it out."),
    ],
)
def test_what_makes_no_sense_is_told_at_its_field(field: str, text: str, told: str) -> None:
    assert errors(**{field: text}) == {field: [told]}


def test_a_new_mass_does_not_keep_the_day_on_which_the_old_one_was_weighed() -> None:
    person = Person.objects.create(name="Maren Achterberg", mass=91.0, weighed=date(2026, 10, 12))

    def told(mass: str, weighed: str) -> dict[str, list[str]]:
        sent = {"name": person.name, "mass": mass, "weighed": weighed, "base": newest(person)[0]}
        found = ChangedPersonForm(sent, private=True, instance=Person.objects.get(pk=person.pk)).errors
        return {name: [str(error) for error in errors] for name, errors in found.items()}

    stale = "The mass is another than on 2026-10-12: write the day of the new one, or leave it out."
    assert told("110 kg", "2026-10-12") == {"weighed": [stale]}
    for mass, day in (("91 kg", "2026-10-12"), ("110 kg", ""), ("110 kg", str(timezone.localdate()))):
        assert told(mass, day) == {}


def test_a_day_to_come_and_a_day_without_its_figure_are_refused() -> None:
    tomorrow = timezone.localdate() + timedelta(days=1)
    assert errors(mass="91 kg", weighed=str(tomorrow)) == {
        "weighed": [f"{tomorrow} is in the future; today is {timezone.localdate()}"]
    }
    assert errors(weighed="2026-01-05") == {
        "weighed": ["A date without a mass: state a mass, or take the date out."]
    }
    assert errors(mass="91 kg", weighed="0026-01-05") == {
        "weighed": ["0026-01-05 is outside 1950 to 2100; check the year"]
    }


def test_two_people_of_one_name_need_numbers() -> None:
    Person.objects.create(name="Maren Achterberg")
    assert "is on the roster already" in errors()["name"][0]
    assert errors(mark="TH-07") == {}


def test_a_figure_that_is_shown_again_reads_back_as_the_very_same() -> None:
    person = Person.objects.create(name="Maren Achterberg", mass=90.718474, pull=133.0, reach=0.77)
    form = PersonForm(instance=person, private=True)
    shown = {name: form[name].value() for name in ("mass", "pull", "reach")}
    assert shown == {
        "mass": "200 lb",
        "pull": "133 N" if shown["pull"] == "133 N" else "0.133 kN",
        "reach": "0.77 m",
    }
    again = PersonForm({"name": person.name, **shown}, instance=person, private=True).save()
    assert (again.mass, again.pull, again.reach) == (90.718474, 133.0, 0.77)


def test_a_refused_form_comes_back_with_what_was_typed(browser_of: Browser) -> None:
    answer = browser_of(Role.LEAD).post(
        reverse("people:add"), {"name": "Maren Achterberg", "mass": "9000 kg"}
    )
    assert answer.status_code == 422
    assert 'value="9000 kg"' in answer.text
    assert not Person.objects.filter(name="Maren Achterberg").exists()


def test_somebody_who_leaves_is_kept(browser_of: Browser) -> None:
    browser, person = browser_of(Role.LEAD), make_person("Alma Vintner")
    url = reverse("people:active", kwargs={"person": person.pk})
    browser.post(url, {"active": "no"})
    person.refresh_from_db()
    assert (person.active, person.mass) == (False, 83.3)
    for which, seen in (("active", False), ("inactive", True)):
        rows = browser.get(reverse("people:roster"), {"which": which}).context["rows"]
        assert (person in [row["person"] for row in rows]) == seen
    browser.post(url, {"active": "yes"})
    person.refresh_from_db()
    assert person.active


def test_what_somebody_has_is_added_changed_and_taken_out_and_the_history_keeps_it(
    browser_of: Browser,
) -> None:
    browser, person = browser_of(Role.LEAD), make_person("Alma Vintner")
    url = reverse("people:add-prerequisite", kwargs={"person": person.pk})
    assert browser.post(url, {"kind": "first aid certificate", "expires": "2027-03-01"}).status_code == 302
    made = Prerequisite.objects.get(kind="first aid certificate")
    url = reverse("people:change-prerequisite", kwargs={"prerequisite": made.pk})
    assert browser.post(url, {"kind": made.kind, "expires": "2028-03-01"}).status_code == 302
    assert browser.post(url + "remove/").status_code == 302
    told = browser.get(reverse("people:history", kwargs={"person": person.pk})).text
    assert "first aid certificate removed" in told
    assert "expires: 2027-03-01 → 2028-03-01" in told


def test_nothing_expires_before_it_began() -> None:
    form = PrerequisiteForm({"kind": "medical", "got": "2026-05-01", "expires": "2026-04-30"})
    assert form.errors["expires"] == ["Found 2026-04-30, which is before it began on 2026-05-01."]


def test_a_skill_stands_once_and_is_not_seen_before_it_began(browser_of: Browser) -> None:
    person = make_person("Alma Vintner")
    form = SkillForm(
        {"skill": "Knot Pass", "since": "2026-05-01", "verified": "2026-04-30"},
        instance=SkillHeld(person=person),
    )
    assert form.errors == {
        "verified": ["Found 2026-04-30, which is before it began on 2026-05-01."],
        "skill": ["‘Knot Pass’ stands here already; change that entry."],
    }
    held = SkillHeld.objects.get(person=person)
    url = reverse("people:change-skill", kwargs={"skill": held.pk})
    answer = browser_of(Role.LEAD).post(
        url, {"skill": "knot pass", "since": "2025-06-01", "verified": "2026-04-30"}
    )
    assert answer.status_code == 302
    held.refresh_from_db()
    assert held.verified == date(2026, 4, 30)
    assert held.entered_by is not None


def test_an_entry_that_somebody_else_changed_meanwhile_is_not_saved_over(browser_of: Browser) -> None:
    person = make_person("Maren Achterberg")
    url = reverse("people:change", kwargs={"person": person.pk})
    sent = {"name": "Maren Achterberg", "base": newest(person)[0]}
    lead, other = browser_of(Role.LEAD), browser_of(Role.LEAD)
    assert lead.post(url, sent | {"duty": "attendant"}).status_code == 302
    late = other.post(url, sent | {"agency": "Tern Harbor"})
    assert late.status_code == 422
    assert "Lead Person changed this entry since you opened it" in late.text
    person.refresh_from_db()
    assert (person.duty, person.agency) == ("attendant", "")


@pytest.mark.django_db(transaction=True)
def test_a_button_that_is_pressed_four_times_adds_one_person(browser_of: Browser) -> None:
    together, statuses = threading.Barrier(4), list[int]()
    browsers = [browser_of(Role.LEAD) for _ in range(4)]

    def press(browser: Client) -> None:
        together.wait(20)
        try:
            statuses.append(browser.post(reverse("people:add"), {"name": "Twin Probe"}).status_code)
        finally:
            connection.close()

    threads = [threading.Thread(target=press, args=(browser,)) for browser in browsers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert Person.objects.filter(name="Twin Probe").count() == 1
    assert sorted(statuses) == [302, 422, 422, 422]
