"""Break every example at random and compare all that can say who is held.

``python -m tests.judgement.breakage --breaks 1000`` breaks every example a thousand ways and prints what
came of it. A break is one to three changes to what is rigged (contacts, gear, ropes taken away, swapped,
reversed; devices unlocked; slack; masses), then some components fail or every hand leaves. Rigs that the
reader refuses are not counted as broken.
"""

from __future__ import annotations

import argparse
import math
import random
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from ropewright.catalogue import Catalogue, load_catalogue
from ropewright.judgement.assemble import Assembly, assemble
from ropewright.judgement.chains import Chain, holding
from ropewright.judgement.components import Component, components
from ropewright.judgement.figures import Figures
from ropewright.judgement.hand_help import helped_hands, without_help
from ropewright.judgement.hands import hand_grips
from ropewright.judgement.letting_go import let_go
from ropewright.judgement.policy import Policy
from ropewright.judgement.state import State
from ropewright.mechanics import (
    Cap,
    MechanicsError,
    StuckError,
    as_it_stands,
    can_rest,
    held,
    limit,
    move,
    settle,
)
from ropewright.rig import Contact, Gear, Rig, RigFileError, Rope, read_rig, write_rig

from .oracle import can_fall, comes_to_rest

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.yaml"))
SEED = 2026
CHAINED = 10
"""Every how many breaks the chains that hold are checked too: that takes many questions."""

Change = Callable[[Rig, random.Random, Catalogue], Rig]


# --- changes to what is rigged


def _with_rope(rig: Rig, rope: Rope) -> Rig:
    return replace(rig, ropes={**rig.ropes, rope.name: rope})


def _a_rope(rig: Rig, rng: random.Random) -> Rope:
    return rng.choice(list(rig.ropes.values()))


def _a_gear(rig: Rig, rng: random.Random) -> Gear:
    return rng.choice(list(rig.gear.values()))


def no_contact(rig: Rig, rng: random.Random, catalogue: Catalogue) -> Rig:
    rope = _a_rope(rig, rng)
    k = rng.randrange(len(rope.run))
    return _with_rope(rig, replace(rope, run=rope.run[:k] + rope.run[k + 1 :]))


def no_gear(rig: Rig, rng: random.Random, catalogue: Catalogue) -> Rig:
    """Take a piece of gear away, with what is clipped to it and the contacts there."""
    lost = {_a_gear(rig, rng).name}
    for _ in rig.gear:
        lost |= {g.name for g in rig.gear.values() if g.at in lost}
    ropes = {
        r.name: replace(r, run=tuple(c for c in r.run if c.target not in lost)) for r in rig.ropes.values()
    }
    return replace(rig, gear={n: g for n, g in rig.gear.items() if n not in lost}, ropes=ropes)


def no_rope(rig: Rig, rng: random.Random, catalogue: Catalogue) -> Rig:
    lost = _a_rope(rig, rng).name
    return replace(rig, ropes={n: r for n, r in rig.ropes.items() if n != lost})


def unclipped(rig: Rig, rng: random.Random, catalogue: Catalogue) -> Rig:
    """Leave a join out: the gear is clipped to nothing."""
    item = _a_gear(rig, rng)
    return replace(rig, gear={**rig.gear, item.name: replace(item, at=None, via=())})


def swapped(rig: Rig, rng: random.Random, catalogue: Catalogue) -> Rig:
    rope = _a_rope(rig, rng)
    run = list(rope.run)
    a, b = (rng.randrange(len(run)) for _ in range(2))
    run[a], run[b] = replace(run[b], slack=run[a].slack), replace(run[a], slack=run[b].slack)
    return _with_rope(rig, replace(rope, run=tuple(run)))


def backwards(rig: Rig, rng: random.Random, catalogue: Catalogue) -> Rig:
    """Turn a grab or a device round."""
    rope = _a_rope(rig, rng)
    turnable = [k for k, c in enumerate(rope.run) if _turns(rig, catalogue, c)]
    if not turnable:
        return rig
    k = rng.choice(turnable)
    changed = replace(rope.run[k], reversed=not rope.run[k].reversed)
    return _with_rope(rig, replace(rope, run=(*rope.run[:k], changed, *rope.run[k + 1 :])))


def _turns(rig: Rig, catalogue: Catalogue, contact: Contact) -> bool:
    item = rig.gear.get(contact.target or "")
    return item is not None and contact.verb != "tie" and catalogue[item.type].family in ("grab", "device")


def other_state(rig: Rig, rng: random.Random, catalogue: Catalogue) -> Rig:
    devices = [g for g in rig.gear.values() if catalogue[g.type].family == "device"]
    if not devices:
        return rig
    item = rng.choice(devices)
    state: Any = rng.choice([s for s in ("running", "locked-off", "in-hand") if s != item.state])
    return replace(rig, gear={**rig.gear, item.name: replace(item, state=state)})


def other_type(rig: Rig, rng: random.Random, catalogue: Catalogue) -> Rig:
    """Use another device, grab or pulley in its place."""
    item = _a_gear(rig, rng)
    kinds = [n for n in catalogue if catalogue[n].family in ("grab", "device", "pulley") and n != item.type]
    return replace(rig, gear={**rig.gear, item.name: replace(item, type=rng.choice(kinds))})


def other_slack(rig: Rig, rng: random.Random, catalogue: Catalogue) -> Rig:
    rope = _a_rope(rig, rng)
    if len(rope.run) < 2:
        return rig
    k = rng.randrange(1, len(rope.run))
    changed = replace(rope.run[k], slack=rng.choice((0.0, 0.0, rng.uniform(0.0, 3.0))))
    return _with_rope(rig, replace(rope, run=(*rope.run[:k], changed, *rope.run[k + 1 :])))


def moved_gear(rig: Rig, rng: random.Random, catalogue: Catalogue) -> Rig:
    """Put gear elsewhere: a little aside if it floats, clipped to something else if it is clipped."""
    item = _a_gear(rig, rng)
    if isinstance(item.at, tuple):
        x, y, z = (a + rng.gauss(0.0, 1.0) for a in item.at)
        return replace(rig, gear={**rig.gear, item.name: replace(item, at=(x, y, z))})
    places = [n for n in (*rig.points, *rig.loads, *rig.gear) if n not in (item.name, item.at)]
    return replace(rig, gear={**rig.gear, item.name: replace(item, at=rng.choice(places))})


def let_out(rig: Rig, rng: random.Random, catalogue: Catalogue) -> Rig:
    """A hand drops its rope, or a tail is taken in hand."""
    rope = _a_rope(rig, rng)
    if len(rope.run) < 2:
        return rig
    last = rope.run[-1]
    hands = [*rig.crews, *(n for n, load in rig.loads.items() if load.kind == "person")]
    if last.verb == "tail" and hands:
        last = replace(last, verb="hand", target=rng.choice(hands))
    else:
        last = replace(last, verb="tail", target=None, knot=None, slack=0.0, reversed=False)
    return _with_rope(rig, replace(rope, run=(*rope.run[:-1], last)))


def heavier(rig: Rig, rng: random.Random, catalogue: Catalogue) -> Rig:
    """So heavy that grips slip."""
    load = rng.choice(list(rig.loads.values()))
    times = rng.uniform(1.5, 4.0)
    mass = replace(
        load.mass, low=times * load.mass.low, likely=times * load.mass.likely, high=times * load.mass.high
    )
    kind: Any = "object" if load.wears is None else load.kind
    return replace(rig, loads={**rig.loads, load.name: replace(load, mass=mass, kind=kind)})


CHANGES: tuple[Change, ...] = (
    no_contact, no_contact, no_gear, no_rope, unclipped, swapped, swapped, backwards, backwards, other_state,
    other_state, other_type, other_slack, moved_gear, let_out, heavier,
)  # fmt: skip


# --- broken rigs


@dataclass(frozen=True)
class Broken:
    """A broken rig, how it stood, what failed then; ``name`` is enough to make it again."""

    name: str
    changes: tuple[str, ...]
    rig: Rig
    start: str
    gone: tuple[Component, ...]
    hands_off: bool

    def __str__(self) -> str:
        parts = [self.name, *self.changes, f"as {self.start}"]
        parts += [f"{c.label} fails" for c in self.gone] + (["hands off"] if self.hands_off else [])
        return ", ".join(parts)


@cache
def catalogue() -> Catalogue:
    return load_catalogue()


def broken(path: Path, count: int, refused: Counter[str] | None = None) -> Iterator[Broken]:
    """The first ``count`` broken rigs of an example, always the same."""
    whole = read_rig(path, catalogue())
    number = made = 0
    while made < count:
        name = f"{path.name.removesuffix('.rig.yaml')}#{number}"
        rng = random.Random(f"{SEED} {name}")
        number += 1
        changes = rng.choices(CHANGES, k=rng.choice((0, 1, 1, 1, 2, 2, 3)))
        rig = whole
        for change in changes:
            if rig.ropes and rig.gear:
                rig = change(rig, rng, catalogue())
        try:
            rig = read_rig(write_rig(rig), catalogue())
        except RigFileError:
            if refused is not None:
                refused["refused by the reader"] += 1
            continue
        parts = components(rig, catalogue())
        gone = tuple(rng.sample(parts, min(len(parts), rng.choice((0, 0, 1, 1, 2, 3)))))
        hands_off = rng.random() < 0.35
        start = rng.choice(("drawn", "settled", "hauled", "lowered"))
        if not changes and not gone and not hands_off:
            continue
        made += 1
        yield Broken(name, tuple(c.__name__ for c in changes), rig, start, gone, hands_off)


def standing(rig: Rig, start: str) -> State:
    """The state that a rig is let go from: as drawn, settled, or halted in its motion."""
    whole = assemble(rig, catalogue())
    asked = {"hauled": (rig.haul, 1), "lowered": (rig.lower, -1)}.get(start, (None, 0))
    if asked[0] is not None:
        moving = assemble(rig, catalogue(), load=asked[0].load).system
        try:
            return whole.state(as_it_stands(moving, move(moving, asked[1])))
        except StuckError:
            return whole.state(whole.system)
    keeps = held(whole.system)
    if start == "drawn" or not all(keeps[whole.node[name]] for name in rig.loads):
        return whole.state(whole.system)
    rest = settle(whole.system, movable=np.flatnonzero(keeps & ~whole.system.fixed))
    if not rest.settled:
        return whole.state(whole.system)
    return whole.state(whole.system.with_state(rest.position, rest.laid))


# --- what everything says


@dataclass
class Said:
    """What each way of asking says of one load: True where it is held, None where it was not asked."""

    verdict: str
    reason: str
    answers: dict[str, bool | None]
    rubs: bool = False  # without friction a grip would slip, with all that there could be it does not
    jams: bool = False  # only something dragged up to an edge or a sheave could keep it
    hands_enough: bool = False  # hands that gave way would hold it with the friction that there is

    @property
    def dangerous(self) -> list[str]:
        """Who says that a load falls whose verdict is held."""
        return [w for w, a in self.answers.items() if a is False] if self.verdict == "held" else []

    @property
    def cautious(self) -> bool:
        """Whether the verdict is not held though all say it is, or all but the mechanics itself."""
        if self.verdict == "held" or self.jams:
            return False
        own = {k: a for k, a in self.answers.items() if k in ("a motion without end", "time")}
        return all(a is not False for a in (self.answers if self.answers["reachability"] else own).values())


def asked(case: Broken, timed: bool) -> dict[str, Said]:
    """Put a broken rig to everyone; ``timed``: to the oracle that steps through time too."""
    rig = case.rig
    state = standing(rig, case.start)
    figures = Figures(rig, catalogue())
    grip = hand_grips(rig, Policy(rig))
    after = let_go(
        rig, catalogue(), state, figures=figures, gone=case.gone, hands_off=case.hands_off, grip=grip
    )
    hands = not case.hands_off and not after.hands_gave_way
    mechanics = _mechanics(case, state, hands, grip)
    falls = can_fall(rig, catalogue(), case.gone, hands)
    past = can_fall(rig, catalogue(), case.gone, hands, jams=False)
    out = {}
    for outcome in after.outcomes:
        name = outcome.load
        answers: dict[str, bool | None] = {how: says[name] for how, says in mechanics.items()}
        answers["a motion without end"] = not falls[name]
        out[name] = Said(outcome.verdict, outcome.reason or "", answers)
        out[name].jams = past[name] and not falls[name]
        if out[name].jams and outcome.verdict == "held":
            answers["a motion past what might jam"] = False
        if after.hands_gave_way:
            out[name].reason += " (hands gave way)"
            out[name].hands_enough = outcome.verdict != "held" and _hands_enough(case, state, grip)[name]
    if timed and any(said.verdict == "held" or said.cautious for said in out.values()):
        _step_through_time(case, state, hands, grip, out)
    return out


def _hands_enough(case: Broken, state: State, grip: dict[str, float]) -> dict[str, bool]:
    """Whether hands that keep hold, none pulled beyond its grip, can keep each load with friction's help."""
    return {name: answer is True for name, answer in _mechanics(case, state, True, grip)["limit"].items()}


def _step_through_time(
    case: Broken, state: State, hands: bool, grip: dict[str, float], out: dict[str, Said]
) -> None:
    for longest in (60.0, 600.0):
        came = comes_to_rest(case.rig, catalogue(), state, case.gone, hands, grip, longest)
        if "unsure" not in came.values():
            break
    if "falls" in came.values():
        helped = comes_to_rest(case.rig, catalogue(), state, case.gone, hands, grip, 600.0, helped=True)
        for name, answer in came.items():
            out[name].rubs = answer == "falls" and helped[name] == "rests"
    for name, answer in came.items():
        said = out[name]
        said.answers["time"] = None if said.rubs else {"rests": True, "falls": False}.get(answer)


def _mechanics(
    case: Broken, state: State, hands: bool, grip: dict[str, float]
) -> dict[str, dict[str, bool | None]]:
    """The reachability answer, the settling answer and the two programmes, each asked by itself.

    A hand on the rope keeps a braking device from running; whether it can is asked of the limit, the device
    running and no hand beyond its grip.
    """
    rig = case.rig
    left = assemble(rig, catalogue(), gone=case.gone, hands_off=not hands, state=state, braked=hands)
    system = left.system
    keeps = held(system)
    reach: dict[str, bool | None] = {name: bool(keeps[left.node[name]]) for name in rig.loads}
    nothing: dict[str, bool | None] = dict.fromkeys(rig.loads)
    out = {"reachability": reach, "settling": nothing, "feasibility": nothing, "limit": nothing}
    movable = np.flatnonzero(keeps & ~system.fixed)
    if not len(movable):
        return out
    rest = settle(system, movable=movable)
    out["settling"] = {name: rest.settled if reach[name] else False for name in rig.loads}
    if not rest.settled:
        return out
    band = max(1e-5, 2 * rest.residual / system.moved_weight)
    possible = can_rest(system, rest.position, dropped=~keeps, band=band)
    out["feasibility"] = {name: possible if reach[name] else False for name in rig.loads}
    running = assemble(rig, catalogue(), gone=case.gone, hands_off=not hands, state=state)
    if keeps.all() and held(running.system).all():  # what falls away has no limit, nor has the rest with it
        try:
            found = limit(
                running.system, rest.position, system.weight, _hands(running, grip), band=max(1e-4, band)
            )
        except MechanicsError:  # the solver gives up now and then; the check then prints no limit
            return out
        most = 0.0 if found is None else found.multiple
        out["limit"] = dict.fromkeys(rig.loads, most >= 1.0 - 1e-3 or math.isinf(most))
    return out


def _hands(whole: Assembly, grip: dict[str, float]) -> list[Cap]:
    ends = [(k, whole.strand_ends(k)[1].contact) for k in range(len(whole.system.strands))]
    return [Cap("hand", ((k, 1),), grip[c.target or ""]) for k, c in ends if c.verb == "hand"]


# --- chains


def wrong_chains(case: Broken) -> list[str]:
    """What is not as it should be with the chains of a broken rig, nothing failed yet."""
    rig = case.rig
    state = standing(rig, case.start)
    parts = components(rig, catalogue())
    wrong = []
    for name in rig.loads:
        found = holding(rig, catalogue(), name, parts)
        for chain in found.chains:
            others = [c for c in parts if c.key not in chain.keys]
            hands = not chain.hands_off
            if can_fall(rig, catalogue(), others, hands)[name]:
                wrong.append(f"{case}: chain {chain.ropes} of {name} alone does not hold it")
            wrong += [
                f"{case}: chain {chain.ropes} of {name} holds without {c.label}"
                for c in chain.components
                if not can_fall(rig, catalogue(), [*others, c], hands, jams=False)[name]
                and not (hands and _bare_handed(rig, chain, [*others, c]))
            ]
            if chain.hands_off and any(c.kind == "hand" for c in chain.components):
                wrong.append(f"{case}: chain {chain.ropes} of {name} is hands-off with a hand in it")
        for k, one in enumerate(found.independent):
            for two in found.independent[k + 1 :]:
                if one.keys & two.keys:
                    wrong.append(f"{case}: independent chains of {name} share {one.keys & two.keys}")
                if not _stands_alone(rig, one.keys, two.keys, parts, name, two.hands_off):
                    wrong.append(f"{case}: without {one.ropes} the chain {two.ropes} does not hold {name}")
        alone = assemble(rig, catalogue(), hands_off=True, state=state)
        if not found.chains and held(alone.system)[alone.node[name]]:
            wrong.append(f"{case}: {name} is held and no chain is listed")
    return wrong


def _bare_handed(rig: Rig, chain: Chain, gone: Iterable[Component]) -> bool:
    """Whether a hand of a chain has nothing more that helps it to hold."""
    return bool(chain.keys & without_help(helped_hands(rig), {c.key for c in gone}))


def _stands_alone(
    rig: Rig,
    lost: Iterable[tuple[str, str, int]],
    kept: Iterable[tuple[str, str, int]],
    parts: tuple[Component, ...],
    load: str,
    hands_off: bool,
) -> bool:
    """Whether one chain holds when every component of the other fails."""
    dead = set(lost) - set(kept)
    return not can_fall(rig, catalogue(), [c for c in parts if c.key in dead], not hands_off)[load]


# --- all of it


@dataclass
class Tally:
    """What came of it: how many loads were asked of, disagreements, reasons."""

    rigs: int = 0
    loads: Counter[str] = field(default_factory=Counter)
    refused: Counter[str] = field(default_factory=Counter)
    timed: int = 0
    unsure: list[str] = field(default_factory=list)
    dangerous: list[str] = field(default_factory=list)
    cautious: Counter[str] = field(default_factory=Counter)
    cautious_cases: list[str] = field(default_factory=list)
    jams: int = 0
    rubs: list[str] = field(default_factory=list)
    hands_enough: list[str] = field(default_factory=list)
    chains: int = 0
    wrong_chains: list[str] = field(default_factory=list)
    crashed: list[str] = field(default_factory=list)

    def add(self, other: Tally) -> None:
        """Take another's counts in."""
        for name, value in vars(other).items():
            mine = getattr(self, name)
            if isinstance(value, list):
                mine.extend(value)
            elif isinstance(value, Counter):
                mine.update(value)
            else:
                setattr(self, name, mine + value)


def run_example(path: Path, count: int, timed_every: int) -> Tally:
    """Break one example ``count`` ways; every so many of those held are stepped through time."""
    tally = Tally()
    for number, case in enumerate(broken(path, count, tally.refused)):
        tally.rigs += 1
        try:
            said = asked(case, timed=number % timed_every == 0)
            if number % CHAINED == 0:
                tally.chains += 1
                tally.wrong_chains += wrong_chains(case)
        except Exception as error:  # a break that the model cannot take is a finding of its own
            tally.crashed.append(f"{case}: {type(error).__name__}: {error}")
            continue
        for name, one in said.items():
            tally.loads[one.verdict] += 1
            if "time" in one.answers:
                tally.timed += 1
                if one.rubs:
                    tally.rubs.append(f"{case}: {name} {one.verdict}")
                elif one.answers["time"] is None:
                    tally.unsure.append(f"{case}: {name} {one.verdict}")
            if one.dangerous:
                tally.dangerous.append(f"{case}: {name} held, but it falls by {', '.join(one.dangerous)}")
            tally.jams += one.jams and one.verdict != "held"
            if one.hands_enough:
                tally.hands_enough.append(f"{case}: {name} {one.verdict}")
            if one.cautious:
                tally.cautious[one.reason] += 1
                tally.cautious_cases.append(f"{case}: {name} {one.verdict}, {one.reason}, {one.answers}")
    return tally


def run(count: int, timed_every: int, workers: int = 1, paths: Iterable[Path] = EXAMPLES) -> Tally:
    """Break every example."""
    total = Tally()
    if workers == 1:
        for path in paths:
            total.add(run_example(path, count, timed_every))
        return total
    with ProcessPoolExecutor(workers) as pool:
        for job in [pool.submit(run_example, path, count, timed_every) for path in paths]:
            total.add(job.result())
    return total


def shown(tally: Tally, listed: int) -> str:
    """The counts as text, with the first ``listed`` cases of each kind."""
    verdicts = ", ".join(f"{n} {verdict}" for verdict, n in sorted(tally.loads.items()))
    lines = [
        f"{tally.rigs} broken rigs ({tally.refused.total()} more refused by the reader)",
        f"loads: {verdicts}; {tally.timed} stepped through time, {len(tally.unsure)} of them undecided",
        f"held, though one says it falls: {len(tally.dangerous)}",
        *(f"    {text}" for text in tally.dangerous[:listed]),
        f"stepped through time, and up to friction at a sheave or an edge: {len(tally.rubs)}",
        *(f"    {text}" for text in tally.rubs[:listed]),
        f"not held, though all say it is: {tally.cautious.total()}",
        *(f"    {n:>6}  {reason}" for reason, n in tally.cautious.most_common()),
        *(f"    {text}" for text in tally.cautious_cases[:listed]),
        f"not held, though something dragged to an edge or a sheave might jam there: {tally.jams}",
        f"not held, though with friction's help hands could: {len(tally.hands_enough)}",
        *(f"    {text}" for text in tally.hands_enough[:listed]),
        f"chains wrong: {len(tally.wrong_chains)} in {tally.chains} rigs",
        *(f"    {text}" for text in tally.wrong_chains[:listed]),
        f"could not be answered: {len(tally.crashed)}",
        *(f"    {text}" for text in tally.crashed[:listed]),
    ]
    return "\n".join(lines)


def main() -> int:
    """Run all and print; 0 where nothing is held that falls."""
    parser = argparse.ArgumentParser(description="Break every example at random.")
    parser.add_argument("--breaks", type=int, default=1000, help="ways to break each example")
    parser.add_argument("--timed-every", type=int, default=10, help="step every so many through time")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--listed", type=int, default=10, help="cases of each kind to print")
    given = parser.parse_args()
    tally = run(given.breaks, given.timed_every, given.workers)
    print(shown(tally, given.listed))  # noqa: T201
    return 1 if tally.dangerous or tally.wrong_chains or tally.crashed else 0


if __name__ == "__main__":
    raise SystemExit(main())
