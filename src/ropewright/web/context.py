"""What the shell of every page needs: the places to go, the team's name, what this person may do."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest

from ropewright.web.access import allowed
from ropewright.web.policy.now import rules_now

__all__ = ["PLACES", "shell"]

# The address, its words, the act that it takes, and the start of the addresses below it.
PLACES = (
    ("pages:today", "Today", "be signed in", "/today"),
    ("rigs:library", "Rigs", "see rigs", "/rigs"),
    ("procedures:library", "Procedures", "see procedures", "/procedures"),
    ("gear:list", "Gear", "see gear", "/gear"),
    ("people:roster", "People", "see people", "/people"),
    ("planning:plans", "Can we rig it?", "see plans", "/plans"),
    ("policy:current", "Policy", "see policy", "/policy"),
)


def shell(request: HttpRequest) -> dict[str, Any]:
    """The places that this person may go to, `can` (asked as `can.plan`), and the team's rules."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {"shell_places": (), "can": _Can(lambda _act: False)}
    places = [
        {"name": name, "words": words, "here": request.path.startswith(below)}
        for name, words, act, below in PLACES
        if allowed(user, act)
    ]
    return {"shell_places": places, "can": _Can(lambda act: allowed(user, act)), "team": rules_now()}


class _Can:
    """Answers `can.edit_rigs` in a template: an act of the table, its spaces written as underlines."""

    def __init__(self, ask: Callable[[str], bool]) -> None:
        self._ask = ask

    def __getitem__(self, act: str) -> bool:
        return self._ask(act.replace("_", " "))
