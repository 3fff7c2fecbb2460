"""Motions, figures and rules of a rig's own in the editor's tables."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from django.test import Client

from ropewright.rig import POLICY_KEYS, read_rig
from ropewright.web.access import Role
from tests.web.rigs.test_editor import EXAMPLES, HAUL, act, ask

BrowserOf = Callable[[Role | None], Client]


def row_of(html: str, key: str) -> str:
    """A row as people read it, its summary alone."""
    found = re.search(rf'data-key="{key}"><summary>(.*?)</summary>', html, re.DOTALL)
    assert found, key
    return " ".join(re.sub(r"<[^>]+>", " ", found[1]).split())


def form_of(html: str, heading: str) -> str:
    """What one more of a table is stated with."""
    section = html[html.index(f'aria-label="{heading}"') :]
    return section[section.index('class="more"') : section.index("</section>")]


@pytest.mark.parametrize("text", EXAMPLES.values(), ids=EXAMPLES)
def test_every_example_shows_what_it_states_and_no_more(text: str, browser_of: BrowserOf) -> None:
    _, found = ask(browser_of(Role.LEAD), "tables", text=text)
    rig = read_rig(text)
    keys = [f"motion-{word}" for word in ("haul", "lower") if getattr(rig, word)]
    keys += [f"figure-{name}-{key}" for name, figures in rig.assume.items() for key in figures]
    keys += [f"rule-{key}" for key in rig.policy]
    assert re.findall(r'data-key="((?:motion|figure|rule)-[^"]+)"', found["html"]) == keys
    assert "can&#x27;t be read" not in found["html"]


def test_a_rig_that_states_nothing_says_what_holds_then(browser_of: BrowserOf) -> None:
    _, found = ask(browser_of(Role.LEAD), "tables", text="rig: T\nropes: {m: {is: cord-8, run: [tail]}}\n")
    for words in ("the rig is checked at rest", "the catalogue&#x27;s count", "the team&#x27;s rules hold"):
        assert words in found["html"]


def test_a_lowering_is_stated_changed_and_removed(browser_of: BrowserOf) -> None:
    client = browser_of(Role.LEAD)
    assert '<option value="haul"' not in form_of(ask(client, "tables", text=HAUL)[1]["html"], "What is moved")
    new = {"motion": "lower", "f-load": "weight", "f-far": "10 ft"}
    _, found = act(client, HAUL, "add motion", **new)
    assert "haul: {load: weight, up: 4}\nlower: {load: weight, down: 10 ft}\n" in found["text"]
    assert row_of(found["html"], "motion-lower") == "lower weight, down 3.05 m (10 ft)"
    assert (found["told"], found["row"]) == ("lower is stated.", "motion-lower")
    given = {"motion": "lower", "f-load": "weight", "f-down": "2 m"}
    _, found = act(client, found["text"], "change motion", **given)
    assert "lower: {load: weight, down: 2 m}\n" in found["text"]
    assert "State a haul or a lowering" not in found["html"]
    _, found = act(client, found["text"], "remove motion", motion="lower")
    assert found["text"] == HAUL


def test_a_figure_is_stated_beside_the_catalogues(browser_of: BrowserOf) -> None:
    client = browser_of(Role.LEAD)
    new = {"of": "grab", "figure": "strength", "value": "16 kN"}
    _, found = act(client, HAUL, "add figure", **new)
    assert "assume:\n  device: {user-mass: 280}\n  grab:   {strength: 16 kN}\n" in found["text"]
    row = row_of(found["html"], "figure-grab-strength")
    assert row == "grab strength 16.0 kN (3600 lbf); the catalogue has 11.0 kN (2470 lbf)"
    unknown = row_of(found["html"], "figure-device-user-mass")
    assert unknown == "device user-mass 280 kg (617 lb); the catalogue does not know it"
    _, found = act(client, found["text"], "change figure", **{**new, "value": "3,500 lbf"})
    assert '  grab:   {strength: "3,500 lbf"}\n' in found["text"]
    _, found = act(client, found["text"], "remove figure", of="grab", figure="strength")
    assert found["text"] == HAUL


def test_a_figure_of_a_type_is_said_to_be_of_every_one(browser_of: BrowserOf) -> None:
    new = {"of": "rope-12.5-low-stretch", "figure": "mass", "value": "0.1 kg/m"}
    _, found = act(browser_of(Role.LEAD), HAUL, "add figure", **new)
    row = row_of(found["html"], "figure-rope-12.5-low-stretch-mass")
    assert row.startswith("rope-12.5-low-stretch every one: mass 100 g/m")


def test_what_can_be_stated_of_a_thing_is_told_to_the_browser(browser_of: BrowserOf) -> None:
    form = form_of(ask(browser_of(Role.LEAD), "tables", text=HAUL)[1]["html"], "Figures of its own")
    assert 'data-narrows="figure"' in form
    assert '<option value="beam" data-has="friction">' in form
    assert '<option value="change" data-has="efficiency strength mass length user-mass">' in form
    assert '<option value="haulers"' not in form


def test_a_looser_rule_is_marked_at_once(browser_of: BrowserOf) -> None:
    client = browser_of(Role.LEAD)
    _, found = act(client, HAUL, "add rule", rule="static-factor", value="2")
    assert found["text"] == f"{HAUL}\npolicy:\n  static-factor: 2\n"
    assert found["told"] == "static-factor is stated. static-factor 2, the team asks 10 (looser)."
    row = row_of(found["html"], "rule-static-factor")
    assert row == "static-factor 2, the team asks 10 ! looser than the team's".replace("'", "&#x27;")
    _, look = ask(client, "live", text=found["text"], stage="first")
    assert "own rules, looser" in look["verdict"]
    _, found = act(client, found["text"], "change rule", rule="static-factor", value="12")
    assert row_of(found["html"], "rule-static-factor") == "static-factor 12, the team asks 10 (stricter)"
    _, found = act(client, found["text"], "change rule", rule="static-factor", value="10")
    assert row_of(found["html"], "rule-static-factor") == "static-factor 10, as the team has it"
    _, found = act(client, found["text"], "remove rule", rule="static-factor")
    assert found["text"] == HAUL


def test_a_rule_of_yes_and_no_is_chosen(browser_of: BrowserOf) -> None:
    client = browser_of(Role.LEAD)
    _, found = act(client, HAUL, "add rule", rule="protect-edges", value="no")
    assert found["text"].endswith("policy:\n  protect-edges: false\n")
    assert '<option value="false" selected>no</option>' in found["html"]
    assert "looser than" in row_of(found["html"], "rule-protect-edges")


def test_every_rule_is_offered_until_it_is_stated(browser_of: BrowserOf) -> None:
    client = browser_of(Role.LEAD)
    _, found = act(client, HAUL, "add rule", rule="chains", value="1")
    offered = re.findall(r'<option value="([\w-]+)"', form_of(found["html"], "Rules of its own"))
    assert sorted([*offered, "chains"]) == sorted(POLICY_KEYS)


def test_a_rule_is_offered_with_what_the_team_has(browser_of: BrowserOf) -> None:
    form = form_of(ask(browser_of(Role.LEAD), "tables", text=HAUL)[1]["html"], "Rules of its own")
    for offered in (
        "static-factor (team: 10): least strength",
        "most-drop (team: 1 m (3.3 ft)): the furthest",
        "protect-edges (team: yes): whether",
        "least-clearance (team: nothing): height",
        "source: the document",
    ):
        assert f">{offered}" in form


FAULTY = """\
rig: T
ropes: {m: {is: cord-8, run: [tail]}}
haul: {load: nobody, up: far}
assume: {nothing: {strength: 5}, m: {slips: 5, mass: [1]}, cord-8: 7, concrete: {friction: 9}}
policy: {static-factor: low, who: me, chains: {a: 1}}
"""


def test_what_is_at_fault_is_shown_and_can_be_removed(browser_of: BrowserOf) -> None:
    client = browser_of(Role.LEAD)
    _, found = ask(client, "tables", text=FAULTY)
    assert row_of(found["html"], "motion-haul") == "haul nobody, up far"
    assert row_of(found["html"], "figure-m-slips") == "m slips 5, which it does not have"
    assert "can&#x27;t be read" in row_of(found["html"], "rule-static-factor")
    assert found["html"].count("not written as keys and values") == 1
    text = FAULTY
    for name, fields in (
        ("remove motion", {"motion": "haul"}),
        ("remove figure", {"of": "nothing", "figure": "strength"}),
        ("remove figure", {"of": "m", "figure": "slips"}),
        ("change rule", {"rule": "who", "value": "me"}),
        ("remove rule", {"rule": "who"}),
        ("remove rule", {"rule": "chains"}),
        ("remove rule", {"rule": "static-factor"}),
    ):
        status, found = act(client, text, name, **fields)
        assert status == 200, (name, fields, found)
        text = found["text"]
    assert text == FAULTY.split("haul")[0] + "assume: {m: {mass: [1]}, cord-8: 7, concrete: {friction: 9}}\n"


@pytest.mark.parametrize(
    "words", ["x" * 10_000, "9" * 2000, "\x1b[31m5", "a\u202eb", "*a", "<script>x()</script>"]
)
@pytest.mark.parametrize(
    ("name", "fields", "field"),
    [
        ("add motion", {"motion": "lower", "f-load": "weight"}, "f-far"),
        ("add motion", {"motion": "lower", "f-far": "3"}, "f-load"),
        ("change motion", {"motion": "haul"}, "f-up"),
        ("add motion", {"f-load": "weight", "f-far": "3"}, "motion"),
        ("add figure", {"of": "grab", "figure": "strength"}, "value"),
        ("add figure", {"of": "grab", "value": "3"}, "figure"),
        ("add figure", {"figure": "strength", "value": "3"}, "of"),
        ("change figure", {"of": "device", "figure": "user-mass"}, "value"),
        ("remove figure", {"of": "device"}, "figure"),
        ("add rule", {"rule": "static-factor"}, "value"),
        ("add rule", {"value": "3"}, "rule"),
        ("remove rule", {}, "rule"),
    ],
)
def test_hostile_words_end_in_a_sentence_at_the_field(
    name: str, fields: dict[str, str], field: str, words: str, browser_of: BrowserOf
) -> None:
    status, found = act(browser_of(Role.LEAD), HAUL, name, **{**fields, field: words})
    assert status == 422
    assert found["wrong"].endswith(".")
    assert len(found["wrong"]) < 400
    assert words not in found["wrong"] or words in ("*a", "<script>x()</script>")


def test_what_is_stated_cannot_break_out_of_its_row(browser_of: BrowserOf) -> None:
    _, found = act(browser_of(Role.LEAD), HAUL, "add rule", rule="source", value='"><script>x()</script>')
    assert "<script" not in found["html"]
    assert read_rig(found["text"]).policy["source"] == '"><script>x()</script>'
