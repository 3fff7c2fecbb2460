"""The table of every address of the app: its name, what it is called with, and who may open it how.

`get` and `post` name the roles that are let in; everybody else gets 403, and whoever is not signed in is sent
to sign in. None: the view takes no such method. An address that is missing here fails the test.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ropewright.web.access import ACTS, Role

__all__ = ["ADDRESSES", "OPEN", "Address"]

OPEN = frozenset([None, *Role])
"""Anybody, signed in or not."""


@dataclass(frozen=True)
class Address:
    """One address. ``get`` and ``post``: who is let in; None: the method is not taken (405)."""

    get: frozenset[Role | None] | None
    post: frozenset[Role | None] | None = None
    kwargs: dict[str, Any] = field(default_factory=dict)


def _may(act: str) -> frozenset[Role | None]:
    return frozenset(ACTS[act])


ADDRESSES: dict[str, Address] = {
    "pages:front": Address(OPEN),
    "pages:today": Address(_may("be signed in")),
    "pages:health": Address(OPEN),
    "pages:offline": Address(OPEN),
    "pages:manifest": Address(OPEN),
    "pages:worker": Address(OPEN),
    "accounts:sign-in": Address(OPEN, OPEN),
    "accounts:sign-out": Address(None, OPEN),
    "accounts:first": Address(OPEN, OPEN),
    "accounts:me": Address(_may("be signed in")),
    "rigs:library": Address(_may("see rigs")),
    "rigs:open": Address(_may("see rigs"), kwargs={"slug": "haul-3-1"}),
    "procedures:library": Address(_may("see procedures")),
    "gear:list": Address(_may("see gear")),
    "people:roster": Address(_may("see people")),
    "planning:plans": Address(_may("see plans")),
    "policy:current": Address(_may("see policy")),
}
