"""The short form of `tests.web.storing.kills`: a few deaths on every commit; a thousand by hand."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.web.storing.kills import kill_often


@pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="finds the workers in /proc")
@pytest.mark.skipif(
    "ROPEWRIGHT_DATABASE" in os.environ, reason="looks into the SQLite file; done in the other run"
)
def test_what_was_acknowledged_outlives_the_death_of_the_server() -> None:
    report = kill_often(14, each_life=8)
    assert report.kills == 14
    assert report.servers == 2
    assert report.acknowledged > 10
    assert report.unanswered > 0, "no kill fell into a save: the test saw nothing"
