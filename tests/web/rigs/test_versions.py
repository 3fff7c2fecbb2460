"""Versions of a rig: listed, compared, opened as they were, taken up again."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.rigs.models import Rig, RigVersion
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]


@pytest.fixture
def rig(team: Team) -> Rig:
    """Three versions: the second counts, the third is kept beside it."""
    made = make_rig("haul-3-1", team[Role.LEAD])
    text = made.current.text
    heavier, lighter = text.replace("mass: 100", "mass: 120"), text.replace("mass: 100", "mass: 80")
    made.save_version(heavier, team[Role.INSTRUCTOR], base=1, note="heavier <b>now</b>", title="Haul 3:1")
    made.save_version(lighter, team[Role.LEAD], base=1, note="lighter", title="Haul 3:1")
    made.refresh_from_db()
    return made


def test_the_list_names_author_note_and_what_is_kept_beside(rig: Rig, browser_of: BrowserOf) -> None:
    page = browser_of(Role.STUDENT).get(reverse("rigs:versions", args=(rig.slug,))).content.decode()
    assert "version 2 is the one that counts" in page
    assert "Instructor Person" in page
    assert "heavier &lt;b&gt;now&lt;/b&gt;" in page
    assert page.count("kept beside</span>") == 1


def test_a_version_is_shown_as_it_was_with_the_one_that_counts_named(rig: Rig, browser_of: BrowserOf) -> None:
    page = browser_of(Role.STUDENT).get(reverse("rigs:version", args=(rig.slug, 1))).content.decode()
    assert "This is version 1 as it was" in page
    assert "mass: 100" in page
    assert "weight 100 kg" not in page or "mass: 120" not in page
    assert "take-up" not in page


def test_differences_of_any_two_are_shown(rig: Rig, browser_of: BrowserOf) -> None:
    address = reverse("rigs:differences", args=(rig.slug,))
    page = browser_of(Role.STUDENT).get(address, {"from": 3, "to": 2}).content.decode()
    gone, new = page.split('<div class="gone">')[1], page.split('<div class="new">')[1]
    assert "mass: 80" in gone.split("</div>")[0]
    assert "mass: 120" in new.split("</div>")[0]


@pytest.mark.parametrize("query", [{"from": "x", "to": "-1"}, {"to": "99999999999999999999"}, {}])
def test_a_number_that_makes_no_sense_is_taken_as_left_out(
    query: dict[str, str], rig: Rig, browser_of: BrowserOf
) -> None:
    answer = browser_of(Role.STUDENT).get(reverse("rigs:differences", args=(rig.slug,)), query)
    assert "From version 1 to version 2" in answer.content.decode()


def test_a_version_that_is_not_there_is_not_found(rig: Rig, browser_of: BrowserOf) -> None:
    assert browser_of(Role.STUDENT).get(reverse("rigs:version", args=(rig.slug, 9))).status_code == 404


def test_an_old_version_is_taken_up_as_a_new_one(rig: Rig, browser_of: BrowserOf) -> None:
    address = reverse("rigs:take-up", args=(rig.slug, 1))
    answer = browser_of(Role.INSTRUCTOR).post(address, {"base": "2"})
    assert answer.headers["Location"] == reverse("rigs:open", args=(rig.slug,))
    rig.refresh_from_db()
    assert rig.latest == 4
    assert rig.current.text == RigVersion.objects.get(file=rig, number=1).text
    assert rig.current.note == "version 1 taken up again"
    assert rig.versions.count() == 4


def test_taking_up_from_an_old_page_overtakes_nobody(rig: Rig, browser_of: BrowserOf) -> None:
    address = reverse("rigs:take-up", args=(rig.slug, 3))
    answer = browser_of(Role.INSTRUCTOR).post(address, {"base": "1"}, follow=True)
    rig.refresh_from_db()
    assert rig.latest == 2
    assert rig.versions.get(number=4).beside
    assert "Yours is kept beside it, as version 4" in answer.content.decode()


def test_an_old_text_that_cannot_be_read_any_more_is_kept_as_a_draft(rig: Rig, browser_of: BrowserOf) -> None:
    RigVersion.objects.filter(file=rig, number=1).update(text="rig: half\nropes: {m: {is: x, run: []}}\n")
    counts, browser = rig.current.text, browser_of(Role.INSTRUCTOR)
    answer = browser.post(reverse("rigs:take-up", args=(rig.slug, 1)), {"base": "2"})
    rig.refresh_from_db()
    assert (rig.latest, rig.current.text, rig.title) == (2, counts, "Haul 3:1")
    assert rig.versions.get(number=4).beside
    assert answer.headers["Location"] == f"{reverse('rigs:edit', args=(rig.slug,))}?from=4"
    page = browser.get(answer.headers["Location"]).content.decode()
    assert "Kept as version 4, a draft: 2 faults, so it can&#x27;t be used yet. Version 2 counts." in page


def test_a_version_that_says_what_counts_already_makes_no_second_one(rig: Rig, browser_of: BrowserOf) -> None:
    address = reverse("rigs:take-up", args=(rig.slug, 1))
    browser_of(Role.INSTRUCTOR).post(address, {"base": "2"})
    answer = browser_of(Role.INSTRUCTOR).post(address, {"base": "4"}, follow=True)
    assert "version 4 holds this text already" in answer.content.decode()
    assert rig.versions.count() == 4


def test_taking_up_behind_a_version_that_is_not_there_is_refused(rig: Rig, browser_of: BrowserOf) -> None:
    address = reverse("rigs:take-up", args=(rig.slug, 1))
    answer = browser_of(Role.INSTRUCTOR).post(address, {"base": "77"}, follow=True)
    assert "Version 77 of this rig does not exist; open the rig again." in answer.content.decode()
    assert rig.versions.count() == 3


def test_a_hundred_versions_take_one_question(
    team: Team, browser_of: BrowserOf, django_assert_max_num_queries: Callable[..., object]
) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    RigVersion.objects.bulk_create(
        RigVersion(file=rig, number=n, text="rig: x", author=team[Role.LEAD]) for n in range(2, 120)
    )
    browser = browser_of(Role.STUDENT)
    with django_assert_max_num_queries(8):  # type: ignore[attr-defined]
        browser.get(reverse("rigs:versions", args=(rig.slug,)))
