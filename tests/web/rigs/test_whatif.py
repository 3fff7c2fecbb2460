"""What if: numbers that move without saving."""

from __future__ import annotations

import re
from collections.abc import Callable

from django.test import Client
from django.urls import reverse

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.rigs.models import RigVersion
from ropewright.web.workings.engine import summary_of
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]


def _row(page: str, what: str) -> list[str]:
    found = re.search(rf'<th scope="row">{re.escape(what)}</th>(.*?)</tr>', page, re.S)
    assert found, what
    return re.findall(r"<td[^>]*>(.*?)</td>", found[1])


def test_a_heavier_load_asks_the_hand_for_as_much_more(team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    page = browser_of(Role.STUDENT).get(
        reverse("rigs:what-if-figures", args=("haul-3-1",)), {"mass.weight": "150"}
    )
    text = page.content.decode()
    assert _row(text, "hauling: hand force") == ["0.41 kN (93 lbf)", "0.62 kN (139 lbf)", "+50 %"]
    assert _row(text, "hauling: counted") == ["3:1", "3:1", "–"]
    assert "too few" in _row(text, "hauling: each of 3 at haulers")[1]


def test_the_figures_as_saved_are_those_of_the_check(team: Team, browser_of: BrowserOf) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    page = browser_of(Role.STUDENT).get(reverse("rigs:what-if", args=("haul-3-1",))).content.decode()
    haul = summary_of(rig.current.text)["report"]["haul"]
    assert _row(page, "hauling: with friction")[1] == f"{haul['actual']['likely']:.2f}"
    assert _row(page, "hauling: without friction")[1] == f"{haul['ideal']:.2f}"
    assert "Nothing here is saved" in page


def test_a_crew_that_moves_aside_changes_the_angle_at_a_redirect(team: Team, browser_of: BrowserOf) -> None:
    make_rig("redirect-60-degrees", team[Role.LEAD])
    address = reverse("rigs:what-if-figures", args=("redirect-60-degrees",))
    browser = browser_of(Role.STUDENT)
    assert _row(browser.get(address).content.decode(), "angle at beam, corner")[:2] == ["60°", "60°"]
    moved = browser.get(address, {"z.haulers": "3"}).content.decode()
    assert _row(moved, "angle at beam, corner")[1] != "60°"
    assert _row(moved, "on beam")[2].startswith(("+", "-"))


def test_nothing_is_saved(team: Team, browser_of: BrowserOf) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    browser_of(Role.LEAD).get(reverse("rigs:what-if", args=("haul-3-1",)), {"mass.weight": "150"})
    assert RigVersion.objects.filter(file=rig).count() == 1


def test_a_number_that_cannot_be_is_told_and_the_rest_still_works(team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    page = browser_of(Role.STUDENT).get(
        reverse("rigs:what-if-figures", args=("haul-3-1",)),
        {"mass.weight": "<script>", "people.haulers": "6"},
    )
    text = page.content.decode()
    assert "mass of weight: found “&lt;script&gt;”" in text
    assert "hauling: each of 6 at haulers" in text


def test_a_rig_that_can_no_longer_be_moved_says_why(team: Team, browser_of: BrowserOf) -> None:
    make_rig("wrong-grab-reversed", team[Role.LEAD])
    page = (
        browser_of(Role.STUDENT).get(reverse("rigs:what-if", args=("wrong-grab-reversed",))).content.decode()
    )
    assert "can&#x27;t be hauled: the hand takes in rope and the load does not move" in page


def test_an_unusable_text_leads_back_to_its_faults(team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD]).save_version("rig: nothing", team[Role.LEAD])
    answer = browser_of(Role.STUDENT).get(reverse("rigs:what-if", args=("haul-3-1",)), follow=True)
    assert answer.redirect_chain[-1][0] == reverse("rigs:open", args=("haul-3-1",))
    assert "It can&#x27;t be tried" in answer.content.decode()


def test_the_editor_opens_with_the_changed_text_and_nothing_saved(team: Team, browser_of: BrowserOf) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    page = browser_of(Role.INSTRUCTOR).get(
        reverse("rigs:what-if-text", args=("haul-3-1",)),
        {"mass.weight": "150", "efficiency.pulley-single": "0.8"},
    )
    text = page.content.decode()
    assert "weight: {kind: object, mass: 150 kg, at: [0, 1], about: A training weight.}" in text
    assert "pulley-single: {efficiency: 0.8}" in text
    assert "# turns the rope towards the crew" in text
    assert "data-unsaved" in text
    assert 'value="mass of weight 150 kg, efficiency of pulley-single 0.8"' in text
    assert rig.versions.count() == 1


def test_only_those_who_edit_are_offered_the_text(team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    address = reverse("rigs:what-if", args=("haul-3-1",))
    assert 'id="to-editor"' in browser_of(Role.LEAD).get(address).content.decode()
    assert 'id="to-editor"' not in browser_of(Role.STUDENT).get(address).content.decode()


def test_ratings_are_asked_and_a_stop_puts_it_outside_policy(team: Team, browser_of: BrowserOf) -> None:
    make_rig("self-haul-one-sheave", team[Role.LEAD])
    address = reverse("rigs:what-if-figures", args=("self-haul-one-sheave",))
    page = browser_of(Role.STUDENT).get(address, {"mass.climber": "146"}).content.decode()
    head = page[: page.index('id="what-if-table"')]
    assert "outside policy" in head
    assert "rated for 140 kg (309 lb)" in head
    levels = re.findall(r'<li class="finding"><span class="mark mark-(\w+)">', head)
    assert levels
    assert levels == sorted(levels, key=("stop", "caution").index)
    assert f"{levels.count('stop')} stop" in head
    assert "failures are tried when it is kept" in head


def test_it_gives_no_verdict_where_nothing_stops_it_at_first_sight(team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    page = browser_of(Role.STUDENT).get(reverse("rigs:what-if", args=("haul-3-1",))).content.decode()
    assert "no verdict yet" in page
    assert "no stops at first sight" in page
    assert "within policy" not in page


def test_somebody_on_his_own_rope_is_told_how_long_he_is_counted_on(
    team: Team, browser_of: BrowserOf
) -> None:
    make_rig("self-haul-one-sheave", team[Role.LEAD])
    address = reverse("rigs:what-if-figures", args=("self-haul-one-sheave",))
    page = browser_of(Role.STUDENT).get(address).content.decode()
    assert "enough for a few pulls, not over minutes" in _row(page, "hauling: at climber")[1]
