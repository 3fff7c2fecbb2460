"""Compare the prover with the oracle on random procedures, after every step of each.

``python -m tests.procedure.agreement --procedures 1000`` prints what came of it. On the dangerous side is a
moment that the prover passes for somebody whom the oracle lets drop: held by two chains though one thing gone
drops them, held with every hand off though they then fall, held at all though nothing holds. On the cautious
side is a moment that the prover refuses though the oracle finds nothing; those are counted by what they were
refused for. What cannot be a disagreement, because the oracle is not asked for it, is in ``NOT_ASKED``.
"""

from __future__ import annotations

import argparse
import sys
import traceback
from collections import Counter
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass, field
from functools import cache

from ropewright.judgement.hands import hand_grips
from ropewright.judgement.policy import Policy
from ropewright.procedure.moment import Moment
from ropewright.procedure.prove import Held, Proof, prove
from ropewright.procedure.rules import KINDS, Fault

from .oracle import Judged, Oracle
from .random_steps import Made, catalogue, made

SEED = "2026"

LEFT_WITHOUT = {"falls", "runs", "drops", "too-few-chains", "too-few-hands-off", "not-settled"}
"""Kinds of fault by which the prover says that somebody is not held, or not by enough, or does not know."""

ON_THE_WAY = "on the way"
NOT_ASKED = {ON_THE_WAY: "something passed during a step, where the oracle is asked only after it"} | {
    kind: text for kind, text in KINDS.items() if kind not in LEFT_WITHOUT
}
"""What a step is refused for that is no matter of who stays up when one thing is gone: how people work (no
hand free, out of reach, untended, not tested, what a check finds, what cannot be done at all)."""


CAUTIOUS = {
    "too-few-chains": "chains share nothing from load to anchor, where the oracle asks only that no one "
    "thing drops anybody; they don't count a hand that no joined device helps, somebody else's harness, "
    "what slips, is overpowered or strikes the ground once all of the other chain is gone and not one thing",
    "too-few-hands-off": "a device held open with no hand on its rope counts for nothing there, and closes "
    "here once every hand is off; and as above",
    "drops": "somebody sank further than the step means and was caught: it is the way that is refused",
    "not-settled": "rope too short to reach stretches here, and springs back: who hangs from it is not known",
    "runs": "the hand is asked with friction at its least, and here with all that its device gives",
    "falls": "what jams at an edge or a sheave may be dragged past it there, and stays here",
    ON_THE_WAY: NOT_ASKED[ON_THE_WAY],
}
"""Why the prover may refuse what the oracle finds nothing against, by kind of fault: never the reverse."""

WHY = {**KINDS, **NOT_ASKED}


@dataclass
class Tally:
    """What came of many procedures."""

    procedures: int = 0
    steps: int = 0
    moments: int = 0
    questions: int = 0
    passed: int = 0  # times that somebody hangs and the prover has nothing against how
    proved: int = 0
    dangerous: list[str] = field(default_factory=list)
    cautious: Counter[str] = field(default_factory=Counter)
    cautious_cases: dict[str, str] = field(default_factory=dict)
    agreed: Counter[str] = field(default_factory=Counter)
    rubs: list[str] = field(default_factory=list)
    unsure: list[str] = field(default_factory=list)
    crashed: list[str] = field(default_factory=list)

    def add(self, other: Tally) -> None:
        """Count another tally in."""
        for name in ("procedures", "steps", "moments", "questions", "passed", "proved"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.dangerous += other.dangerous
        self.rubs += other.rubs
        self.unsure += other.unsure
        self.crashed += other.crashed
        self.cautious += other.cautious
        self.agreed += other.agreed
        self.cautious_cases = other.cautious_cases | self.cautious_cases


@dataclass(frozen=True)
class Looked:
    """A moment as the prover told it."""

    where: str
    moment: Moment
    held: dict[str, Held]
    faults: tuple[Fault, ...]


def looked(case: Made, proof: Proof) -> Iterator[Looked]:
    """The start and the moment after every step that could be done."""
    yield Looked(f"{case.name}: start", proof.start, dict(proof.start_held), proof.start_faults)
    for p in proof.steps:
        if p.done:
            where = f"{case.name} ({', '.join(case.how)}): after {p.n} {p.step.doer}: {p.step.text}"
            yield Looked(where, p.after, dict(p.held), p.faults)


def compare(case: Made, tally: Tally, settles: bool = True) -> None:
    """Prove a procedure and put every moment of it to the oracle."""
    tally.procedures += 1
    try:
        proof = prove(case.procedure, catalogue())
    except Exception:
        tally.crashed.append(f"{case.name} {case.how}: {traceback.format_exc(limit=-3)}")
        return
    tally.proved += proof.proved
    tally.steps += len(proof.steps)
    rig = proof.procedure.rig
    oracle = _oracle(tuple(sorted(hand_grips(rig, Policy(rig)).items())))
    known = len(oracle.said)
    looks = list(looked(case, proof))
    for look, judged in zip(looks, _judged(oracle, looks, settles), strict=True):
        tally.moments += 1
        for load in judged.hang:
            _one(look, load, judged, tally)
    for key in list(oracle.said)[known:]:
        tally.questions += oracle.said[key].questions


@cache
def _oracle(grip: tuple[tuple[str, float], ...]) -> Oracle:
    """One oracle for all procedures whose hands are the same: most of their moments are too."""
    return Oracle(catalogue(), dict(grip))


def _judged(oracle: Oracle, looks: list[Looked], settles: bool) -> list[Judged]:
    """What the oracle says. What the prover refuses and a motion without end shows to fall too needs no
    settling.
    """
    quick = oracle.judged_all([look.moment for look in looks], settles=False)
    if not settles:
        return quick
    agreed = [
        all(against(look, name) for name in said.hang) and {d.load for d in said.drops()} == set(said.hang)
        for look, said in zip(looks, quick, strict=True)
    ]
    slow = iter(oracle.judged_all([k.moment for k, done in zip(looks, agreed, strict=True) if not done]))
    return [said if done else next(slow) for said, done in zip(quick, agreed, strict=True)]


def against(look: Looked, load: str) -> set[str]:
    """The kinds of fault by which the prover says that somebody is not held well at a moment.

    "still" stands for whatever was told before and has not been put right. A fault that is about a rope, or
    about nothing, says that where anybody hangs is not known.
    """
    about = {load, "", *look.moment.rig.ropes}
    kinds = LEFT_WITHOUT | {"still"}
    return {f.kind for f in look.faults if f.kind in kinds and f.about in about}


def _one(look: Looked, load: str, judged: Judged, tally: Tally) -> None:
    """Compare what both say of one person at one moment."""
    held, kinds = look.held.get(load, Held(0, 0, ())), against(look, load)
    once, single, off = (
        [d for d in drops if d.load == load] for drops in (judged.at_once, judged.one_gone, judged.hands_off)
    )
    tally.unsure += [f"{look.where}: {d}" for d in judged.unsure if d.load == load]
    if not kinds:
        tally.rubs += [f"{look.where}: {d}" for d in judged.rubs if d.load == load]
    tally.passed += not kinds
    wrong = []
    if not kinds or kinds == {"drops"}:
        wrong = [*once]
        wrong += single if held.chains >= 2 else []
        wrong += off if held.hands_off >= 1 else []
    tally.dangerous += [f"{look.where}: {held.chains}/{held.hands_off} chains, {d}" for d in wrong[:3]]
    found = [*once, *single, *off]
    for kind in kinds - {"still"}:
        text = next(f.text for f in look.faults if f.kind == kind)
        if text.startswith("on the way, "):
            kind = ON_THE_WAY
        if found:
            tally.agreed[kind] += 1
        else:
            tally.cautious[kind] += 1
            tally.cautious_cases.setdefault(kind, f"{look.where}: {text}")


def compared(seed: str, numbers: Iterable[int], settles: bool = True) -> Tally:
    """Compare the random procedures of some numbers."""
    tally = Tally()
    for number in numbers:
        try:
            case = made(seed, number)
        except Exception:
            tally.crashed.append(f"{seed}#{number}: {traceback.format_exc(limit=-3)}")
            continue
        compare(case, tally, settles)
    return tally


def run(procedures: int, workers: int, seed: str = SEED, progress: bool = False) -> Tally:
    """Compare many procedures, on several cores."""
    whole = Tally()
    size = 12
    chunks = [range(k, min(procedures, k + size)) for k in range(0, procedures, size)]
    with ProcessPoolExecutor(workers) as pool:
        jobs = [pool.submit(compared, seed, chunk) for chunk in chunks]
        for job in as_completed(jobs):
            whole.add(job.result())
            if progress:
                done = f"\r{whole.procedures} of {procedures}, {len(whole.dangerous)} dangerous"
                print(done, end="", file=sys.stderr, flush=True)  # noqa: T201
    if progress:
        print(file=sys.stderr)  # noqa: T201
    return whole


def shown(tally: Tally, listed: int) -> str:
    """A tally in words."""
    lines = [
        f"procedures: {tally.procedures}, steps: {tally.steps}, moments judged: {tally.moments}, "
        f"different questions put to the oracle: {tally.questions}",
        f"proved: {tally.proved}; somebody hangs with nothing said against it: {tally.passed} times",
        f"passed by the prover, dropped by the oracle: {len(tally.dangerous)}",
        *(f"    {text}" for text in sorted(tally.dangerous)[:listed]),
        f"passed by the prover, and held only by friction that the oracle otherwise leaves out: "
        f"{len(tally.rubs)}",
        *(f"    {text}" for text in sorted(tally.rubs)[:listed]),
        f"refused by both: {tally.agreed.total()}",
        *(f"    {n:6d}  {kind}: {WHY[kind]}" for kind, n in tally.agreed.most_common()),
        f"refused by the prover, nothing found by the oracle: {tally.cautious.total()}",
    ]
    for kind, n in tally.cautious.most_common():
        lines += [f"    {n:6d}  {kind}: {WHY[kind]}", f"            as in {tally.cautious_cases[kind]}"]
        lines += [f"            {CAUTIOUS[kind]}"]
    lines += [f"the oracle was unsure: {len(tally.unsure)}", *(f"    {t}" for t in tally.unsure[:listed])]
    lines += [f"could not be answered: {len(tally.crashed)}", *(f"    {t}" for t in tally.crashed[:listed])]
    return "\n".join(lines)


def main() -> int:
    """Run and print; 0 where nothing is passed that drops somebody."""
    parser = argparse.ArgumentParser(description="Compare the prover with a slow oracle.")
    parser.add_argument("--procedures", type=int, default=1000)
    parser.add_argument("--seed", default=SEED)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--listed", type=int, default=10, help="cases of each kind to print")
    given = parser.parse_args()
    tally = run(given.procedures, given.workers, given.seed, progress=True)
    print(shown(tally, given.listed))  # noqa: T201
    return 1 if tally.dangerous or tally.crashed else 0


if __name__ == "__main__":
    raise SystemExit(main())
