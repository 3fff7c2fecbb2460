"""People in and out as tables, through the pages; masses for few."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from ropewright.web.access import Role
from ropewright.web.people.models import Person
from tests.web.tables.files import csv_bytes

BrowserOf = Callable[[Role | None], Client]
PRIVATE = (
    "mass with gear",
    "weighed",
    "rope for each pull",
    "measured pull",
    "pull measured",
    "limits",
)


@pytest.fixture
def lead(browser_of: BrowserOf) -> Client:
    return browser_of(Role.LEAD)


def send(client: Client, *lines: str, system: str = "metric") -> Any:
    file = SimpleUploadedFile("people.csv", csv_bytes(*lines))
    return client.post("/people/table/in/", {"table": file, "system": system}, follow=True)


def fates(answer: Any) -> dict[str, int]:
    counts: dict[str, int] = answer.context["preview"].counts()
    return counts


def faults(answer: Any) -> dict[int, list[str]]:
    return {o.number: [str(f) for f in o.faults] for o in answer.context["preview"].of_fate("wrong")}


def take(client: Client, answer: Any, **more: str) -> Any:
    context = answer.context
    return client.post(context["urls"]["take"], {"digest": context["preview"].digest, **more})


def test_new_people_are_entered_with_their_history(lead: Client, team: Any) -> None:
    answer = send(
        lead,
        "Name,No,Role,Weight (lb),Weighed,Measured pull,Hauls",
        "Tove Lindqvist,12,safety officer,176,2024-01-02,350 N,no",
    )
    assert fates(answer)["new"] == 1
    assert answer["Cache-Control"] == "private, no-store"
    assert not Person.objects.filter(name="Tove Lindqvist").exists()
    take(lead, answer)
    person = Person.objects.get(name="Tove Lindqvist")
    assert person.mass == pytest.approx(79.83, abs=0.01)
    assert (person.mark, person.duty, person.pull, person.weighed) == (
        "12", "safety officer", 350.0, date(2024, 1, 2),
    )  # fmt: skip
    assert (person.hauls, person.on_rope, person.active) == (False, True, True)
    assert person.history.get().history_user == team[Role.LEAD]


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("mass,0", "mass with gear: Found ‘0 kg’; a person with gear is within 25–300 kg"),
        ("mass,9 000", "mass with gear: unknown unit in '9 000'"),
        ("mass,9000", "mass with gear: Found ‘9000 kg’; a person with gear is within 25–300 kg (55–661 lb)."),
        ("mass (lb),9000", "mass with gear: Found ‘9000 lb’; a person with gear is within 25–300 kg"),
        ("mass,80 kN", "mass with gear: a force (80 kN) where a mass is wanted"),
        ("mass,-80", "mass with gear: found '-80 kg'; a mass can't be negative here"),
        ("weighed,2099-01-01", "weighed: 2099-01-01 is in the future"),
        ("pull,5000 N", "measured pull: Found ‘5000 N’; a pull is within"),
        ("reach,9 m", "rope for each pull: Found ‘9 m’; rope for each pull is within"),
        ("hauls,often", "hauls: found 'often' where yes or no is wanted"),
        ("agency," + "x" * 81, "agency: Ensure this value has at most 80 characters (it has 81)."),
    ],
)
def test_a_wrong_cell_is_told_with_what_would_be_right(lead: Client, cell: str, told: str) -> None:
    column, _, text = cell.partition(",")
    [(number, [fault])] = faults(send(lead, f"name,{column}", f"Tove,{text}")).items()
    assert number == 2
    assert fault.startswith(told)


def test_somebody_on_the_roster_is_found_by_name_and_number(lead: Client) -> None:
    one = Person.objects.create(name="Ann Bell", mark="7", mass=70)
    two = Person.objects.create(name="Ann Bell", mark="8", mass=80)
    three = Person.objects.create(name="Cy Dorn", mass=90)
    answer = send(
        lead, "name,number,mass", "ann  bell,7,71", "Ann Bell,8,81", "Cy Dorn,9,90", "Ann Bell,10,60"
    )
    assert fates(answer) == {"wrong": 0, "changed": 3, "new": 1, "unchanged": 0}
    [new] = answer.context["preview"].of_fate("new")
    assert new.notes == (
        "a namesake is on the roster with the number 7", "a namesake is on the roster with the number 8",
    )  # fmt: skip
    take(lead, answer)
    assert [Person.objects.get(pk=p.pk).mass for p in (one, two, three)] == [71, 81, 90]
    assert Person.objects.get(pk=three.pk).mark == "9"
    assert Person.objects.get(pk=one.pk).name == "Ann Bell"


@pytest.mark.parametrize(
    ("line", "told"),
    [
        (
            "Ann Bell,,70",
            "own number: 2 people on the roster have this name (numbers: 7, 8); give the number",
        ),
        ("Bea Cole,7,70", "own number: is Ann Bell's on the roster; each has their own"),
        (
            "Dee Eck,4,70",
            "name: stands on the roster more than once without a number; give them numbers there first",
        ),
        ("Fay Gow,5,70", "name: stands on the roster twice with this number; mend it there"),
    ],
)
def test_who_can_not_be_told_is_asked(lead: Client, line: str, told: str) -> None:
    on_the_roster = ("Ann Bell,7", "Ann Bell,8", "Dee Eck,", "Dee Eck,", "Fay Gow,5", "Fay Gow,5")
    for name, _, mark in (entry.partition(",") for entry in on_the_roster):
        Person.objects.create(name=name, mark=mark)
    assert faults(send(lead, "name,number,mass", line)) == {2: [told]}


def test_a_person_stands_once_in_a_file(lead: Client) -> None:
    Person.objects.create(name="Cy Dorn")
    answer = send(lead, "name,number", "Ann,1", "ann,1", "Bob,2", "Cid,2", "Cy Dorn,", "Cy Dorn,3")
    assert faults(answer) == {
        2: ["name: the same person stands in row 3; one row a person"],
        3: ["name: the same person stands in row 2; one row a person"],
        4: ["own number: '2' also stands in row 5"],
        5: ["own number: '2' also stands in row 4"],
        6: ["name: the same person stands in row 7; one row a person"],
        7: ["name: the same person stands in row 6; one row a person"],
    }


def test_what_changed_since_the_preview_is_caught(lead: Client) -> None:
    person = Person.objects.create(name="Ann Bell", mass=70)
    answer = send(lead, "name,mass", "Ann Bell,71")
    Person.objects.filter(pk=person.pk).update(mass=72)
    refused = take(lead, answer)
    assert refused.status_code == 409
    person.refresh_from_db()
    assert person.mass == 72
    assert b"72 kg" in refused.content


def test_somebody_else_entering_another_person_disturbs_nothing(lead: Client) -> None:
    answer = send(lead, "name,mass", "Ann Bell,71")
    Person.objects.create(name="Cy Dorn", mass=72)
    assert take(lead, answer).status_code == 302


@pytest.mark.parametrize("role", [Role.INSTRUCTOR, Role.CUSTODIAN, Role.STUDENT, Role.AUDITOR])
def test_only_who_keeps_people_takes_a_table_in(browser_of: BrowserOf, role: Role) -> None:
    assert browser_of(role).get("/people/table/in/").status_code == 403


def _full_roster() -> None:
    Person.objects.create(
        name="=Ann Bell", mark="-7", duty="@lead", agency="+Bay", mass=79.832, weighed=date(2024, 1, 2),
        reach=0.61, pull=355.85772, pull_measured=date(2024, 1, 3), limits="knee;=1\n- no ladders",
        note="'=x", hauls=False,
    )  # fmt: skip


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_what_was_exported_is_unchanged_when_it_comes_back(lead: Client, kind: str, units: str) -> None:
    _full_roster()
    out = lead.get(f"/people/table/?as={kind}&units={units}")
    assert out["Cache-Control"] == "private, no-store"
    file = SimpleUploadedFile(f"back.{kind}", out.content)
    answer = lead.post("/people/table/in/", {"table": file, "system": "us"}, follow=True)
    assert faults(answer) == {}
    assert fates(answer) == {"wrong": 0, "changed": 0, "new": 0, "unchanged": Person.objects.count()}


@pytest.mark.parametrize(
    ("role", "reads"),
    [(Role.LEAD, True), (Role.INSTRUCTOR, True), (Role.CUSTODIAN, False), (Role.AUDITOR, False)],
)
def test_masses_and_limits_go_out_only_to_those_who_may_read_them(
    browser_of: BrowserOf, role: Role, reads: bool
) -> None:
    _full_roster()
    text = browser_of(role).get("/people/table/").content.decode("utf-8-sig")
    header = text.split("\r\n")[0]
    assert all((title in header) == reads for title in PRIVATE)
    assert ("79.832" in text) == reads
    assert ("knee" in text) == reads
    assert "Ann Bell" in text


def test_a_roster_without_masses_comes_back_without_touching_them(
    browser_of: BrowserOf, lead: Client
) -> None:
    _full_roster()
    out = browser_of(Role.AUDITOR).get("/people/table/")
    file = SimpleUploadedFile("back.csv", out.content)
    answer = lead.post("/people/table/in/", {"table": file, "system": "metric"}, follow=True)
    assert fates(answer)["unchanged"] == Person.objects.count()


def test_those_who_left_go_out_only_when_asked_for(lead: Client) -> None:
    Person.objects.create(name="Old Hand", active=False)
    assert b"Old Hand" not in lead.get("/people/table/").content
    assert b"Old Hand" in lead.get("/people/table/?which=all").content
