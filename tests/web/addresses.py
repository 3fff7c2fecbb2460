"""The table of every address of the app: each room's own `addresses.py` holds its part.

`get` and `post` name the roles that are let in; everybody else gets 403, and whoever is not signed in is sent
to sign in. None: the view takes no such method. An address that is missing fails the test.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from importlib import import_module
from typing import Any

from ropewright.web.access import ACTS, Role

__all__ = ["OPEN", "ROOMS", "Address", "every_address", "may"]

ROOMS = (
    "pages",
    "accounts",
    "rigs",
    "procedures",
    "gear",
    "people",
    "planning",
    "policy",
    "workings",
    "interface",
)
OPEN: frozenset[Role | None] = frozenset([None, *Role])
"""Anybody, signed in or not."""


@dataclass(frozen=True)
class Address:
    """One address. ``get`` and ``post``: who is let in; None: the method is not taken (405)."""

    get: frozenset[Role | None] | None
    post: frozenset[Role | None] | None = None
    kwargs: dict[str, Any] = field(default_factory=dict)


def may(act: str) -> frozenset[Role | None]:
    """The roles that may do an act."""
    return frozenset(ACTS[act])


def every_address() -> dict[str, Address]:
    """The rooms' tables in one."""
    whole: dict[str, Address] = {}
    for room in ROOMS:
        own: dict[str, Address] = import_module(f"tests.web.{room}.addresses").ADDRESSES
        whole |= {f"{room}:{name}": address for name, address in own.items()}
    return whole
