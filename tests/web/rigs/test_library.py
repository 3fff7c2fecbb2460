"""The library of rigs."""

from __future__ import annotations

from collections.abc import Callable

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.now import forget_rules, shipped_rules
from ropewright.web.rigs.cards import card_of
from ropewright.web.rigs.models import Rig, RigCard, RigVersion
from ropewright.web.workings.models import Working
from ropewright.web.workings.worker import run_waiting
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]


def _library(browser: Client, query: str = "") -> str:
    return browser.get(reverse("rigs:library") + query).content.decode()


def test_a_rig_that_is_worked_out_shows_its_picture_and_verdict(team: Team, browser_of: BrowserOf) -> None:
    card_of(make_rig("haul-3-1", team[Role.LEAD]))
    page = _library(browser_of(Role.STUDENT))
    assert "within policy" in page[page.index('id="rig-haul-3-1"') :]
    assert "hauls weight 4 m (13.1 ft), counted 3:1" in page
    assert "weight 100 kg (220 lb); no person on it; 3 people at the ropes" in page
    assert reverse("rigs:small", args=("haul-3-1",)) in page


def test_a_rig_that_is_not_yet_worked_out_fetches_its_card(team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    browser = browser_of(Role.STUDENT)
    page = _library(browser)
    address = reverse("rigs:card", args=("haul-3-1",))
    assert f'hx-get="{address}"' in page
    card = browser.get(address).content.decode()
    assert "within policy" in card
    assert "hx-get" not in card


def test_a_new_policy_makes_every_card_stale(team: Team, browser_of: BrowserOf) -> None:
    card_of(make_rig("haul-3-1", team[Role.LEAD]))
    rules = shipped_rules() | {"static-factor": {"value": 40.0, "source": "our own"}}
    PolicyVersion.objects.create(number=1, name="Strict", rules=rules)
    forget_rules()
    browser = browser_of(Role.STUDENT)
    assert "hx-get" in _library(browser)
    assert "outside policy" in browser.get(reverse("rigs:card", args=("haul-3-1",))).content.decode()


def test_words_are_looked_for_in_title_purpose_and_gear(team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    make_rig("descent-bar-rack", team[Role.LEAD])
    browser = browser_of(Role.STUDENT)
    for words, there in (
        ("haul-3", "haul-3-1"),
        ("bar-rack", "descent-bar-rack"),
        ("cam-grab pulley", "haul-3-1"),
    ):
        page = _library(browser, f"?words={words}")
        assert page.count('class="sheet rig-card"') == 1, words
        assert f'id="rig-{there}"' in page
    assert "No rig answers to that" in _library(browser, "?words=100%25")


def test_filters_ask_only_cards_that_are_fresh(team: Team, browser_of: BrowserOf) -> None:
    card_of(make_rig("haul-3-1", team[Role.LEAD]))
    make_rig("descent-bar-rack", team[Role.LEAD])
    browser = browser_of(Role.STUDENT)
    page = _library(browser, "?verdict=within")
    assert 'id="rig-haul-3-1"' in page
    assert 'id="rig-descent-bar-rack"' not in page
    assert "1 rig not worked out yet" in page
    assert 'id="rig-descent-bar-rack"' in _library(browser, "?verdict=waiting")
    assert 'id="rig-haul-3-1"' in _library(browser, "?does=hauls")
    assert 'id="rig-haul-3-1"' not in _library(browser, "?does=lowers")


def test_what_is_put_away_stands_apart(team: Team, browser_of: BrowserOf) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    Rig.objects.filter(pk=rig.pk).update(put_away=timezone.now())
    browser = browser_of(Role.STUDENT)
    assert 'id="rig-haul-3-1"' not in _library(browser)
    assert 'id="rig-haul-3-1"' in _library(browser, "?away=1")


def test_three_hundred_rigs_load_one_page_of_slim_cards(
    team: Team, browser_of: BrowserOf, django_assert_max_num_queries: Callable[..., object]
) -> None:
    card = card_of(make_rig("haul-3-1", team[Role.LEAD]))
    rigs = Rig.objects.bulk_create(Rig(slug=f"rig-{k}", title=f"Rig {k:03}", latest=1) for k in range(300))
    RigVersion.objects.bulk_create(RigVersion(file=rig, number=1, text="rig: x") for rig in rigs)
    RigCard.objects.bulk_create(
        RigCard(
            rig=rig, version=1, policy=card.policy, policy_name=card.policy_name, program=card.program,
            verdict=card.verdict, hauls=True, small="<svg/>" * 1000,
        )
        for rig in rigs
    )  # fmt: skip
    browser = browser_of(Role.STUDENT)
    with django_assert_max_num_queries(7) as asked:  # type: ignore[attr-defined]
        page = _library(browser)
    assert page.count('class="sheet rig-card"') == 48
    assert "page 1 of 7" in page
    assert not any('"small"' in query["sql"] for query in asked.captured_queries)


def test_a_browser_may_keep_the_picture_of_what_its_address_names(team: Team, browser_of: BrowserOf) -> None:
    card = card_of(make_rig("haul-3-1", team[Role.LEAD]))
    browser, address = browser_of(Role.STUDENT), reverse("rigs:small", args=("haul-3-1",))
    kept = browser.get(address, {"of": card.shown_of})
    assert "immutable" in kept["Cache-Control"]
    assert "<text" not in kept.content.decode()
    assert "immutable" not in browser.get(address, {"of": "0-0-0"})["Cache-Control"]


def test_rigs_that_are_not_worked_out_are_asked_for_beside_the_server(
    team: Team, browser_of: BrowserOf
) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    browser = browser_of(Role.STUDENT)
    _library(browser)
    _library(browser)
    assert Working.objects.filter(kind="rig-listed").count() == 1
    assert run_waiting("long")
    assert 'id="rig-haul-3-1"' in _library(browser, "?verdict=within")
    assert not run_waiting("long")
