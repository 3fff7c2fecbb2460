"""Searching a way from one rig to another beside the server, and what was found as the pages tell it."""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from typing import Any

from ropewright.procedure.find import Found, find, pair
from ropewright.procedure.lacking import Lacking, lacking
from ropewright.procedure.pairing import extra_gear, unlike
from ropewright.procedure.writer import write_procedure
from ropewright.rig import Rig as ReadRig
from ropewright.web.policy.now import rules_now, rules_numbered
from ropewright.web.procedures.source import RIG_ENDING, Source
from ropewright.web.rigs.models import Rig
from ropewright.web.workings.background import ask
from ropewright.web.workings.engine import catalogue, read_for_team
from ropewright.web.workings.models import Working
from ropewright.web.workings.worker import Tell

__all__ = ["MOST_REFUSED", "ask_way", "hinders", "named_gear", "refused_by_step", "searched", "source_of_way"]

MOST_REFUSED = 200
"""Refused attempts that are kept of a search."""
TRIAL_SECONDS = 20.0
"""How long is searched with one thing more, where there is no way with what is there."""


def hinders(first: ReadRig, last: ReadRig) -> str:
    """Why no way can lead from one rig to the other, whatever is done; empty where nothing hinders it."""
    if set(first.loads) != set(last.loads):
        return (
            f"The two rigs name different loads: {_listed(first)} in the first, {_listed(last)} in the "
            "second. Give what hangs the same names in both."
        )
    differs = unlike(first, last)
    return (
        f"No step changes {differs}. Draw both rigs at the same place, of the same gear." if differs else ""
    )


def _listed(rig: ReadRig) -> str:
    return ", ".join(rig.loads) or "none"


def named_gear(types: Sequence[str], first: ReadRig, last: ReadRig) -> list[str]:
    """Gear brought along, as `NAME=TYPE`: each named after its type, with a number where that is taken."""
    taken = {part.name for rig in (first, last) for part in rig.parts()}
    out = []
    for kind in types:
        name, number = kind, 2
        while name in taken:
            name, number = f"{kind}-{number}", number + 1
        taken.add(name)
        out.append(f"{name}={kind}")
    return out


def ask_way(start: Rig, goal: Rig, extra: Sequence[str], seconds: int) -> Working:
    """Ask for a way between the current versions of two rigs."""
    rules = rules_now()
    asked = {
        "start": start.slug,
        "goal": goal.slug,
        "start_text": start.current.text,
        "goal_text": goal.current.text,
        "extra": list(extra),
        "seconds": seconds,
        "rules": rules.number,
    }
    return ask("way", (*asked.values(), rules.name), asked)


def searched(asked: Mapping[str, Any], tell: Tell) -> dict[str, Any]:
    """Search, and where there is no way try what one thing more would help."""
    rules = rules_numbered(asked["rules"])
    first, last = (read_for_team(asked[key], rules) for key in ("start_text", "goal_text"))
    procedure = pair(first, last, extra_gear(asked["extra"], catalogue(), first, last))
    began, seconds = time.monotonic(), asked["seconds"]

    def on(tried: int, left: int) -> None:
        words = f"{tried} steps tried, {left} differences left at best"
        tell(min(seconds, int(time.monotonic() - began)), seconds, words)

    found = find(procedure, last, catalogue(), seconds=seconds, progress=on)
    helps, tried = list[Lacking](), list[str]()
    if found.procedure is None:
        helps, tried = lacking(
            first,
            last,
            catalogue(),
            seconds=min(TRIAL_SECONDS, seconds),
            progress=lambda what: tell(0, 0, f"no way with what is there; trying {what}"),
        )
    return {
        **{key: asked[key] for key in ("start", "goal", "extra", "seconds", "rules", "start_text")},
        **_told(found, f"{asked['start']}{RIG_ENDING}", first),
        "helps": [{"what": x.what, "steps": _steps(x.found)} for x in helps],
        "tried_besides": tried,
    }


def _told(found: Found, rig_file: str, start: ReadRig) -> dict[str, Any]:
    once = dict.fromkeys((r.n, r.step.doer, r.step.text, r.because) for r in found.rejected)
    return {
        "found": found.procedure is not None,
        "text": write_procedure(found.procedure, rig_file, start, catalogue())
        if found.procedure and found.procedure.steps
        else "",
        "steps": _steps(found),
        "left": list(found.left),
        "refused": [
            {"n": n, "doer": doer, "do": do, "because": why} for n, doer, do, why in list(once)[:MOST_REFUSED]
        ],
        "refused_more": max(0, len(once) - MOST_REFUSED),
        "tried": found.tried,
        "moments": found.moments,
        "took": round(found.seconds, 1),
        "exhausted": found.exhausted,
    }


def _steps(found: Found) -> list[dict[str, Any]]:
    return [{"n": n, "doer": step.doer, "do": step.text} for n, step in enumerate(found.nearest, 1)]


def refused_by_step(told: Mapping[str, Any]) -> dict[int, list[dict[str, Any]]]:
    """The refused attempts under the number of the step of the way at which they were made."""
    out: dict[int, list[dict[str, Any]]] = {}
    for each in told["refused"]:
        out.setdefault(each["n"], []).append(each)
    return out


def source_of_way(told: Mapping[str, Any]) -> Source:
    """The way that was found, as the source of a proof and of pictures."""
    rig = f"{told['start']}{RIG_ENDING}"
    return Source(
        told["text"], {rig: told["start_text"]}, rules_numbered(told["rules"]), "a way that was found"
    )
