"""The rules that make findings of an examination, one subject a module."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from ropewright.judgement.rules import (
    anchors,
    crews,
    direction,
    drawn,
    edges,
    figures,
    further,
    holding,
    limits,
    moving,
    ratings,
    ropes,
    slipping,
    strength,
)
from ropewright.judgement.rules.base import (
    LEVELS,
    LOADED,
    UNBROKEN,
    Context,
    Finding,
    Level,
    in_state,
    ratio,
)
from ropewright.judgement.rules.codes import CODES
from ropewright.judgement.rules.crews import hands_of, pull_of, team_pull_of
from ropewright.judgement.rules.edges import touches
from ropewright.judgement.rules.holding import stands_there
from ropewright.judgement.rules.limits import limit_words
from ropewright.judgement.rules.near_ground import near_ground, words_of

__all__ = [
    "CODES",
    "LEVELS",
    "LOADED",
    "RULES",
    "UNBROKEN",
    "Context",
    "Finding",
    "Level",
    "hands_of",
    "in_state",
    "limit_words",
    "near_ground",
    "pull_of",
    "ratio",
    "stands_there",
    "team_pull_of",
    "touches",
    "words_of",
]

RULES: tuple[Callable[[Context], Iterable[Finding]], ...] = (
    direction.find,
    drawn.find,
    moving.find,
    further.find,
    holding.find,
    strength.find,
    slipping.find,
    limits.find,
    ratings.find,
    edges.find,
    anchors.find,
    ropes.find,
    crews.find,
    figures.find,
)
