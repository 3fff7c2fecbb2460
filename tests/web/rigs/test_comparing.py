"""Rigs side by side."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.rigs.comparing import column_of, differences_of
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]


def _said(team: Team, *slugs: str) -> str:
    return " ".join(differences_of([column_of(make_rig(slug, team[Role.LEAD])) for slug in slugs]))


def test_the_forces_of_two_hauls_are_set_against_each_other(team: Team) -> None:
    said = _said(team, "haul-3-1", "haul-9-1")
    assert "Hand force: “haul-9-1” 0.32 kN (72 lbf), “haul-3-1” 0.41 kN (93 lbf), 1.3 times as much." in said
    assert "for each metre of load: “haul-3-1” 3 m (9.8 ft), “haul-9-1” 9 m (29.5 ft), 3.0 times" in said
    assert "Counted: “haul-3-1” 3:1, “haul-9-1” 9:1." in said


def test_another_job_is_told_before_anything_else(team: Team) -> None:
    said = _said(team, "haul-3-1", "litter-and-attendant")
    assert said.startswith("They don't do the same job: “haul-3-1” hauls a load of 100 kg (220 lb) by 4 m")
    assert "Hand force" not in said


def test_what_a_failure_does_is_told_where_it_differs(team: Team) -> None:
    said = _said(team, "haul-3-1", "litter-and-attendant")
    assert "When any one thing fails: “haul-3-1” drops a load in 5 of 12 cases" in said


def test_a_rig_beside_itself_differs_in_nothing(team: Team) -> None:
    column = column_of(make_rig("lower-main-and-second", team[Role.LEAD]))
    assert differences_of([column, column]) == []


@pytest.mark.parametrize("names", [[], ["haul-3-1"], ["haul-3-1", "haul-3-1"]])
def test_it_asks_for_two(names: list[str], team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    page = browser_of(Role.STUDENT).get(reverse("rigs:compare"), {"rig": names}).content.decode()
    assert 'id="side-by-side"' not in page
    assert "Choose" in page


def test_an_unusable_rig_stands_beside_the_other_without_figures(team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    make_rig("haul-9-1", team[Role.LEAD]).save_version("rig: nothing", team[Role.LEAD])
    page = browser_of(Role.STUDENT).get(reverse("rigs:compare"), {"rig": ["haul-3-1", "haul-9-1", "gone"]})
    text = page.content.decode()
    assert "unusable" in text
    assert "No rig is called gone." in text


def test_one_mass_is_asked_of_all(team: Team, browser_of: BrowserOf) -> None:
    for slug in ("haul-3-1", "self-haul-one-sheave"):
        make_rig(slug, team[Role.LEAD])
    page = (
        browser_of(Role.STUDENT)
        .get(reverse("rigs:compare"), {"rig": ["haul-3-1", "self-haul-one-sheave"], "mass": "120 kg"})
        .content.decode()
    )
    assert "weight 120 kg (265 lb)" in page
    assert "climber 120 kg (265 lb)" in page
    assert "weight as asked here, not as the file has it" in page
    assert 'value="120 kg"' in page


def test_a_mass_that_a_part_is_not_rated_for_changes_the_verdict(team: Team) -> None:
    rig = make_rig("self-haul-one-sheave", team[Role.LEAD])
    assert column_of(rig).worked["within"]
    assert not column_of(rig, 146.0).worked["within"]


@pytest.mark.parametrize("mass", ["heavy", "-3", "2 m", "0.2 kg", "5000 kg", "nan"])
def test_a_mass_that_cannot_be_is_told_and_the_rigs_stand_as_they_are(
    mass: str, team: Team, browser_of: BrowserOf
) -> None:
    for slug in ("haul-3-1", "haul-9-1"):
        make_rig(slug, team[Role.LEAD])
    page = (
        browser_of(Role.STUDENT)
        .get(reverse("rigs:compare"), {"rig": ["haul-3-1", "haul-9-1"], "mass": mass})
        .content.decode()
    )
    assert '<p class="wrong" role="alert">' in page
    assert "weight 100 kg (220 lb)" in page
