"""When a rig cannot move as asked, and what shows it: a point, a contact, a reason in words."""

from __future__ import annotations

from typing import Literal

import numpy as np

from .errors import NoSolutionError
from .model import SLACK, System, chord
from .moving import Blocks, Moving, Stance, blocks
from .rates import Rates, rates
from .reach import held
from .settle import Rest

Trouble = Literal["no-hand", "falls", "stuck", "loose", "unsolved"]
STILL = 1e-6
"""Flow per metre of load travel below which a contact counts as not slipping."""
TIGHT = 1e-4
"""Slack [m] below which a rope without tension counts as just tight."""
MET = 0.01
"""Distance [m] at which two things on a rope have met."""
SOFT = 1e-5
"""Stiffness [1/m], as a share of the weight, below which a point counts as loose; a tight strand of 100 m
gives 1e-2."""


class StuckError(NoSolutionError):
    """The motion asked for cannot happen; ``kind`` says how, ``node`` the point and ``contact`` the
    contact that shows it.
    """

    def __init__(self, kind: Trouble, text: str, node: int = -1, contact: int = -1) -> None:
        super().__init__(text)
        self.kind, self.node, self.contact = kind, node, contact


def nothing_falls(system: System) -> None:
    keeps = held(system)
    for n in (system.load, *system.free):
        if not keeps[n] and (n == system.load or system.weight[n] > 0):
            what = "the load" if n == system.load else system.names[n]
            raise StuckError("falls", f"nothing holds {what} up", int(n))


def nothing_has_met(system: System, rest: Rest) -> None:
    """Two points of one rope that were apart as drawn and are together once the load is up: the hand pulls
    them together.
    """
    s = system.strands
    drawn = np.linalg.norm(system.position[s.end] - system.position[s.start], axis=1)
    now = np.linalg.norm(rest.position[s.end] - rest.position[s.start], axis=1)
    met = np.flatnonzero(s.real & (drawn > 10 * MET) & (now < MET))
    if len(met):
        a, b = int(s.start[met[0]]), int(s.end[met[0]])
        free, other = (b, a) if system.fixed[a] else (a, b)
        text = f"{system.names[free]} is pulled along the rope to {system.names[other]} before the load moves"
        raise StuckError("loose", text, free)


def nothing_is_loose(system: System, stance: Stance, rest: Rest, direction: int) -> None:
    motion = rates(system, blocks(system, stance), rest.position, rest.tension, direction)
    if motion.softest < SOFT * system.moved_weight:
        name = system.names[motion.loose]
        raise StuckError(
            "loose", f"nothing keeps {name} in place: it can move without the load", motion.loose
        )


def it_can_move(state: System, motion: Rates, smooth: Moving, rest: Rest) -> None:
    if motion.misfit > 1e-6:
        node = int(state.strands.end[int(np.argmax(smooth.tension[:, 0]))])
        raise StuckError("stuck", "taut ropes leave the load no way to move", node, blocking(state, rest))
    if motion.softest < SOFT * state.moved_weight:
        name = state.names[motion.loose]
        raise StuckError(
            "loose", f"nothing keeps {name} in place: it can move without the load", motion.loose
        )


def nothing_comes_tight(system: System, grouped: Blocks, smooth: Moving, motion: Rates) -> None:
    """A rope just not tight that the motion would lengthen stops it at once."""
    position = smooth.position[:, :, 0].T
    unit, length = chord(position, system.strands)
    s = system.strands
    growth = ((motion.velocity[s.end] - motion.velocity[s.start]) * unit).sum(axis=1)
    for b, kind in enumerate(grouped.kind):
        ids = np.flatnonzero(grouped.member == b)
        if (
            kind != "closed"
            or smooth.tension[ids, 0].max() > SLACK * system.moved_weight
            or growth[ids].sum() < STILL
        ):
            continue
        if length[ids].sum() > grouped.laid[b] - TIGHT:
            rope = system.ropes[int(s.rope[ids[0]])].name
            node = int(s.start[ids[0]])
            raise StuckError(
                "stuck", f"{rope} is tight as drawn and would have to grow longer", node, int(s.first[ids[0]])
            )


def blocking(system: System, rest: Rest) -> int:
    """The holding contact with the greatest difference of tension across it, −1 if there is none."""
    first = system.strand_at
    best, where = 0.0, -1
    for c, contact in enumerate(system.contacts):
        if contact.holds != "none" and c in first and c - 1 in first:
            step = abs(float(rest.tension[first[c]] - rest.tension[first[c - 1]]))
            if step > best:
                best, where = step, c
    return where


def undecided(system: System, stance: Stance, nxt: Stance) -> StuckError:
    """Holding contacts go round in a circle: named by the first that changes."""
    c = next(k for k, (a, b) in enumerate(zip(stance.held, nxt.held, strict=True)) if a != b)
    node = system.contacts[c].node
    text = (
        f"{system.names[node]} neither holds nor passes its rope: held it would slide, passing it would bite"
    )
    return StuckError("unsolved", text, node, c)


def instead(system: System, freed: int, error: StuckError) -> StuckError:
    """A grab that friction freed and that left no equilibrium is loose: it slides the way it does not
    bite.
    """
    if freed < 0:
        return error
    node = system.contacts[freed].node
    text = f"{system.names[node]} does not bite: friction pulls it along the rope the way it slides"
    return StuckError("loose", text, node, freed)
