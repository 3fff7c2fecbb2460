"""What is to be drawn: where everything is, what each strand carries, and in which state.

Frame: world, metres, newtons. The state is the first that has an answer: hauling, lowering, at rest; a rig
that has none is taken as it was written, with the reason.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ropewright.catalogue import Catalogue
from ropewright.errors import RopewrightError
from ropewright.judgement.assemble import Assembly, assemble
from ropewright.judgement.examine import Examination, examine
from ropewright.judgement.letting_go import UNKNOWN
from ropewright.judgement.loads import borne
from ropewright.judgement.moved import CannotMove, Moved
from ropewright.judgement.parts import rest_pulls
from ropewright.rig import Contact, Rig

__all__ = ["Stretch", "Subject", "subject_from", "subject_of"]

Array = NDArray[np.float64]
Standing = Literal["hauling", "lowering", "at rest", "as written"]
SLACK_N, SLACK_SHARE = 0.5, 0.008
"""Tension [N], and share of the greatest, below which a strand is drawn slack."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A strand: rope between two contacts of a run that follow each other.

    ``first`` and ``second`` index the rope's run; ``tension`` [N], None where it is not known;
    ``length`` [m] from contact to contact; ``slack`` where it carries nothing.
    """

    rope: str
    first: int
    second: int
    tension: float | None
    length: float
    slack: bool


@dataclass(frozen=True)
class Subject:
    """A rig with an answer, or without one.

    ``node`` gives each part's point and ``position`` (n, 3) [m] the points; ``bears`` [N] what each part
    bears; ``reason`` says why there is no answer, or why the motion asked for has none; ``stands`` the
    place on which each load stands that hangs on nothing.
    """

    rig: Rig
    catalogue: Catalogue
    state: Standing
    reason: str
    names: tuple[str, ...]
    node: Mapping[str, int]
    position: Array
    fixed: tuple[bool, ...]
    stretches: tuple[Stretch, ...]
    bears: Mapping[str, Array]
    parent: Mapping[str, str]
    hand_force: float | None
    stands: Mapping[str, str] = field(default_factory=dict)

    def contact(self, rope: str, index: int) -> Contact:
        """A contact of a rope's run."""
        return self.rig.ropes[rope].run[index]

    @property
    def solved(self) -> bool:
        """Whether there are forces to show."""
        return self.state != "as written"


def subject_of(rig: Rig, catalogue: Catalogue, examination: Examination | None = None) -> Subject:
    """Choose what is drawn. A rig that the mechanics refuse is drawn as written."""
    if examination is None:
        try:
            examination = examine(rig, catalogue)
        except RopewrightError as error:
            return _written(assemble(rig, catalogue), catalogue, str(error))
    refused = ""
    for moved in (examination.haul, examination.lower):
        if isinstance(moved, Moved):
            return _moving(moved, catalogue)
        if isinstance(moved, CannotMove):
            doing = "hauled" if moved.direction > 0 else "lowered"
            refused = refused or f"{moved.load} can't be {doing}: {moved.text} (see {moved.at})"
    plain = examination.assembly
    if examination.stands and examination.standing is not None:
        rest = examination.standing
        pulls = rest_pulls(plain, rest, examination.hung)
        tension = pulls.tension[:, 0]
        return subject_from(
            plain,
            catalogue,
            "at rest",
            refused,
            rest.position,
            tension,
            borne(plain, pulls),
            _hand(plain, tension),
        )
    return _written(plain, catalogue, refused or _why_not(examination))


def _why_not(examination: Examination) -> str:
    after = examination.hands_off
    for outcome in after.outcomes if after is not None else ():
        if outcome.verdict == UNKNOWN:
            return f"what becomes of {outcome.load} is not worked out: {outcome.reason}"
        if outcome.verdict != "held":
            return f"nothing holds {outcome.load}: {outcome.reason or outcome.verdict}"
    return "it does not come to rest as it is written"


def _moving(moved: Moved, catalogue: Catalogue) -> Subject:
    position = moved.motion.real.position[:, :, 0].T
    state: Standing = "hauling" if moved.direction > 0 else "lowering"
    tension = moved.motion.real.tension[:, 0]
    hand = float(moved.motion.real.hand[0])
    return subject_from(moved.assembly, catalogue, state, "", position, tension, moved.borne, hand)


def _written(assembly: Assembly, catalogue: Catalogue, reason: str) -> Subject:
    return subject_from(assembly, catalogue, "as written", reason, assembly.system.position, None, {}, None)


def _hand(assembly: Assembly, tension: Array) -> float | None:
    pulls = [
        float(tension[k])
        for k in range(len(assembly.system.strands))
        if assembly.strand_ends(k)[1].contact.verb == "hand"
    ]
    return max(pulls, default=None)


def subject_from(
    assembly: Assembly,
    catalogue: Catalogue,
    state: Standing,
    reason: str,
    position: Array,
    tension: Array | None,
    found: Mapping[str, Array],
    hand: float | None,
) -> Subject:
    """The subject for points at ``position`` (n, 3) [m] and tensions (S,) [N].

    ``found`` (3, N) [N] is what each part bears, ``hand`` [N] what one hand pulls.
    """
    system = assembly.system
    strands = system.strands
    stretches = []
    slack = SLACK_N if tension is None else max(SLACK_N, SLACK_SHARE * float(np.max(tension, initial=0.0)))
    for k in range(len(strands)):
        start, end = assembly.strand_ends(k)
        apart = position[int(strands.end[k])] - position[int(strands.start[k])]
        force = None if tension is None else float(tension[k])
        loose = force is not None and force < slack
        stretches.append(
            Stretch(start.rope, start.index, end.index, force, float(np.linalg.norm(apart)), loose)
        )
    bears = {part: np.asarray(force[:, 0]) for part, force in found.items()}
    return Subject(
        assembly.rig,
        catalogue,
        state,
        reason,
        system.names,
        assembly.node,
        np.nan_to_num(np.asarray(position, dtype=np.float64)),
        tuple(bool(f) for f in system.fixed),
        tuple(stretches),
        bears,
        assembly.parent,
        hand,
    )
