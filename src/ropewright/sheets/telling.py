"""What the sheets of a procedure tell alike: who does what, who is held, how it was judged."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from ropewright import __version__
from ropewright.judgement.own_rules import sentence
from ropewright.judgement.policy import Policy
from ropewright.procedure import Fault, Held, Played, Procedure, Proof, World
from ropewright.procedure.mistakes import MissingCheck
from ropewright.procedure.prove import as_entered, told_missing
from ropewright.quantity import Units, in_units, read_quantity, show_length

from .content import CAUTION
from .leaf import Block, Leaf
from .model import Line
from .words import counted

__all__ = ["ALWAYS", "Story", "fail_if", "fault_lines", "held_words", "leaf_of", "said"]

ALWAYS = (
    "Anybody may call stop, at any time and for any reason. Everybody then stops and holds; nothing moves "
    "until the one who called says go on.",
    "Anything that nobody expected, a hand that can't hold, gear that looks wrong: stop.",
    "Interrupted, or rigged otherwise than shown here: the pre-load check again from its first row.",
)


_FAILS = {
    "left out": "left out",
    "swapped": "done before step {before}",
    "hand off early": "done before step {before}",
    "wrong way round": "on the wrong way round",
    "wrong one": "done to the wrong one",
    "gate left unlocked": "the gate is left unlocked",
}
"""What fails a critical step, by the kind of mistake that the model made there."""


@dataclass(frozen=True)
class Story:
    """A procedure with its proof, the world that it was proved in, and what is printed about the printing.

    ``critical``: the steps critical for somebody's life, each with the reason that the model gave;
    ``missing``: checks that nobody makes and that would find a grave mistake.
    """

    proof: Proof
    world: World
    file: str
    time: str
    units: Units = "both"
    critical: Mapping[int, str] = field(default_factory=dict)
    missing: tuple[MissingCheck, ...] = ()

    @property
    def procedure(self) -> Procedure:
        return self.proof.procedure


def leaf_of(story: Story, key: str, kind: str, blocks: tuple[Block | None, ...]) -> Leaf:
    """A sheet with the head and the foot that all have."""
    p, proof = story.procedure, story.proof
    rig_faults: tuple[Fault, ...] = getattr(proof, "rig_faults", ())
    refused = sum(s.verdict == "refused" for s in proof.steps) + bool(proof.start_faults)
    cautions = sum(s.verdict == "caution" for s in proof.steps)
    counts = [
        *(["the starting rig wrong or open"] if rig_faults else []),
        *([counted(refused, "step") + " refused"] if refused else []),
        *([counted(cautions, "step") + " with a caution"] if cautions else []),
    ]
    whole = proof.proved and not rig_faults
    verdict = f"{proof.headline}{told_missing(len(story.missing))}" if whole else "not proved"
    judged = f"Judged {as_entered(p, story.units)}, and by {Policy(p.rig).told}"
    return Leaf(
        key=key,
        kind=kind,
        title=p.name,
        purpose=p.about,
        verdict=verdict.upper(),
        judged=f"{judged}: {', '.join(counts)}." if counts else f"{judged}.",
        own=sentence(p.rig, story.units),
        wrong=fault_lines(rig_faults),
        blocks=tuple(b for b in blocks if b is not None),
        caution=CAUTION,
        file=story.file,
        time=story.time,
        version=__version__,
    )


def said(procedure: Procedure, played: Played, units: Units = "both") -> str:
    """A step's words, with what the team calls where it is a call, and its lengths in both systems."""
    word = played.step.word
    own = procedure.words.get(word)
    text = in_both(played.step.text, units)
    return f"{text}: “{own}”" if word and own and own != word else text


def in_both(text: str, units: Units) -> str:
    """A text with each length in it as it stands and in the other system, or as ``units`` asks."""

    def shown(found: re.Match[str]) -> str:
        metres = read_quantity(found[0], "length").likely
        if found[2] in ("ft", "in"):
            return in_units(show_length(metres, "metric"), found[0], units)
        return in_units(found[0], show_length(metres, "us"), units)

    return _LENGTH.sub(shown, text)


_LENGTH = re.compile(r"(?<![\w.-])(\d{1,5}(?:\.\d{1,5})?) ?(mm|cm|m|ft|in)\b")


def fail_if(story: Story, n: int) -> str:
    """What fails a critical step, in the model's reason; empty where the step is not critical."""
    kind, _, why = story.critical.get(n, "").partition(": ")
    how = _FAILS.get(kind, kind).format(before=n - 1)
    return f"Fail if {how}: {why}" if why else ""


def held_words(held: Mapping[str, Held]) -> tuple[Line, ...]:
    """Who is held by how many independent chains, and by how many with every hand off."""
    out = []
    for name, by in held.items():
        if not by.chains:
            out.append(Line("NO CHAIN THAT COUNTS", f"{name}:", "", True))
            continue
        ropes = "; ".join(by.ropes)
        off = f"{by.hands_off} with hands off" if by.hands_off else "NONE with hands off"
        text = f"{counted(by.chains, 'chain')} ({ropes}), {off}"
        out.append(Line(text, f"{name}:", "", not by.hands_off))
    return tuple(out)


def fault_lines(faults: tuple[Fault, ...]) -> tuple[Line, ...]:
    """What is wrong with a step and what would be right."""
    leads = {"refused": "REFUSED:", "caution": "Caution:"}
    return tuple(Line(f.text, leads[f.level], f.fix, f.level == "refused") for f in faults)
