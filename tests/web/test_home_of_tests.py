"""Each process that runs tests has a home of its own: two would find each other's files in one."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.homes import own_home

_HOME = "from tests.web import settings; print(settings.ENVIRONMENT.home)"


@pytest.mark.parametrize(
    ("before", "worker", "kept"),
    [("", "gw7", False), ("gw6", "gw7", False), ("gw7", "gw7", True), ("", "", True)],
    ids=["a worker of the run", "another worker", "a program of the worker", "a home that somebody named"],
)
def test_a_worker_leaves_the_home_that_it_inherits(
    tmp_path: Path, before: str, worker: str, kept: bool
) -> None:
    told = {"ROPEWRIGHT_TESTS_WORKER": before, "PYTEST_XDIST_WORKER": worker}
    told = own_home(tmp_path) | told | {"PYTHONPATH": os.pathsep.join(sys.path)}
    run = subprocess.run([sys.executable, "-c", _HOME], env=told, capture_output=True, text=True, timeout=60)
    assert run.returncode == 0, run.stderr
    assert (run.stdout.strip() == str(tmp_path)) is kept
