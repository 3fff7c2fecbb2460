"""What the server's log tells of a request that was refused."""

from __future__ import annotations

import io
import logging
import logging.config
from collections.abc import Callable, Iterator

import pytest
from django.test import Client

from ropewright.web.access import Role

BrowserOf = Callable[[Role | None], Client]
pytestmark = pytest.mark.django_db


@pytest.fixture
def log(monkeypatch: pytest.MonkeyPatch) -> Iterator[io.StringIO]:
    """What the app's own handler writes."""
    (handler,) = (h for h in logging.getLogger().handlers if h.filters)
    assert isinstance(handler, logging.StreamHandler)
    told = io.StringIO()
    before = handler.setStream(told)
    yield told
    handler.setStream(before)


def test_a_request_that_is_refused_is_told_of_in_one_line(log: io.StringIO, browser_of: BrowserOf) -> None:
    assert browser_of(Role.STUDENT).get("/rigs/new/").status_code == 403
    (line,) = log.getvalue().splitlines()
    assert "Forbidden (Permission denied): /rigs/new/" in line


def test_a_fault_of_the_program_is_told_with_where_it_arose(log: io.StringIO) -> None:
    try:
        raise ValueError("no such number")
    except ValueError:
        logging.getLogger("django.request").error("broken", exc_info=True, extra={"status_code": 500})
    assert "Traceback" in log.getvalue()
