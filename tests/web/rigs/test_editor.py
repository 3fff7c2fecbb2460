"""The editor's page, the look at a text while it is written, and the tables of it."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from ropewright.rig import read_rig
from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.demo.rigs import example_texts
from ropewright.web.rigs.live import look
from ropewright.web.rigs.saving import save
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]
EXAMPLES = dict(example_texts(".rig.yaml"))
HAUL = EXAMPLES["haul-3-1"]
HOSTILE = {
    "script": 'rig: "<script>x()</script>"\nropes: {m: {is: "<img src=x onerror=x()>", run: [tie <b>]}}\n',
    "script in names": HAUL.replace("grab", "x<script>x").replace("about: The", "about: <b onload=x>"),
    "control characters": "rig: a\x1b[31mb\n",
    "direction marks": HAUL.replace("Haul 3:1", "Haul \u202e3:1"),
    "huge numbers": HAUL.replace("mass: 100", "mass: 1e308").replace("up: 4", "up: 1e999"),
    "long number": HAUL.replace("mass: 100", f"mass: {'9' * 5000}"),
    "aliases": "a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\nrig: *c\n",
    "tags": "rig: !!python/object/apply:os.system [ls]\n",
    "deep": "[" * 500,
    "deep maps": "{a: " * 500,
    "many nodes": f"rig: x\nropes: [{'a, ' * 60_000}a]\n",
    "documents": "rig: a\n---\nrig: b\n",
    "no mapping": "- a\n- b\n",
    "keys": "? [a, b]\n: c\n",
    "merge": "rig: T\n<<: {points: {}}\nropes: {m: {is: cord-8, run: [tail]}}\n",
    "empty": "",
    "one character": "%",
    "tabs": "rig:\n\tx: 1\n",
    "big": "x" * 1_000_001,
    "bare": "rig: T\nropes: 5\npoints: [1]\ngear: text\nloads: {a: 3}\n",
    "numbers for names": "rig: 5\nropes: {1: {run: [tie 2, tie 3]}}\npoints: {2: {kind: edge, at: [0, 9]}}\n",
}


def ask(client: Client, name: str, /, **fields: object) -> tuple[int, dict[str, Any]]:
    response = client.post(reverse(f"rigs:{name}"), fields)
    return response.status_code, json.loads(response.content)


# The page


def test_the_page_holds_the_text_that_counts(browser_of: BrowserOf, team: Team) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    page = browser_of(Role.INSTRUCTOR).get(reverse("rigs:edit", args=[rig.slug]))
    assert page.context["text"] == rig.current.text
    assert b"written on from version 1" in page.content


def test_it_can_go_on_from_another_version(browser_of: BrowserOf, team: Team) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    save(rig, HAUL.replace("mass: 100", "mass: 90"), team[Role.LEAD], base=1)
    url = reverse("rigs:edit", args=[rig.slug])
    page = browser_of(Role.LEAD).get(f"{url}?from=1")
    assert page.context["text"] == HAUL
    assert b"Version 2 counts now." in page.content
    for wrong in ("9", "x", "9" * 30, "-1"):
        assert browser_of(Role.LEAD).get(url, {"from": wrong}).status_code == 404


def test_a_draft_of_ones_own_is_offered(browser_of: BrowserOf, team: Team) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    save(rig, "rig: half", team[Role.INSTRUCTOR], base=1)
    url = reverse("rigs:edit", args=[rig.slug])
    assert b"Version 2 of yours" in browser_of(Role.INSTRUCTOR).get(url).content
    assert b"Version 2 of yours" not in browser_of(Role.LEAD).get(url).content


def test_a_text_cannot_break_out_of_its_field(browser_of: BrowserOf, team: Team) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    save(rig, HAUL + "# </textarea><script>alert(1)</script>\n", team[Role.LEAD], base=1)
    assert (
        b"</textarea><script>" not in browser_of(Role.LEAD).get(reverse("rigs:edit", args=[rig.slug])).content
    )


def test_the_page_asks_the_store_little(
    browser_of: BrowserOf, team: Team, django_assert_max_num_queries: Any
) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    client = browser_of(Role.LEAD)
    with django_assert_max_num_queries(9):
        client.get(reverse("rigs:edit", args=[rig.slug]))


# The look


def test_a_text_that_can_be_used_is_drawn_and_judged(browser_of: BrowserOf) -> None:
    status, found = ask(browser_of(Role.LEAD), "live", text=HAUL, n="7", stage="whole")
    assert (status, found["n"], found["usable"], found["whole"]) == (200, "7", True, True)
    assert "within policy" in found["verdict"]
    assert "counted 3:1" in found["verdict"]


def test_the_first_look_gives_no_verdict(browser_of: BrowserOf) -> None:
    _, found = ask(browser_of(Role.LEAD), "live", text=HAUL, n="1", stage="picture")
    assert not found["whole"]
    assert "within policy" not in found["verdict"]
    assert "<svg" in found["picture"]
    assert "counted 3:1" in found["verdict"]


def test_the_whole_look_finds_what_the_check_finds(db: None) -> None:
    from ropewright.web.policy.now import rules_now
    from ropewright.web.workings.engine import check_rig, read_for_team

    text = EXAMPLES["wrong-grab-reversed"]
    look(text, "first")
    assert look(text, "whole").findings == check_rig(read_for_team(text), rules_now()).findings


def test_every_fault_is_told_with_its_line(browser_of: BrowserOf) -> None:
    text = HAUL.replace("cam-grab", "cam-grap").replace("kind: stand", "kind: stnd")
    _, found = ask(browser_of(Role.LEAD), "live", text=text)
    assert not found["usable"]
    assert found["lines"] == [[9, "fault"], [19, "fault"]]
    assert 'data-line="19" data-column="19"' in found["said"]
    assert "Did you mean `cam-grab`?" in found["said"]
    assert "2 faults" in found["verdict"]


def test_a_line_shows_the_gravest_of_what_is_found_there(db: None) -> None:
    lines = look(HAUL.replace("strength: 36 kN", "strength: 3 kN", 1)).lines
    assert lines[7] == "stop"


def test_a_rig_too_large_to_look_at_is_said_to_be_so(db: None) -> None:
    points = "".join(f"  p{n}: {{kind: stand, at: [{n}, 0]}}\n" for n in range(300))
    found = look(HAUL.replace("points:\n", f"points:\n{points}"), "first")
    assert found.trouble.startswith(
        "316 parts and contacts are more than are worked out while you write (120)"
    )


def test_a_program_fault_is_no_traceback(monkeypatch: pytest.MonkeyPatch, browser_of: BrowserOf) -> None:
    def broken(*_given: object, **_named: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("ropewright.web.rigs.live.examine", broken)
    status, found = ask(browser_of(Role.LEAD), "live", text=HAUL.replace("mass: 100", "mass: 77"))
    assert status == 200
    assert "The program failed on this text." in found["verdict"]


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_no_text_breaks_the_look_or_the_tables(text: str, browser_of: BrowserOf) -> None:
    client = browser_of(Role.LEAD)
    for stage in ("first", "picture", "whole"):
        status, found = ask(client, "live", text=text, stage=stage)
        assert status == 200
        shown = "".join(str(part) for part in (found["verdict"], found["said"], found["picture"]))
        assert "<script" not in shown
        assert "<img" not in shown
        assert "Traceback" not in shown
    status, found = ask(client, "tables", text=text)
    assert status in (200, 422)
    shown = f"{found.get('html')} {found.get('wrong')}"
    assert "<script" not in shown
    assert "<img" not in shown


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_no_text_breaks_a_save_and_the_pages_after_it(text: str, browser_of: BrowserOf, team: Team) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    client = browser_of(Role.LEAD)
    response = client.post(reverse("rigs:save", args=[rig.slug]), {"text": text, "base": 1}, follow=True)
    assert response.status_code in (200, 422)
    rig.refresh_from_db()
    assert read_rig(rig.current.text).rig  # what counts can still be used


def test_more_than_a_form_may_hold_is_refused_plainly(browser_of: BrowserOf, team: Team) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    url = reverse("rigs:save", args=[rig.slug])
    response = browser_of(Role.LEAD).post(url, {"text": "x" * 2_600_000, "base": 1})
    assert response.status_code == 400
    assert b"more than is taken at once" in response.content
    assert rig.versions.count() == 1


# The tables


@pytest.mark.parametrize("text", EXAMPLES.values(), ids=EXAMPLES)
def test_every_example_is_laid_out(text: str, browser_of: BrowserOf) -> None:
    status, found = ask(browser_of(Role.LEAD), "tables", text=text)
    assert (status, found["text"]) == (200, text)
    for part in read_rig(text).parts():
        assert f'data-key="part-{part.name}"' in found["html"]


def act(client: Client, text: str, name: str, /, **fields: object) -> tuple[int, dict[str, Any]]:
    return ask(client, "tables", text=text, act=name, **fields)


def test_a_contact_is_added_changed_moved_and_removed(browser_of: BrowserOf) -> None:
    client = browser_of(Role.LEAD)
    chosen = {"rope": "main", "c-verb": "tie", "c-target": "beam", "c-knot": "bowline", "c-slack": "1 ft"}
    _, found = act(client, HAUL, "add contact", index=1, **chosen)
    assert (
        "      - tie weight with figure-eight-bight\n      - tie beam with bowline slack 1 ft\n"
        in found["text"]
    )
    assert (found["told"], found["row"]) == ("tie beam with bowline slack 1 ft is added.", "contact-main-1")
    _, found = act(client, found["text"], "contact down", rope="main", index=1)
    assert "      - grip grab\n      - tie beam with bowline slack 1 ft\n" in found["text"]
    _, found = act(
        client, found["text"], "change contact", index=2, **{**chosen, "c-knot": "", "c-slack": ""}
    )
    assert "      - grip grab\n      - tie beam\n" in found["text"]
    _, found = act(client, found["text"], "contact up", rope="main", index=2)
    _, found = act(client, found["text"], "remove contact", rope="main", index=1)
    assert found["text"] == HAUL


def test_a_part_is_added_changed_renamed_and_removed(browser_of: BrowserOf) -> None:
    client = browser_of(Role.LEAD)
    new = {
        "section": "gear",
        "name": "twin",
        "f-is": "pulley-double",
        "f-at": "grab",
        "f-via": ["sling", "swivel"],
    }
    _, found = act(client, HAUL, "add part", **new)
    assert "  twin:      {is: pulley-double, at: grab, via: [sling, swivel]}\n" in found["text"]
    given = {"part": "twin", "section": "gear", "name": "pair", "f-is": "pulley-single", "f-via": "nothing"}
    _, found = act(client, found["text"], "change part", **given)
    assert "  pair:      {is: pulley-single, at: grab, via: []}\n" in found["text"]
    assert found["told"] == "twin is now pair, wherever it is named."
    _, found = act(client, found["text"], "remove part", part="pair")
    assert found["text"] == HAUL


def test_the_title_and_what_is_said_about_it_are_changed(browser_of: BrowserOf) -> None:
    client = browser_of(Role.LEAD)
    _, found = act(client, HAUL, "change heading", **{"f-rig": "Haul <b>at</b> the quay", "f-about": ""})
    assert "\nrig: Haul <b>at</b> the quay\nunits: metric\n" in found["text"]
    assert "Haul &lt;b&gt;at&lt;/b&gt; the quay" in found["html"]
    assert (found["told"], found["row"]) == ("Title and words are changed.", "heading")
    status, found = act(client, HAUL, "change heading", **{"f-rig": " "})
    assert (status, found["wrong"]) == (422, "Title: found nothing; write what the rig is called.")
    status, found = act(client, HAUL, "change heading", **{"f-rig": "x" * 201})
    assert (status, found["field"]) == (422, "f-rig")
    assert "found 201 characters" in found["wrong"]


def test_a_rope_is_added(browser_of: BrowserOf) -> None:
    given = {"name": "second", "f-is": "cord-8", "f-length": "9", "c-verb": "tie", "c-target": "frame"}
    _, found = act(browser_of(Role.LEAD), HAUL, "add rope", **given)
    assert (
        "  second:\n    is: cord-8\n    length: 9\n    run:\n      - tie frame\n      - tail\n"
        in found["text"]
    )


def test_what_is_used_goes_only_with_what_names_it_when_told(browser_of: BrowserOf) -> None:
    client = browser_of(Role.LEAD)
    status, found = act(client, HAUL, "remove part", part="change")
    assert (status, found["along"]) == (422, True)
    assert "main, contact 5: `through change`. Nothing was removed" in found["wrong"]
    status, found = act(client, HAUL, "remove part", part="change", along="yes")
    assert status == 200
    assert "change" not in found["text"].replace("does not change the count", "")
    status, found = act(client, HAUL, "remove part", part="grab", along="yes")
    assert (status, found["along"]) == (422, False)


@pytest.mark.parametrize(
    ("name", "fields"),
    [
        ("blow up", {}),
        ("contact up", {"rope": "main", "index": "x"}),
        ("contact up", {"rope": "main", "index": "9" * 20}),
        ("contact up", {"rope": "<script>", "index": "1"}),
        ("add part", {"section": "policy", "name": "x"}),
        ("add part", {"section": "gear"}),
        ("change part", {"part": "nobody"}),
        ("change part", {"part": "weight", "section": "loads", "f-mass": "heavy"}),
        ("add rope", {"name": "r"}),
    ],
)
def test_an_act_that_makes_no_sense_is_refused_in_a_sentence(
    name: str, fields: dict[str, str], browser_of: BrowserOf
) -> None:
    status, found = act(browser_of(Role.LEAD), HAUL, name, **fields)
    assert status == 422
    assert found["wrong"].endswith(".")


def test_a_broken_text_leaves_the_text_as_the_way_on(browser_of: BrowserOf) -> None:
    status, found = ask(browser_of(Role.LEAD), "tables", text="rig: [\n")
    assert status == 200
    assert "text" not in found
    assert "The text is the way on" in found["html"]
    assert 'data-line="2"' in found["html"]


def test_the_first_stage_draws_nothing_and_a_word_in_a_comment_costs_nothing(
    db: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    from ropewright.web.rigs import live

    assert look(HAUL.replace("mass: 100", "mass: 61"), "first").svg == ""
    monkeypatch.setattr(live, "examine", None)
    assert look(HAUL.replace("mass: 100", "mass: 61") + "# more", "picture").svg.startswith("<svg")


def test_the_look_counts_what_is_found(team: Team, browser_of: BrowserOf) -> None:
    browser = browser_of(Role.INSTRUCTOR)
    heavy = make_rig("self-haul-one-sheave", team[Role.LEAD]).current.text.replace("mass: 95", "mass: 146")
    first = browser.post(reverse("rigs:live"), {"text": heavy, "stage": "first"}).json()["verdict"]
    whole = browser.post(reverse("rigs:live"), {"text": heavy, "stage": "whole"}).json()["verdict"]
    assert re.search(r"\d stops?\b.* so far", first)
    assert re.search(r"\d stops?\b", whole)
    assert "so far" not in whole
    light = make_rig("haul-3-1", team[Role.LEAD]).current.text
    assert (
        "no stops" in browser.post(reverse("rigs:live"), {"text": light, "stage": "whole"}).json()["verdict"]
    )


def test_the_picture_comes_with_a_button_that_shows_it_large(team: Team, browser_of: BrowserOf) -> None:
    rig, browser = make_rig("haul-3-1", team[Role.LEAD]), browser_of(Role.INSTRUCTOR)
    found = browser.post(reverse("rigs:live"), {"text": rig.current.text, "stage": "picture"}).json()
    assert "data-enlarge" in found["picture"]
    assert '<dialog id="large"' in browser.get(reverse("rigs:edit", args=(rig.slug,))).content.decode()
