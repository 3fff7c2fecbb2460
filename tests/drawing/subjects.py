"""Rigs for the drawing's tests, with the cheapest answer that there is: no failures, no samples."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path
from typing import Literal

from ropewright.catalogue import load_catalogue
from ropewright.drawing import Drawing, Subject, View, compose, subject_from
from ropewright.errors import RopewrightError
from ropewright.judgement.assemble import assemble
from ropewright.judgement.figures import Figures
from ropewright.judgement.loads import borne
from ropewright.judgement.moved import Moved, move_rig
from ropewright.judgement.parts import rest_pulls
from ropewright.mechanics import settle
from ropewright.rig import Rig, read_rig
from tests.drawing.random_rigs import rig_text

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.rig.yaml"))
RANDOM = tuple(range(int(os.environ.get("ROPEWRIGHT_DRAWINGS", "40"))))
"""Seeds of random rigs; their last digit is their kind."""


def rig_of(source: Path | int) -> Rig:
    """The rig of an example file or of a seed."""
    catalogue = load_catalogue()
    return read_rig(source, catalogue) if isinstance(source, Path) else read_rig(rig_text(source), catalogue)


def quick_subject(rig: Rig) -> Subject:
    """What is to be drawn, by the shortest way: moving, else at rest, else as written."""
    catalogue = load_catalogue()
    figures = Figures(rig, catalogue)
    plain = assemble(rig, catalogue, figures=figures)
    for asked, direction in ((rig.haul, 1), (rig.lower, -1)):
        if asked is None:
            continue
        try:
            moved = move_rig(rig, catalogue, figures, direction, asked.load, asked.distance, 2)
        except RopewrightError:
            continue
        if isinstance(moved, Moved):
            real = moved.motion.real
            state: Literal["hauling", "lowering"] = "hauling" if direction > 0 else "lowering"
            position, tension = real.position[:, :, 0].T, real.tension[:, 0]
            hand = float(real.hand[0])
            return subject_from(moved.assembly, catalogue, state, "", position, tension, moved.borne, hand)
    try:
        rest = settle(plain.system)
    except RopewrightError:
        rest = None
    if rest is None or not rest.settled:
        return subject_from(plain, catalogue, "as written", "a test", plain.system.position, None, {}, None)
    found = borne(plain, rest_pulls(plain, rest))
    return subject_from(plain, catalogue, "at rest", "", rest.position, rest.tension, found, None)


@cache
def drawn(source: Path | int, view: View = "side") -> Drawing:
    """The drawing of an example file or of a seed."""
    return compose(quick_subject(rig_of(source)), view=view)
