"""Things that addresses are asked for: each room's `things.py` makes its own.

An address is called with keywords, as in `/rigs/<slug:rig>/`. A keyword that stands in a room's `MAKERS` is
made by it: given the table's value and an account, it gives what the address is called with. Keywords are
named after the thing (`rig`, `procedure`, `item`, `person`, `plan`), so that no two rooms differ.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from importlib.util import find_spec
from typing import Any

from ropewright.web.accounts.models import Account
from tests.web.addresses import ROOMS

__all__ = ["Maker", "make_things"]

Maker = Callable[[Any, Account], Any]


def _makers() -> dict[str, Maker]:
    whole: dict[str, Maker] = {}
    for room in ROOMS:
        if find_spec(f"tests.web.{room}.things"):
            whole |= import_module(f"tests.web.{room}.things").MAKERS
    return whole


def make_things(kwargs: dict[str, Any], author: Account) -> dict[str, Any]:
    """Make what an address needs; give the keywords that it is then called with."""
    makers = _makers()
    return {key: makers[key](value, author) if key in makers else value for key, value in kwargs.items()}
