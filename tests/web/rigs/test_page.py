"""One rig opened."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.policy.now import shipped_rules
from ropewright.web.rigs.cards import card_of
from tests.judgement.texts import LOWER
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]


def _page(browser: Client, slug: str) -> str:
    return browser.get(reverse("rigs:open", args=(slug,))).content.decode()


def test_the_verdict_stands_with_the_policy_that_gave_it(team: Team, browser_of: BrowserOf) -> None:
    from ropewright.web.policy.models import PolicyVersion

    PolicyVersion.objects.create(number=1, name="Tern Harbor", rules=shipped_rules())
    PolicyVersion.objects.create(number=2, name="Tern Harbor", rules=shipped_rules())
    make_rig("haul-3-1", team[Role.LEAD])
    page = _page(browser_of(Role.STUDENT), "haul-3-1")
    assert "within policy" in page
    assert "by Tern Harbor, version 2" in page


def test_a_stop_quotes_the_line_that_caused_it_and_leads_to_it(team: Team, browser_of: BrowserOf) -> None:
    make_rig("wrong-grab-reversed", team[Role.LEAD])
    page = _page(browser_of(Role.STUDENT), "wrong-grab-reversed")
    assert "outside policy" in page
    first = page[page.index('id="stops"') : page.index('id="picture"')]
    assert "<code>- grip grab reversed</code>" in first
    number = first.split('href="#line-')[1].split('"')[0]
    assert f'id="line-{number}" class="line-stop"' in page
    assert "→ " in first


def test_figures_stand_in_both_systems(team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    page = _page(browser_of(Role.STUDENT), "haul-3-1")
    assert "<dd>3:1</dd>" in page
    assert "0.41 kN (93 lbf)" in page
    assert "1. the hand at haulers pulls 1 T" in page


def test_a_text_that_cannot_be_read_is_shown_with_its_faults(team: Team, browser_of: BrowserOf) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    rig.save_version(rig.current.text.replace("is: cam-grab", "is: cam-grb"), team[Role.LEAD])
    page = _page(browser_of(Role.STUDENT), "haul-3-1")
    assert "unusable" in page
    assert "Did you mean `cam-grab`?" in page
    assert "is: cam-grb" in page


@pytest.mark.parametrize("place", ["rig: ", "about: "])
def test_hostile_words_come_out_escaped(place: str, team: Team, browser_of: BrowserOf) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    lines = rig.current.text.splitlines()
    hostile = "</title><script>alert(1)</script>"
    text = "\n".join(f'{place}"{hostile}"' if line.startswith(place) else line for line in lines)
    rig.save_version(text, team[Role.LEAD], title=hostile, about=hostile)
    browser = browser_of(Role.STUDENT)
    for url in (
        reverse("rigs:open", args=(rig.slug,)),
        reverse("rigs:library"),
        reverse("rigs:small", args=(rig.slug,)),
        reverse("rigs:picture", args=(rig.slug, "svg")),
        reverse("rigs:versions", args=(rig.slug,)),
        reverse("rigs:differences", args=(rig.slug,)),
        reverse("rigs:version", args=(rig.slug, 1)),
    ):
        page = browser.get(url).content.decode()
        assert "<script>alert" not in page, url


def test_a_part_with_a_hostile_name_does_no_harm(team: Team, browser_of: BrowserOf) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    text = rig.current.text.replace("weight", '"<script>alert(1)</script>"')
    rig.save_version(text, team[Role.LEAD])
    assert "<script>alert" not in _page(browser_of(Role.STUDENT), rig.slug)


def test_procedures_that_start_from_it_are_named(team: Team, browser_of: BrowserOf) -> None:
    from ropewright.web.procedures.models import Procedure

    make_rig("haul-3-1", team[Role.LEAD])
    Procedure.objects.create(slug="up", title="Up and over", rig_slug="haul-3-1")
    Procedure.objects.create(slug="other", title="Another one", rig_slug="haul-9-1")
    page = _page(browser_of(Role.STUDENT), "haul-3-1")
    assert "Up and over" in page
    assert "Another one" not in page


def test_a_page_seen_before_takes_few_questions(
    team: Team,
    browser_of: BrowserOf,
    django_assert_max_num_queries: Callable[..., object],
) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    browser = browser_of(Role.STUDENT)
    _page(browser, "haul-3-1")
    with django_assert_max_num_queries(10):  # type: ignore[attr-defined]
        _page(browser, "haul-3-1")


def test_only_those_who_edit_are_offered_to_change_it(team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    assert 'id="put-away"' in _page(browser_of(Role.INSTRUCTOR), "haul-3-1")
    assert 'id="put-away"' not in _page(browser_of(Role.STUDENT), "haul-3-1")


def test_a_factor_that_is_less_only_after_a_failure_is_told_as_that(
    team: Team, browser_of: BrowserOf
) -> None:
    make_rig("litter-and-attendant", team[Role.LEAD])
    page = _page(browser_of(Role.STUDENT), "litter-and-attendant")
    assert page.count("less after a failure") == 2
    row = page.split(">bridle at head<")[1].split("</tr>")[0]
    figures = re.findall(r'data-label="(?:Factor|Asked)">([^<]*)<', row)
    assert figures == ["1.67", "1"]  # in a catch, which is nearest to what is asked
    assert "in a catch, if" in row
    assert re.search(r"<small>once .* has failed: .*, factor 9.18, asked 1<", row)
    device = page.split('id="margins"')[1].split(">main-device<")[1].split("</tr>")[0]
    assert re.findall(r'data-label="(?:Factor|Asked)">([^<]*)<', device) == ["11.1", "10"]
    assert "main-device: factor 11.1, lowering; asked 10" in page


def test_what_the_verdict_has_to_be_read_with_stands_under_it(team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    make_rig("self-haul-one-sheave", team[Role.LEAD])
    browser = browser_of(Role.STUDENT)
    assert "Only objects hang here: as the file has it, no person is on" in _page(browser, "haul-3-1")
    assert "Only objects hang here" not in _page(browser, "self-haul-one-sheave")


def test_a_pull_on_his_own_rope_is_told_for_minutes_and_for_a_few_pulls(
    team: Team, browser_of: BrowserOf
) -> None:
    make_rig("self-haul-one-sheave", team[Role.LEAD])
    page = _page(browser_of(Role.STUDENT), "self-haul-one-sheave")
    assert re.search(
        r"0\.33 kN \(\d+ lbf\) counted on over some minutes, 0\.47 kN \(\d+ lbf\) for a few pulls", page
    )
    assert "counted on for 0.47 kN" not in page


def test_stops_are_counted_as_stops(team: Team, browser_of: BrowserOf) -> None:
    make_rig("wrong-grab-reversed", team[Role.LEAD])
    make_rig("haul-3-1", team[Role.LEAD])
    browser = browser_of(Role.STUDENT)
    assert "no stops" in _page(browser, "haul-3-1")
    page = _page(browser, "wrong-grab-reversed")
    assert "in the way" not in page
    assert re.search(r"<small>\d+ stops?\b", page)


def test_what_falls_only_at_the_end_of_the_way_stands_under_the_table_of_failures(
    browser_of: BrowserOf, team: dict[Role, Account]
) -> None:
    """The table is of the start, where all of it is held."""
    rig = make_rig("haul-3-1", team[Role.LEAD])
    rig.save_version(f"{LOWER}policy: {{least-clearance: 0.1 m}}\n", team[Role.LEAD])
    page = browser_of(Role.LEAD).get(f"/rigs/{rig.slug}/").content.decode()
    under = page.split('<h2 id="held">')[1].split("<h2")[0]
    assert "at the end of the way" in under
    assert " down, if " in under


def test_a_rigs_page_counts_the_cautions_that_its_card_in_the_library_counts(
    team: Team, browser_of: BrowserOf
) -> None:
    rig = make_rig("lower-main-and-second", team[Role.LEAD])
    page = _page(browser_of(Role.STUDENT), "lower-main-and-second")
    listed = page.split('id="found"')[1].split("</ul>")[0].count('mark-caution"')
    assert listed == 2
    assert f"{listed} cautions" in page
    assert card_of(rig).cautions == listed
