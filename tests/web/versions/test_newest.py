"""An older look of a page ends once a newer one is asked for, and none goes on for longer than it may."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from ropewright.patience import OutOfPatienceError, keep_time, patience
from ropewright.web.access import Role
from ropewright.web.versions import desk
from ropewright.web.versions.newest import overtaken_by_a_newer

HAUL = (Path(__file__).parents[3] / "examples" / "haul-3-1.rig.yaml").read_text("utf-8")


def test_a_newer_look_of_the_same_page_and_account_overtakes() -> None:
    first, beside = overtaken_by_a_newer(1, "a"), overtaken_by_a_newer(1, "b")
    other = overtaken_by_a_newer(2, "a")
    assert not first()
    second = overtaken_by_a_newer(1, "a")
    assert (first(), second(), beside(), other()) == (True, False, False, False)
    with patience(1000.0, first), pytest.raises(OutOfPatienceError):
        keep_time()


def test_looks_that_name_no_page_do_not_overtake_each_other() -> None:
    first = overtaken_by_a_newer(1, "")
    overtaken_by_a_newer(1, "")
    assert not first()


@pytest.mark.django_db
@pytest.mark.parametrize("stage", ["first", "whole"])
def test_a_look_that_takes_too_long_says_so(
    stage: str, browser_of: Callable[[Role], Client], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(desk, "LONGEST_LOOK", 0.0)
    text = HAUL.replace(
        "Haul 3:1", f"Haul of the {stage} look"
    )  # one that was looked at before costs nothing
    sent = {"text": text, "n": "1", "stage": stage, "page": "a"}
    answer = browser_of(Role.INSTRUCTOR).post(reverse("rigs:live"), sent).json()
    assert (answer["whole"], answer["usable"], answer["drawn"]) == (True, True, False)
    assert "takes longer than may be while you write. Save it" in answer["said"] + answer["verdict"]
