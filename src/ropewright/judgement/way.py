"""How far a load can be hauled at all: to what its rope goes up to."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from .assemble import Assembly
from .moved import Moved, room

Array = NDArray[np.float64]

__all__ = ["lost", "most_rise"]

TAUT = 1.0
"""Force [N] from which a rope counts as carrying the load."""
MISSED = 0.05
"""Length [m] over the room of two things from which they haven't met."""


def lost(moved: Moved, least: Array) -> bool:
    """Whether the way ends where nothing has met, by the least length ``least`` (S,) [m] of each strand."""
    strand = moved.travel.meets
    return float(moved.travel.shortest[strand] - least[strand]) > MISSED


def most_rise(moved: Moved) -> tuple[float, str] | None:
    """How far [m] a load can be hauled from where it is drawn, in however many strokes, and up to what.

    The ropes that carry it lead through floating gear to fixed places; the load stays below the highest of
    them by the room that knots and gear on the way there take. None where only a hand is up there.
    """
    found = _first_fixed(moved)
    if not found:
        return None
    position = moved.motion.frictionless.position[:, :, 0].T
    load = position[moved.motion.system.load]
    heights: dict[str, float] = {}
    for n, (length, name) in found.items():
        aside = float(np.hypot(*(position[n, :2] - load[:2]))) if len(found) > 1 else 0.0
        under = math.sqrt(max(0.0, length**2 - aside**2))
        heights[name] = moved.begun + float(position[n, 2] - load[2]) - under
    name = max(heights, key=lambda part: heights[part])
    return heights[name], name


def _first_fixed(moved: Moved) -> dict[int, tuple[float, str]]:
    """The first fixed points that the load's ropes lead to, or the ropes of what those hang on: for each the
    least room [m] that things on the way take, and the part there.
    """
    system = moved.motion.system
    least = room(moved.assembly)
    used: set[str] = set()
    level = {system.load: 0.0}
    seen = set(level)
    while level:
        found: dict[int, tuple[float, str]] = {}
        nearby: dict[int, float] = {}
        ropes = set(used)
        for node, so_far in level.items():
            for strand, step in _leaving(moved, node, used):
                ropes.add(moved.assembly.strand_ends(strand)[0].rope)
                _walk(moved, strand, step, so_far, least, found, nearby)
        if found:
            return found
        used, level = ropes, {n: length for n, length in nearby.items() if n not in seen}
        seen |= set(level)
    return {}


def _leaving(moved: Moved, node: int, used: set[str]) -> list[tuple[int, int]]:
    """Taut strands of new ropes that leave a point: the strand and the way along its rope, +1 or −1."""
    s, tension = moved.motion.system.strands, moved.motion.frictionless.tension[:, 0]
    out = []
    for k in range(len(s)):
        if tension[k] < TAUT or moved.assembly.strand_ends(k)[0].rope in used:
            continue
        out += [(k, step) for n, step in ((s.start[k], 1), (s.end[k], -1)) if n == node]
    return out


def _walk(
    moved: Moved,
    strand: int,
    step: int,
    length: float,
    least: Array,
    found: dict[int, tuple[float, str]],
    nearby: dict[int, float],
) -> None:
    """Follow a rope from a strand until it comes to something fixed, a hand, its end or back to the load."""
    system, assembly = moved.motion.system, moved.assembly
    s = system.strands
    while 0 <= strand < len(s):
        length += float(least[strand])
        far = assembly.strand_ends(strand)[1 if step > 0 else 0]
        node = int(s.end[strand] if step > 0 else s.start[strand])
        if far.contact.verb in ("hand", "tail") or node == system.load:
            return
        if system.fixed[node]:
            if length < found.get(node, (math.inf, ""))[0]:
                found[node] = (length, far.contact.target or "")
            return
        nearby[node] = min(length, nearby.get(node, math.inf))
        following = strand + step
        if not 0 <= following < len(s) or not _joined(assembly, strand, following):
            return
        strand = following


def _joined(assembly: Assembly, one: int, other: int) -> bool:
    """Whether two strands follow each other on one rope."""
    return assembly.strand_ends(one)[0].rope == assembly.strand_ends(other)[0].rope
