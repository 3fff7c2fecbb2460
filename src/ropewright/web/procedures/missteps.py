"""Mistakes as the pages tell them: plain values for JSON, and the moment at which one of them shows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Any

from ropewright.procedure import Played, Procedure, run
from ropewright.procedure.drawn import Changed, changed
from ropewright.procedure.mistakes import CONSEQUENCES, MissingCheck, Mistake, Mistakes
from ropewright.procedure.rules import amiss
from ropewright.procedure.slips import Slip, slips
from ropewright.sheets.storyboard import frame_of
from ropewright.sheets.telling import Story
from ropewright.web.procedures.told import moment_told

__all__ = ["MEANINGS", "gravest_first", "missing_checks", "mistake_shown", "mistakes_told"]

MEANINGS: Mapping[str, str] = {
    "falls": "somebody falls, or drops onto what is left",
    "runs": "rope runs with nobody able to hold it",
    "outside policy": "somebody is held by less than the policy asks for",
    "caution": "weaker than it should be",
    "stuck": "nothing goes on until it is put right",
    "nothing": "nothing comes of it",
}


def mistakes_told(found: Mistakes) -> dict[str, Any]:
    """All mistakes, each with its number in the order in which they were made; what follows from them."""
    steps = found.proof.procedure.steps
    numbers = {id(each): k for k, each in enumerate(found.all)}
    return {
        "proved": found.proof.proved,
        "mistakes": [
            {
                **asdict(each),
                "number": k,
                "doer": steps[each.n - 1].doer,
                "step": steps[each.n - 1].text,
                "grave": each.grave,
            }
            for k, each in enumerate(found.all)
        ],
        "critical": [
            {"n": n, "doer": steps[n - 1].doer, "do": steps[n - 1].text, "because": why}
            for n, why in found.critical.items()
        ],
        "missing": [
            {
                "before": check.before,
                "doer": check.doer,
                "proposed": check.proposed,
                "text": check.text,
                "mistake": numbers[id(check.mistake)],
            }
            for check in found.missing
        ],
    }


def gravest_first(told: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The mistakes, the gravest first, then by step."""
    return sorted(
        told["mistakes"], key=lambda m: (-CONSEQUENCES.index(m["consequence"]), m["n"], m["number"])
    )


def missing_checks(told: Mapping[str, Any]) -> tuple[MissingCheck, ...]:
    """The missing checks as the sheets take them."""
    fields = Mistake.__dataclass_fields__
    made = [Mistake(**{k: v for k, v in each.items() if k in fields}) for each in told["mistakes"]]
    return tuple(
        MissingCheck(made[c["mistake"]], c["before"], c["doer"], c["proposed"], c["text"])
        for c in told["missing"]
    )


def mistake_shown(story: Story, told: Mapping[str, Any]) -> dict[str, Any]:
    """The steps as they are done with a mistake, up to where it shows; the moments before and after."""
    slip = list(slips(story.world, story.proof))[told["number"]]
    played = _played(story, slip, told["at"])
    last = played[-1] if played else story.proof.steps[max(0, slip.first - 1)]
    before = frame_of(story, last.before, _at_stake(story.procedure, slip, last), str(slip.n))
    after = frame_of(story, last.after, _after(last, told), str(last.n))
    return {
        "steps": [
            {"n": p.n, "doer": p.step.doer, "do": p.step.text, "verdict": p.verdict, "done": p.done}
            for p in played
        ],
        "before": {"svg": before.svg},
        "after": {"svg": after.svg},
        **moment_told(story.world, last.after, dict(last.held), story.proof, story.units),
    }


def _played(story: Story, slip: Slip, at: int | None) -> list[Played]:
    """The steps with the mistake, until the one at which it shows; the first alone where it never does."""
    moment = story.proof.steps[slip.first].before
    since = dict.fromkeys(amiss(story.world, story.proof.start), 0)
    for usual in story.proof.steps[: slip.first]:
        since = {key: since.get(key, usual.n) for key in amiss(story.world, usual.after)}
    out = []
    for number, step in zip(slip.numbers, slip.steps, strict=True):
        played = run(story.world, moment, [step], since, number)[0]
        moment = played.after
        since = {key: since.get(key, number) for key in amiss(story.world, moment)}
        out.append(played)
        if number == (at or slip.numbers[0]):
            break
    return out


def _at_stake(procedure: Procedure, slip: Slip, last: Played) -> Changed:
    """What the mistake was made with, where it is rigged then."""
    step, rig = procedure.steps[slip.n - 1], last.before.rig
    gear = [name for name in (step.gear, step.part, step.beside) if name in rig.gear]
    hands = (step.rope,) if step.verb in ("hand-on", "hand-off") and step.rope in rig.ropes else ()
    return Changed(gear=tuple(gear[:1]), hands=hands)


def _after(last: Played, told: Mapping[str, Any]) -> Changed:
    """What is to be seen after it: what the step changed, and who goes down, an arrow to the ground."""
    what = changed(last.before, last.after, last.step)
    down = {f.about: f.drop for f in last.faults if f.kind in ("falls", "runs", "drops")}
    moved = {
        name: rise
        for name, rise in what.loads
        if name not in down or told["consequence"] not in ("falls", "runs")
    }
    moved |= {name: -(drop or 1.0) for name, drop in down.items() if name in last.after.rig.loads}
    return replace(what, loads=tuple(moved.items()))
