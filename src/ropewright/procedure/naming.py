"""Whether every name in a step is one of the rig's or of what is brought along, and of the right kind."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from ropewright.rig.draft import Found
from ropewright.rig.faults import listed, shown, suggestion

from .model import Procedure

__all__ = ["check_names"]


def check_names(p: Procedure, brought: Iterable[str] = ()) -> Iterator[Found]:
    """Everything wrong with the names in a procedure's steps; what is only not there yet is no fault here.

    ``brought``: names that the file gives to gear and ropes, also to those that it says wrongly: each is told
    where it stands, and not once more at every step.
    """
    brought = tuple(brought)
    gear = list(dict.fromkeys([*p.rig.gear, *p.kit, *brought]))
    ropes = list(dict.fromkeys([*p.rig.ropes, *p.spare, *brought]))
    places = [*p.rig.points, *p.rig.loads, *gear]
    lines = {step.line: k for k, step in enumerate(p.steps)}
    takes_weight = [*ropes, *gear]
    for step in p.steps:
        kinds = "ropes or gear" if step.verb == "give-weight" else "points, loads or gear"
        wanted: tuple[tuple[str, Iterable[str], str], ...] = (
            (step.gear, gear, "gear"),
            (step.rope, ropes, "ropes"),
            (step.load, p.rig.loads, "loads"),
            (step.beside, places, "points, loads or gear"),
            (step.part, takes_weight if step.verb == "give-weight" else places, kinds),
        )
        texts = [] if step.doer in p.people else [_unknown(step.doer, p.people, "people, loads or crews")]
        texts += [_unknown(name, known, where) for name, known, where in wanted if name and name not in known]
        texts += [
            _unknown(name, [*places, *ropes], "the rig")
            for name in step.names
            if name not in (*places, *ropes)
        ]
        for text in texts:
            yield Found(("steps", lines[step.line]), text)


def _unknown(name: str, known: Iterable[str] | Mapping[str, object], where: str) -> str:
    names = list(known)
    there = f"There is {listed(f'`{n}`' for n in names[:8])}" if names else "There is none"
    return f"{shown(name)} is no name in {where}. {suggestion(name, names, there)}"
