"""Home folders of the app that take seconds to make: one process of a run makes each, all copy it."""

from __future__ import annotations

import fcntl
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

__all__ = ["home_made_once", "made_ready", "own_home"]

_READY = "from ropewright.web.serving import prepare; prepare(print, demo=False)"


def home_made_once(factory: pytest.TempPathFactory, name: str, make: Callable[[Path], None]) -> Path:
    """A folder to copy: ``make`` fills it for the first in a run, of whichever process, that asks for it."""
    base = factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        base = base.parent
    folder = base / f"{name}-made-once"
    folder.mkdir(exist_ok=True)
    home, filled = folder / "home", folder / "filled"
    with (folder / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not filled.exists():
            make(home)
            filled.touch()
    return home


def own_home(home: Path) -> dict[str, str]:
    """The environment of a program that is to use a home folder and the SQLite store in it."""
    left_out = ("DJANGO_SETTINGS_MODULE", "ROPEWRIGHT_DATABASE")
    return {k: v for k, v in os.environ.items() if k not in left_out} | {"ROPEWRIGHT_HOME": str(home)}


def made_ready(home: Path) -> None:
    """Make a home with an empty store, as a server's start does."""
    subprocess.run(
        [sys.executable, "-c", _READY], env=own_home(home), check=True, capture_output=True, timeout=120
    )
