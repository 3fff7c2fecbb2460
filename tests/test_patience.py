"""A limit on how long something may take is kept inside the engine; without one nothing is limited."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.judgement.examine import examine
from ropewright.judgement.report import report
from ropewright.patience import OutOfPatienceError, keep_time, patience
from ropewright.rig import read_rig

HAUL = Path(__file__).parents[1] / "examples" / "haul-3-1.rig.yaml"


def test_without_a_limit_there_is_none() -> None:
    keep_time()


def test_the_time_over_or_nobody_there_ends_it() -> None:
    with patience(1000.0):
        keep_time()
    with patience(-1.0), pytest.raises(OutOfPatienceError):
        keep_time()
    with patience(1000.0, lambda: True), pytest.raises(OutOfPatienceError):
        keep_time()
    keep_time()


def test_an_examination_ends_with_it_and_gives_the_same_answer_within_it() -> None:
    rig, known = read_rig(HAUL, load_catalogue()), load_catalogue()
    with patience(-1.0), pytest.raises(OutOfPatienceError):
        examine(rig, known)
    with patience(1000.0):
        within = examine(rig, known)
    assert report(within, "metric") == report(examine(rig, known), "metric")


def test_the_time_is_that_of_the_thread() -> None:
    with patience(0.05):
        time.sleep(0.1)
        keep_time()
