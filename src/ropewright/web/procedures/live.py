"""A text looked at while it is written: its faults, or its steps with their verdicts, and a picture.

Stages: first every step without letting things fail, then the picture of a step, then all of it. What the
model said of a rig is remembered between looks, so that a changed step costs itself and those after it.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, field
from threading import Lock
from typing import Any

from ropewright.procedure import Procedure as ReadProcedure
from ropewright.procedure import Proof, World, prove
from ropewright.procedure.drawn import Changed, changed
from ropewright.procedure.prove import as_entered
from ropewright.rig.yamltext import load_yaml
from ropewright.sheets.storyboard import frame_of
from ropewright.sheets.telling import Story
from ropewright.web.procedures.source import Source, source_of
from ropewright.web.procedures.told import fault_told
from ropewright.web.versions.looking import Seen, Stage, looked_at
from ropewright.web.workings.engine import catalogue
from ropewright.web.workings.results import digest

__all__ = ["MOST_STEPS", "Look", "look"]

MOST_STEPS = 120
"""Steps beyond which a procedure is proved once it is saved, not at every word."""
KEPT = 4
"""Rigs of which answers are remembered."""
RENEWED = 150
"""Looks after which what is remembered of a rig is let go."""
_TEXTS = (
    "procedure",
    "about",
    "steps",
    "words",
    "given",
    "level",
    "standard",
    "minutes",
    "attempts",
    "stop-when",
)
"""Keys of the file that change nothing in what the model is asked."""


@dataclass(frozen=True, slots=True)
class Look(Seen):
    """What a text shows. ``whole``: whether failures were tried; ``proved`` is not known before that."""

    start: tuple[Mapping[str, Any], ...] = ()
    steps: tuple[Mapping[str, Any], ...] = ()
    whole: bool = True
    proved: bool | None = None
    headline: str = ""
    entered: str = ""
    svg: str = ""
    drawn: str = ""

    @property
    def refused(self) -> list[int]:
        """The numbers of the steps that are refused."""
        return [step["n"] for step in self.steps if step["verdict"] == "refused"]

    @property
    def lines(self) -> dict[int, str]:
        """The lines that have something to be said of, each with the gravest of it."""
        found = {fault.line: "fault" for fault in self.faults}
        levels = {"refused": "stop", "caution": "caution"}
        found |= {step["line"]: levels[step["verdict"]] for step in self.steps if step["verdict"] in levels}
        return found


@dataclass(slots=True)
class _Remembered:
    """A world, and how often it was asked; one look at a time."""

    world: World
    asked: int = 0
    lock: Lock = field(default_factory=Lock)


_worlds: OrderedDict[str, _Remembered] = OrderedDict()
_lock = Lock()


def look(text: str, stage: Stage = "whole", step: int | None = None) -> Look:
    """Look at a text. Nothing that stands in it makes this raise.

    step: the number of the step of which a picture is wanted; left out, the first that is refused.
    """
    return looked_at(lambda: _looked(source_of(text), stage, step), Look, "procedure")


def _looked(source: Source, stage: Stage, step: int | None) -> Look:
    procedure = source.read()
    if len(procedure.steps) > MOST_STEPS:
        text = (
            f"{len(procedure.steps)} steps are more than are proved while you write ({MOST_STEPS}). "
            "The text reads; save it, and its page shows the rest."
        )
        return Look(trouble=text)
    remembered = _world(source, procedure)
    with remembered.lock:
        proof = prove(procedure, catalogue(), remembered.world, failing=stage == "whole")
        svg, drawn = _picture(source, proof, remembered.world, step) if stage == "picture" else ("", "")
    steps = tuple(
        {
            "n": played.n,
            "line": played.step.line,
            "doer": played.step.doer,
            "do": played.step.text,
            "verdict": played.verdict,
            "faults": [fault_told(fault) for fault in played.faults if fault.kind != "still"],
        }
        for played in proof.steps
    )
    start = tuple(fault_told(fault) for fault in proof.start_faults)
    whole = stage == "whole"
    proved = proof.proved if whole else None
    entered = as_entered(procedure, source.rules.units)
    return Look((), start, steps, whole, proved, proof.headline, entered, svg, drawn)


def _world(source: Source, procedure: ReadProcedure) -> _Remembered:
    """The world in which a procedure is played, with what was asked before of the same rig and gear."""
    value = load_yaml(source.text, "procedure file").value
    asks = {key: part for key, part in value.items() if key not in _TEXTS}
    key = digest("live", asks, dict(source.rigs), source.rules.number, source.rules.name)
    with _lock:
        found = _worlds.pop(key, None)
        if found is None or found.asked >= RENEWED:
            found = _Remembered(World(procedure, catalogue()))
        found.asked += 1
        _worlds[key] = found
        while len(_worlds) > KEPT:
            _worlds.popitem(last=False)
        return found


def _picture(source: Source, proof: Proof, world: World, wanted: int | None) -> tuple[str, str]:
    """A step drawn, and which: the one that is wanted, else the first that is refused, else the last."""
    story = Story(proof, world, source.file, "", source.rules.units)
    refused = next((p.n for p in proof.steps if p.verdict == "refused"), None)
    n = wanted if wanted is not None and 0 <= wanted <= len(proof.steps) else refused or len(proof.steps)
    if n == 0:
        return frame_of(story, proof.start, Changed(), "").svg, "the start"
    played = proof.steps[n - 1]
    svg = frame_of(story, played.after, changed(played.before, played.after, played.step), str(n)).svg
    return svg, f"after step {n}"
