"""Beginning a rig from a few questions."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from ropewright.rig import STARTER_KINDS, read_rig
from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.rigs.models import Rig
from ropewright.web.rigs.names import OWN_WORDS
from ropewright.web.rigs.starting import KINDS, StartForm
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
START = "/rigs/new/"


def test_every_kind_can_be_chosen_with_its_picture(browser_of: BrowserOf) -> None:
    page = browser_of(Role.INSTRUCTOR).get(START).content.decode()
    assert set(KINDS) == set(STARTER_KINDS)
    for kind in STARTER_KINDS:
        assert f"?kind={kind}" in page
        assert reverse("rigs:start-picture", args=[kind]) in page


def test_the_picture_of_a_kind_is_drawn(browser_of: BrowserOf) -> None:
    response = browser_of(Role.INSTRUCTOR).get(reverse("rigs:start-picture", args=["lower"]))
    assert response["Content-Type"] == "image/svg+xml"
    assert response.content.startswith(b"<svg")
    assert browser_of(Role.INSTRUCTOR).get(reverse("rigs:start-picture", args=["x"])).status_code == 404


@pytest.mark.parametrize("kind", STARTER_KINDS)
def test_a_kind_asks_only_what_it_needs(kind: str, db: None) -> None:
    fields = set(StartForm(initial={"kind": kind}).fields)
    assert ("people" in fields) == kind.startswith("haul")
    assert ("legs" in fields) == (kind == "anchor-legs")
    assert ("surface" in fields) == (kind != "anchor-legs")


def test_the_answers_become_a_rig_under_its_title(browser_of: BrowserOf) -> None:
    given = {
        "kind": "haul-5-1", "title": "Pier haul: “north”", "units": "us", "mass": "150 kg", "height": "40",
        "strength": "36 kN", "surface": "concrete", "protection": "roller", "people": "6",
        "note": "first try",
    }  # fmt: skip
    response = browser_of(Role.INSTRUCTOR).post(START, given)
    rig = Rig.objects.get()
    assert response["Location"] == f"/rigs/{rig.slug}/edit/"
    assert rig.slug == "pier-haul-north"
    assert (rig.title, rig.current.note) == ("Pier haul: “north”", "first try")
    read = read_rig(rig.current.text)
    assert read.units == "us"
    assert read.loads["litter"].mass.likely == 150.0
    assert read.points["lip-1"].protection == "roller"
    assert "# Places that do not move" in rig.current.text


def test_a_name_that_is_taken_is_refused_with_a_proposal_and_what_was_typed_stays(
    browser_of: BrowserOf, team: dict[Role, Account]
) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    given = {"kind": "haul-3-1", "title": "Haul 3:1", "units": "metric", "mass": "95 kg"}
    response = browser_of(Role.INSTRUCTOR).post(START, given)
    assert response.status_code == 422
    assert b"A rig is called haul-3-1 already. haul-3-1-2 is free." in response.content
    assert b"95 kg" in response.content
    assert Rig.objects.count() == 1


def test_pressed_twice_begins_one_rig(browser_of: BrowserOf) -> None:
    client = browser_of(Role.LEAD)
    given = {"kind": "lower", "title": "Quay", "units": "metric", "key": "abc"}
    first, second = client.post(START, given), client.post(START, given)
    assert first["Location"] == second["Location"] == "/rigs/quay/edit/"
    assert Rig.objects.get().versions.count() == 1


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"mass": "4000 kg"}, "A mass of 4000 kg"),
        ({"mass": "five"}, "Found &#x27;five&#x27; where a mass is wanted"),
        ({"height": "2 m"}, "A height of 2 m (6.6 ft); a rig to start from is between 4 m"),
        ({"height": "5..9 m"}, "Write one height, not a range."),
        ({"strength": "-3 kN"}, "can&#x27;t be negative"),
        ({"protection": "roller"}, "A protection without an edge"),
        ({"surface": "cheese"}, "Select a valid choice"),
        ({"people": "0"}, "greater than or equal to 1"),
        ({"title": ""}, "This field is required"),
        ({"title": "\u202egnip"}, "title: found the hidden character"),
        ({"name": "new"}, "`new` is a word of our own addresses"),
        ({"name": "no good"}, "letters, numbers, underscores or hyphens"),
        ({"units": "stones"}, "Select a valid choice"),
    ],
)
def test_answers_that_make_no_rig_are_told_at_their_field(
    given: dict[str, str], told: str, browser_of: BrowserOf
) -> None:
    whole = {"kind": "haul-3-1", "title": "Test", "units": "metric", **given}
    response = browser_of(Role.LEAD).post(START, whole)
    assert response.status_code == 422
    assert told.lower() in response.content.decode().lower()
    assert not Rig.objects.exists()


def test_the_picture_follows_the_answers(browser_of: BrowserOf) -> None:
    client, url = browser_of(Role.LEAD), reverse("rigs:start-look")
    page = client.get(
        url, {"kind": "haul-3-1", "title": "T", "units": "metric", "mass": "150"}
    ).content.decode()
    assert "<svg" in page
    assert "counted 3:1" in page
    assert "data-enlarge" not in page
    page = client.get(
        url, {"kind": "haul-3-1", "title": "T", "units": "metric", "mass": "x"}
    ).content.decode()
    assert "<svg" not in page
    assert "These answers make no rig yet." in page
    assert client.get(url).status_code == 200


def test_script_in_a_title_stays_words(browser_of: BrowserOf) -> None:
    title = "<script>alert(1)</script>"
    client = browser_of(Role.LEAD)
    response = client.post(START, {"kind": "lower", "title": title, "units": "metric"}, follow=True)
    assert response.status_code == 200
    assert title.encode() not in response.content
    assert Rig.objects.get().title == title


def test_no_name_clashes_with_an_address() -> None:
    from ropewright.web.rigs.urls import urlpatterns

    first = {str(pattern.pattern).split("/")[0] for pattern in urlpatterns}
    assert {word for word in first if word and not word.startswith("<")} <= OWN_WORDS
