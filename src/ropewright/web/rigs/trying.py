"""A rig with some of its figures turned: its knobs, and what it comes to then. Nothing is saved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from ropewright.rig import Rig
from ropewright.web.policy.now import TeamRules, rules_now
from ropewright.web.rigs.glancing import Figure, Found, Glance, glance_at, quick_look
from ropewright.web.rigs.knobs import Knob, Turned, knobs_of, turned
from ropewright.web.workings.engine import read_for_team
from ropewright.web.workings.results import kept
from ropewright.web.workings.size import is_heavy
from ropewright.web.workings.waiting import leave_to_worker

__all__ = ["friction", "glance_as_saved", "glance_turned", "turned_by"]


def turned_by(
    text: str, query: Mapping[str, str], rules: TeamRules | None = None
) -> tuple[list[Knob], Turned]:
    """The knobs of a text, and the rig with those turned that an address names.

    Errors: RopewrightError; StillWorkingError where a large rig's friction is not known yet.
    """
    rules = rules or rules_now()
    read, parts = read_for_team(text, rules), (text, rules.number, rules.name)

    def work() -> dict[str, Any]:
        leave_to_worker(read, "rig-friction", parts, {"text": text, "rules": rules.number})
        return friction(read)

    used = kept("rig-friction", parts, work)["used"]
    knobs = knobs_of(read, [tuple(each) for each in used], rules.first)
    return knobs, turned(read, knobs, query)


def friction(rig: Rig) -> dict[str, Any]:
    """The figures that a rig's friction comes from, as the store keeps them."""
    examination = quick_look(rig)
    return {
        "used": [
            [used.key, used.by, used.value.likely]
            for used in examination.assembly.figures.used.values()
            if used.value is not None
        ]
    }


def glance_as_saved(text: str) -> Glance:
    """What a text comes to as it stands: kept, so that each turn works one rig out.

    Errors: RigFileError; StillWorkingError where a large rig was not worked out before.
    """
    rules = rules_now()
    parts = (text, rules.number, rules.name)

    def work() -> dict[str, Any]:
        read = read_for_team(text, rules)
        leave_to_worker(read, "rig-glance", parts, {"text": text, "rules": rules.number})
        return asdict(glance_at(read))

    return _glance(kept("rig-glance", parts, work))


def glance_turned(text: str, done: Turned) -> Glance:
    """What it comes to with its knobs turned; that of a large rig is kept.

    Errors: StillWorkingError where a large rig was not worked out so before.
    """
    if not is_heavy(done.rig):
        return glance_at(done.rig)
    rules, values = rules_now(), {knob.key: f"{done.values[knob.key]!r}" for knob in done.changed}
    parts = (text, rules.number, rules.name, values)

    def work() -> dict[str, Any]:
        asked = {"text": text, "rules": rules.number, "turned": values}
        leave_to_worker(done.rig, "rig-turned", parts, asked)
        return asdict(glance_at(done.rig))

    return _glance(kept("rig-turned", parts, work))


def _glance(found: Mapping[str, Any]) -> Glance:
    """A glance as the store gives it back."""
    return Glance(
        tuple(Figure(**f) for f in found["figures"]),
        found["trouble"],
        tuple(found["wrong"]),
        tuple(Found(**f) for f in found["found"]),
        found["outside"],
        found["own"],
    )
