"""Writing a procedure: the live proof, the list of steps, and saving that loses nothing."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from ropewright.web.access import Role
from ropewright.web.procedures import live
from ropewright.web.procedures.models import Procedure
from ropewright.web.workings.models import Working
from tests.web.procedures.conftest import REFUSED

BrowserOf = Callable[[Role | None], Client]
JSON = {"Accept": "application/json"}


@pytest.fixture
def browser(browser_of: BrowserOf) -> Client:
    return browser_of(Role.INSTRUCTOR)


def seen(browser: Client, text: str, stage: str) -> dict[str, Any]:
    answer = browser.post("/procedures/live/", {"text": text, "n": "7", "stage": stage})
    assert answer.status_code == 200
    found: dict[str, Any] = answer.json()
    return found


def listed(browser: Client, text: str, **asked: str) -> tuple[int, dict[str, Any]]:
    answer = browser.post("/procedures/steps/", {"text": text, **asked})
    return answer.status_code, answer.json()


def test_a_refused_step_stands_at_its_line_with_its_reason(browser: Client, refused: Procedure) -> None:
    first = seen(browser, REFUSED, "first")
    assert (first["n"], first["whole"], first["usable"]) == ("7", False, True)
    assert [11, "stop"] in first["lines"]
    assert "student is held by 1 chain (second), 2 are asked for" in first["said"]
    assert "put chest on and load it first" in first["said"]
    assert "at steps 3, 4" in first["verdict"]
    picture = seen(browser, REFUSED, "picture")["picture"]
    assert "<svg" in picture
    assert "after step 3" in picture


def test_the_verdict_waits_for_every_failure(browser: Client, procedure: Procedure) -> None:
    text = procedure.current.text
    assert "trying every failure" in seen(browser, text, "first")["verdict"]
    whole = seen(browser, text, "whole")
    assert whole["whole"]
    assert "no step refused" in whole["verdict"]


def test_cautions_stand_in_the_verdict(browser: Client, untested: Procedure) -> None:
    whole = seen(browser, untested.current.text, "whole")
    assert "no step refused, 4 cautions" in whole["verdict"]


def test_faults_of_the_text_stand_at_their_lines(browser: Client, refused: Procedure) -> None:
    found = seen(browser, REFUSED.replace("take chest off", "tack chest off"), "first")
    assert not found["usable"]
    assert [11, "fault"] in found["lines"]
    assert "found `tack chest off`" in found["said"]
    assert found["whole"]


def test_a_rig_that_is_not_there_is_told_at_the_line_that_names_it(browser: Client) -> None:
    found = seen(browser, REFUSED, "first")
    assert [3, "fault"] in found["lines"]
    assert "the library has no rig of that name" in found["said"]


def test_what_is_remembered_of_a_rig_says_the_same_as_a_proof_of_its_own(
    browser: Client, procedure: Procedure
) -> None:
    """A step changed and changed back, in one remembered world and in a new one each time."""
    text = procedure.current.text
    other = text.replace("stand in foot up 300 mm", "stand in foot up 100 mm")
    live._worlds.clear()
    kept = [live.look(each).steps for each in (text, other, text)]
    anew = []
    for each in (text, other, text):
        live._worlds.clear()
        anew.append(live.look(each).steps)
    assert kept == anew
    assert kept[0] == kept[2] != kept[1]


def test_a_long_procedure_is_proved_once_it_is_saved(browser: Client, refused: Procedure) -> None:
    found = seen(browser, REFUSED + "  - student: call ready\n" * live.MOST_STEPS, "first")
    assert "124 steps are more than are proved while you write (120)" in found["verdict"]


def test_whatever_breaks_the_program_is_told_and_nothing_is_lost(
    browser: Client, refused: Procedure, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*words: object, **more: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(live, "prove", broken)
    assert "The program failed on this text. Nothing is lost" in seen(browser, REFUSED, "first")["verdict"]


def test_the_list_of_steps_offers_every_form_and_the_names(browser: Client, refused: Procedure) -> None:
    status, found = listed(browser, REFUSED)
    assert status == 200
    assert found["text"] == REFUSED
    assert found["html"].count('data-key="step-') == 4
    assert "put GEAR on ROPE" in found["html"]
    assert "Names here: upper, chest, backup" in found["html"]


@pytest.mark.parametrize(
    ("asked", "told", "steps"),
    [
        ({"act": "add step", "index": "1", "doer": "student", "words": "sit down"}, "Step 2 is added.", 5),
        (
            {"act": "change step", "index": "0", "doer": "student", "words": "call go"},
            "Step 1 is changed.",
            4,
        ),
        ({"act": "step down", "index": "0"}, "It is step 2 now.", 4),
        ({"act": "step up", "index": "3"}, "It is step 3 now.", 4),
        ({"act": "remove step", "index": "2"}, "Step 3 is removed.", 3),
    ],
)
def test_each_act_changes_one_step_of_the_text(
    browser: Client, refused: Procedure, asked: dict[str, str], told: str, steps: int
) -> None:
    status, found = listed(browser, REFUSED, **asked)
    assert (status, found["told"]) == (200, told)
    assert found["html"].count('data-key="step-') == steps
    before, after = REFUSED.split("steps:\n"), found["text"].split("steps:\n")
    assert before[0] == after[0]
    assert before[1] != after[1]


def test_an_act_that_makes_no_sense_is_refused_in_a_sentence(browser: Client, refused: Procedure) -> None:
    status, found = listed(browser, REFUSED, act="add step", index="0", doer="student", words="fly")
    assert status == 422
    assert found["wrong"].startswith("Found `fly`, which starts with no word of the trade")
    assert listed(browser, REFUSED, act="dance")[0] == 422
    assert listed(browser, REFUSED, act="remove step", index="-1")[0] == 422


def test_a_text_that_cant_be_followed_has_no_list_but_its_faults(browser: Client) -> None:
    status, found = listed(browser, "steps: [\n")
    assert status == 200
    assert "text" not in found
    assert "there are no tables of it" in found["html"]


def test_a_save_is_a_version_that_is_worked_out_at_once(browser: Client, refused: Procedure) -> None:
    text = REFUSED.replace("Too early", "Still too early").replace("lane-on-clamps", "lane-on-descender")
    sent = {"text": text, "base": "1", "note": "another rig", "key": "k1"}
    told = browser.post("/procedures/too-early/edit/save/", sent, headers=JSON).json()
    assert told["outcome"] == "draft"  # the library has no such rig
    fine = {**sent, "text": REFUSED.replace("Too early", "Still too early"), "key": "k2"}
    told = browser.post("/procedures/too-early/edit/save/", fine, headers=JSON).json()
    assert (told["outcome"], told["number"], told["open"]) == ("saved", 3, "/procedures/too-early/")
    again = browser.post("/procedures/too-early/edit/save/", fine, headers=JSON).json()
    assert again["number"] == 3
    refused.refresh_from_db()
    assert (refused.latest, refused.title) == (3, "Still too early off the clamp")
    assert Working.objects.filter(kind="procedure", state=Working.State.RUNNING).exists()


def test_what_two_save_at_once_is_kept_beside_and_shown_side_by_side(
    browser_of: BrowserOf, refused: Procedure
) -> None:
    for role, word in ((Role.LEAD, "one"), (Role.INSTRUCTOR, "two")):
        text = REFUSED.replace("Too early", f"Too early {word}")
        last = browser_of(role).post("/procedures/too-early/edit/save/", {"text": text, "base": "1"})
    assert last["Location"] == "/procedures/too-early/edit/beside/3/"
    page = browser_of(Role.INSTRUCTOR).get(last["Location"]).content.decode()
    assert "+ procedure: Too early two off the clamp" in page
    assert "Let version 3 count" in page
    browser_of(Role.INSTRUCTOR).post(last["Location"], {"current": "2"})
    refused.refresh_from_db()
    assert (refused.latest, refused.title) == (4, "Too early two off the clamp")


def test_the_editor_opens_on_the_text_and_only_for_those_who_teach(
    browser_of: BrowserOf, refused: Procedure
) -> None:
    page = browser_of(Role.INSTRUCTOR).get("/procedures/too-early/edit/").content.decode()
    assert "take chest off" in page
    assert 'data-rig="procedures/too-early" data-noun="procedure"' in page
    assert browser_of(Role.STUDENT).get("/procedures/too-early/edit/").status_code == 403
