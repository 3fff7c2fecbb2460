"""A proof as the pages tell it: plain values for JSON, in words and in SI."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from ropewright.judgement.own_rules import sentence
from ropewright.judgement.policy import Policy
from ropewright.procedure import Fault, Held, Moment, Played, Proof, World
from ropewright.procedure.exposure import Exposure, exposure, free_gear, hands
from ropewright.procedure.prove import as_entered
from ropewright.quantity import Units
from ropewright.rig import RigFileError
from ropewright.sheets.dropped import became
from ropewright.sheets.model import Line
from ropewright.sheets.storyboard import grouped, state_lines
from ropewright.sheets.telling import Story, held_words, said

__all__ = ["fault_told", "faults_of", "moment_told", "proof_told", "short_of", "step_told", "worst_words"]

STAYS = 0.005
"""Drop [m] below which a load counts as staying where it is."""


def faults_of(error: RigFileError) -> list[dict[str, Any]]:
    """What is wrong with a text, by line."""
    return [{"line": f.line, "column": f.column, "text": f.text} for f in error.faults]


def short_of(told: Mapping[str, Any]) -> dict[str, Any]:
    """What the library shows of a proof: no more than a line."""
    if "faults" in told:
        return {"verdict": "unusable", "faults": len(told["faults"]), "steps": 0}
    refused = told["refused"]
    return {
        "verdict": "proved" if told["proved"] else "refused",
        "refused": 0 if told["start"]["faults"] else (refused[0] if refused else None),
        "cautions": told["cautions"],
        "steps": len(told["steps"]),
    }


def proof_told(story: Story) -> dict[str, Any]:
    """Everything that the pages show of a procedure, but its pictures."""
    p, proof, world = story.procedure, story.proof, story.world
    steps = [step_told(world, proof, played, story.units) for played in proof.steps]
    for k, (first, what, own) in enumerate(grouped(story)):
        moment = proof.start if first is None else first.after
        held = proof.start_held if first is None else own[-1].held
        lines = _besides(state_lines(story, moment, what, held, first), held)
        for played in own:
            steps[played.n - 1] |= {"scene": k, "state": lines if played is first else []}
        if first is None:
            begun = lines
    return {
        "title": p.name,
        "about": p.about,
        "given": p.given,
        "level": p.level,
        "standard": p.standard,
        "minutes": p.minutes,
        "attempts": p.attempts,
        "stop_rules": list(p.stop_rules),
        "rig_file": p.rig_file,
        "rig_title": p.rig.rig,
        "policy": Policy(p.rig).name,
        "own_rules": sentence(p.rig, story.units),
        "asked": {
            key.replace("-", "_"): world.policy.number(key)
            for key in ("chains", "hands-off-chains", "most-drop")
        },
        "proved": proof.proved,
        "headline": proof.headline,
        "entered": as_entered(p, story.units),
        "cautions": proof.cautions,
        "refused": [played.n for played in proof.steps if played.verdict == "refused"],
        "people": [{"name": x.name, "role": x.role, "at": x.at} for x in p.people.values()],
        "start": {
            **moment_told(world, proof.start, dict(proof.start_held), proof, story.units),
            "faults": [fault_told(fault) for fault in proof.start_faults],
            "verdict": "refused" if proof.start_faults else "ok",
            "state": begun,
            "scene": 0,
        },
        "steps": steps,
    }


def step_told(world: World, proof: Proof, played: Played, units: Units) -> dict[str, Any]:
    """One step: who does what, what is wrong with it, who is held then and what one failure would do."""
    return {
        "n": played.n,
        "line": played.step.line,
        "doer": played.step.doer,
        "do": said(proof.procedure, played, units),
        "verb": played.step.verb,
        "done": played.done,
        "verdict": played.verdict,
        "faults": [fault_told(fault) for fault in played.faults],
        **moment_told(world, played.after, dict(played.held), proof, units),
    }


def moment_told(
    world: World, moment: Moment, held: dict[str, Held], proof: Proof, units: Units
) -> dict[str, Any]:
    """Who is held by what at a moment, what one failure would do, hands that are full, gear to spare."""
    people = list(proof.procedure.people)
    busy = hands(moment, people)
    who = [{"name": name, "full": full} for name in people if (full := moment.full_hands(name))]
    words = {line.lead.removesuffix(":"): line for line in held_words(held)}
    return {
        "held": [
            {
                "load": load,
                "chains": h.chains,
                "hands_off": h.hands_off,
                "ropes": list(h.ropes),
                "words": words[load].text,
                "strong": words[load].strong,
            }
            for load, h in held.items()
        ],
        "worst": [_worst(x, units) for x in exposure(world, moment).values()],
        "hands": {"full": busy.full, "there": busy.there, "who": who},
        "free": free_gear(world, moment),
    }


def fault_told(fault: Fault) -> dict[str, Any]:
    """One thing that is wrong, and what would be right."""
    return {
        "kind": fault.kind,
        "level": fault.level,
        "text": fault.text,
        "fix": fault.fix,
        "chains": fault.count,
    }


def _worst(x: Exposure, units: Units) -> dict[str, Any]:
    return {
        "load": x.load,
        "part": x.part,
        "outcome": x.outcome,
        "drop": x.drop,
        "words": worst_words(x, units),
        "grave": x.outcome != "held",
    }


def worst_words(x: Exposure, units: Units = "both") -> str:
    """What becomes of a load if the worst single thing lets go."""
    if x.outcome == "held" and (x.drop or 0.0) < STAYS:
        return f"whatever single thing fails, {x.load} stays where it is"
    return f"if {x.part} fails, {x.load} {became(x, units)}"


def _besides(lines: Iterator[Line], held: Mapping[str, Held]) -> list[dict[str, Any]]:
    """What stands beside a picture, without who is held, which has its own place."""
    own = {(line.lead, line.text) for line in held_words(held)}
    return [
        {"lead": line.lead.removesuffix(":"), "text": line.text, "strong": line.strong}
        for line in lines
        if (line.lead, line.text) not in own
    ]
