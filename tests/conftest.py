"""How the tests are shared out between the processes that run them (``--dist loadscope``)."""

from __future__ import annotations

from pathlib import PurePath

import pytest
from xdist.scheduler import LoadScopeScheduling  # type: ignore[import-untyped]

WHOLE = {
    "drawing": "drawing",
    "judgement": "judgement",
    "mechanics": "mechanics",
    "procedure": "procedures and their sheets",
    "sheets": "procedures and their sheets",
}
"""Rooms whose files ask for the same costly answers, which a process keeps: one process runs all of them."""


class _Rooms(LoadScopeScheduling):  # type: ignore[misc]
    """A file stays with one process, and so do all files of some rooms."""

    def _split_scope(self, nodeid: str) -> str:
        file = nodeid.split("::", 1)[0]
        parts = PurePath(file).parts
        return WHOLE.get(parts[1], file) if len(parts) > 2 else file


@pytest.hookimpl(optionalhook=True)  # a run without xdist has none
def pytest_xdist_make_scheduler(config: pytest.Config, log: object) -> _Rooms | None:
    return _Rooms(config, log) if config.getoption("dist") == "loadscope" else None
