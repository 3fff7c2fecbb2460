"""How a way is made in strokes, and how much longer each rope gets on it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from .examine import Examination
from .ground import ground_for
from .moved import Moved, room
from .way import lost, most_rise

__all__ = ["End", "Strokes", "grown", "strokes"]

End = Literal["", "meets", "tight", "top", "ground", "lost"]
"""What ends a way that is too short: two things meet, a slack rope comes tight, the load is up at what its
rope goes to, it stands on the ground, or the model finds no further way."""

SAME = 1e-3
"""Length [m] below which a stroke counts as long enough."""


@dataclass(frozen=True, slots=True)
class Strokes:
    """How a motion of ``asked`` [m] is made: ``reach`` [m] of one stroke, the two parts that then ``meets``
    (``tight``: between which a slack rope then comes tight), the ``grab`` to be moved for the next one, and
    how many resets it takes; ``resets`` None: it can't be done. ``follows``: a back-up or grab on a slack
    rope that somebody has to move along. ``rope`` [m] passes one hand on the whole way.
    """

    asked: float
    reach: float
    meets: tuple[str, str] | None
    grab: str
    resets: int | None
    rope: float
    tight: bool = False
    follows: str = ""
    ends: End = ""


def asked(x: Examination, moved: Moved) -> float:
    """How far the file wants the load moved [m]."""
    motion = x.rig.haul if moved.direction > 0 else x.rig.lower
    return 0.0 if motion is None else motion.distance


def strokes(x: Examination, moved: Moved) -> Strokes:
    """The strokes of a motion."""
    goal = asked(x, moved)
    rope = moved.rope_per_metre * goal
    floor = ground_for(x.rig, moved.load) if moved.direction < 0 else None
    height = math.inf if floor is None else x.rig.loads[moved.load].at[2] - floor.at[2]
    made = _strokes(moved, goal, rope)
    other = stands_first(moved)
    if other is not None and goal > moved.travel.reach + SAME:
        return _on_the_ground(moved, goal, moved.travel.reach, *other)
    if floor is not None and goal > height + SAME and (made.ends in ("", "lost") or made.reach >= height):
        return _on_the_ground(moved, goal, max(0.0, height), moved.load, floor.name)
    if moved.direction > 0 and made.resets:
        top = most_rise(moved)
        if top is not None and goal > top[0] + SAME:
            reach = max(top[0], made.reach)
            return Strokes(goal, reach, (moved.load, top[1]), "", None, rope, ends="top")
    return made


def _on_the_ground(moved: Moved, goal: float, reach: float, load: str, floor: str) -> Strokes:
    rope = moved.rope_per_metre * reach
    return Strokes(goal, reach, (load, floor), "", None, rope, ends="ground")


def stands_first(moved: Moved) -> tuple[str, str] | None:
    """Another load that comes to stand before the one that is moved is where it should go, and what it stands
    on; None where that doesn't end the way.
    """
    rig, node = moved.assembly.rig, moved.assembly.node
    for load in rig.loads:
        floor = ground_for(rig, load)
        if load != moved.load and floor is not None and node[load] == moved.travel.stands:
            return load, floor.name
    return None


def _strokes(moved: Moved, goal: float, rope: float) -> Strokes:
    """The strokes by what meets on the ropes alone."""
    reach = float(moved.travel.reach)
    if reach >= goal - SAME or moved.travel.meets < 0:
        return Strokes(goal, min(goal, reach), None, "", 0, rope)
    ends = moved.assembly.strand_ends(moved.travel.meets)
    meets = (ends[0].contact.target or "the tail", ends[1].contact.target or "the tail")
    if moved.travel.tight:
        follows = next((w.contact.target or "" for w in ends if w.contact.verb == "grip"), "")
        if follows:
            return Strokes(goal, goal, None, "", 0, rope, True, follows)
        return Strokes(goal, reach, meets, "", None, rope, True, ends="tight")
    if lost(moved, room(moved.assembly)):
        return Strokes(goal, reach, meets, "", None, rope, ends="lost")
    grab = _movable_grab(moved, meets)
    if not grab or reach <= SAME:
        return Strokes(goal, reach, meets, grab, None, rope, ends="meets")
    return Strokes(goal, reach, meets, grab, math.ceil(goal / reach - 1e-6) - 1, rope)


def _movable_grab(moved: Moved, meets: tuple[str, str]) -> str:
    """A grab on a floating point at either end, which can be pushed back along its rope; '' if none."""
    assembly = moved.assembly
    held = {assembly.node[name] for name in (*assembly.rig.loads, *assembly.rig.points, *assembly.rig.crews)}
    nodes = {assembly.node[name] for name in meets if name in assembly.node} - held
    for wire in assembly.wires:
        contact = wire.contact
        if contact.verb == "grip" and contact.target and assembly.node[contact.target] in nodes:
            return contact.target
    return ""


def grown(x: Examination, moved: Moved) -> dict[str, float]:
    """How much longer (+) or shorter (−) [m] each rope's run is at the end of the way, several strokes in
    proportion.
    """
    s = moved.motion.system.strands
    start = moved.motion.frictionless.position[:, :, 0].T
    before = np.linalg.norm(start[s.end] - start[s.start], axis=1)
    out: dict[str, float] = {}
    for k in range(len(s)):
        name = moved.assembly.strand_ends(k)[0].rope
        out[name] = out.get(name, 0.0) + float(moved.travel.shortest[k] - before[k])
    span = moved.travel.reach - moved.begun
    found = strokes(x, moved)
    way = found.reach if found.ends == "ground" else found.asked  # nothing is paid out past the ground
    scale = way / span if span > SAME else 1.0
    return {name: float(more * scale) for name, more in out.items()}
