"""The way from one rig to another: the shortest procedure that the prover accepts.

The search proposes steps, the prover decides on each. A step is proposed because it mends a difference to the
rig that is wanted, or because it may take away what the prover refused another step for. Best first by steps
done and differences left; fewer hands and fewer exposed moments break ties.
"""

from __future__ import annotations

import heapq
import time
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass, replace
from itertools import count

from ropewright.catalogue import Catalogue
from ropewright.rig import Gear, Rig, Rope

from .goal import differences
from .model import Person, Procedure, Step
from .moment import Moment
from .moves import enabling, mending, worded
from .prove import Played, Proof, play, prove
from .rules import amiss, people
from .world import World, beginning

__all__ = ["Found", "Rejected", "find", "pair"]

SECONDS = 60.0
"""How long is searched before giving up."""
MOST_STEPS = 40
COARSE = 0.4
"""Difference in height [m] of a load from which two moments count as different places to go on from."""


@dataclass(frozen=True, slots=True)
class Rejected:
    """A step that was proposed on the way and refused: at which step of the way, and why."""

    n: int
    step: Step
    because: str


@dataclass(frozen=True)
class Found:
    """The outcome of a search.

    ``procedure`` and ``proof``: the way, None where there is none; ``rejected``: what was refused on the way;
    ``tried`` steps were put to the prover, ``moments`` were gone on from; ``exhausted``: there was nothing
    left to try, so more time would not have helped; ``nearest``: the steps to the moment with the least left
    to do, and ``left`` what was left, in words.
    """

    procedure: Procedure | None
    proof: Proof | None
    rejected: tuple[Rejected, ...]
    tried: int
    moments: int
    seconds: float
    exhausted: bool
    nearest: tuple[Step, ...]
    left: tuple[str, ...]


@dataclass(frozen=True)
class _Node:
    moment: Moment
    since: dict[tuple[str, str], int]
    steps: tuple[Step, ...]
    refused: tuple[tuple[Rejected, ...], ...]
    cost: float


def pair(start: Rig, goal: Rig, extra: Iterable[Gear] = (), spare: Iterable[Rope] = ()) -> Procedure:
    """A procedure without steps from one rig to the other: what only the goal has is brought along."""
    kit = {name: replace(g, at=None) for name, g in goal.gear.items() if name not in start.gear}
    kit |= {g.name: g for g in extra}
    ropes = {name: replace(r, run=()) for name, r in goal.ropes.items() if name not in start.ropes}
    ropes |= {r.name: r for r in spare}
    crews = {**goal.crews, **start.crews}
    rig = replace(start, crews=crews, assume={**goal.assume, **start.assume})
    named = {x.name: Person(x.name, x.about) for x in rig.loads.values() if x.kind == "person"}
    named |= {x.name: Person(x.name, x.about) for x in crews.values()}
    return Procedure(f"{start.rig}, to: {goal.rig}"[:200], "", rig, "", named, kit, ropes, {}, {}, ())


def find(
    procedure: Procedure,
    goal: Rig,
    catalogue: Catalogue,
    *,
    seconds: float = SECONDS,
    progress: Callable[[int, int], None] | None = None,
) -> Found:
    """Search the shortest accepted way from a procedure's rig to ``goal``.

    ``progress``: called with how many steps were tried and how many differences are left at best.
    """
    world = World(procedure, catalogue)
    search = _Search(world, goal, seconds, progress)
    node = search.run(beginning(world))
    return search.told(node)


class _Search:
    def __init__(
        self, world: World, goal: Rig, seconds: float, progress: Callable[[int, int], None] | None
    ) -> None:
        self.world, self.goal, self.progress = world, goal, progress
        self.began, self.until = time.monotonic(), time.monotonic() + seconds
        self.tried = self.moments = 0
        self.exhausted = False
        self.best: tuple[int, _Node | None] = (10**6, None)
        self.refused: dict[Hashable, tuple[Rejected, ...]] = {}

    def run(self, start: Moment) -> _Node | None:
        """The first node at the goal; None where there is none, or none in the time."""
        order = count()
        first = _Node(start, dict.fromkeys(amiss(self.world, start), 0), (), (), 0.0)
        heap: list[tuple[float, int, _Node]] = [(0.0, next(order), first)]
        seen: dict[Hashable, float] = {}
        while heap:
            if time.monotonic() > self.until:
                return None
            _, _, node = heapq.heappop(heap)
            key = _key(node.moment)
            if seen.get(key, 1e9) <= node.cost:
                continue
            seen[key] = node.cost
            left = len(differences(node.moment, self.goal))
            if left < self.best[0]:
                self.best = (left, node)
            if not left:
                return node
            if len(node.steps) >= MOST_STEPS:
                continue
            self.moments += 1
            for child in self._children(node):
                rest = len(differences(child.moment, self.goal))
                if seen.get(_key(child.moment), 1e9) > child.cost:
                    heapq.heappush(heap, (child.cost + rest, next(order), child))
            if self.progress is not None:
                self.progress(self.tried, self.best[0])
        self.exhausted = True
        return None

    def _exposed(self, moment: Moment) -> float:
        """What breaks ties between ways of as many steps: full hands, people with no chain to spare or
        standing in a loop, and few things left on the ropes.
        """
        hands = sum(moment.hand_of(rope) is not None for rope in moment.rig.ropes) + len(moment.holds)
        chains = self.world.chains(moment)
        asked = int(self.world.policy.number("chains") or 0)
        bare = sum(len(chains[load.name].independent) <= asked for load in people(moment))
        holders = sum(
            self.world.catalogue[item.type].family in ("grab", "device") and bool(moment.ropes_of(item.name))
            for item in moment.rig.gear.values()
        )
        return hands + bare + len(moment.loops) - 0.5 * holders

    def _children(self, node: _Node) -> list[_Node]:
        world, moment = self.world, node.moment
        wanted = list(mending(world, moment, self.goal, differences(moment, self.goal)))
        played = [self._play(node, step) for step in wanted]
        refused = [(p.step, p.faults) for p in played if not _accepted(p)]
        done = {(s.verb, s.gear, s.rope, s.part, s.sheave) for s in wanted}
        more = []
        for step in enabling(world, moment, refused):
            key = (step.verb, step.gear, step.rope, step.part, step.sheave)
            if key not in done or step.verb in ("hand-on", "hand-off"):
                done.add(key)
                more.append(self._play(node, step))
        rejected = tuple(
            Rejected(len(node.steps) + 1, p.step, p.faults[0].text)
            for p in (*played, *more)
            if not _accepted(p)
        )
        self.refused[_key(moment)] = rejected
        out = []
        for p in (*played, *more):
            if not _accepted(p):
                continue
            since = {k: node.since.get(k, p.n) for k in amiss(world, p.after)}
            cost = node.cost + 1.0 + 0.002 * self._exposed(p.after)
            out.append(_Node(p.after, since, (*node.steps, p.step), (*node.refused, rejected), cost))
        return out

    def _play(self, node: _Node, step: Step) -> Played:
        """Put a step to the prover, done by whoever is nearest and has a hand free."""
        n = len(node.steps) + 1
        doers = [step.doer] if step.doer else self._doers(node.moment, step)
        best: Played | None = None
        for doer in doers:
            self.tried += 1
            done = worded(replace(step, doer=doer), self._sheaves(node.moment, step))
            played = play(self.world, n, done, node.moment, node.since)
            if _accepted(played):
                return played
            if best is None or len(played.faults) < len(best.faults):
                best = played
            if not any(f.kind in ("reach", "hands") for f in played.faults):
                break  # somebody else would be refused as well
        assert best is not None
        return best

    def _sheaves(self, moment: Moment, step: Step) -> int:
        known = step.gear in moment.rig.gear or step.gear in self.world.procedure.kit
        return self.world.type_of(moment, step.gear).sheaves if known else 0

    def _doers(self, moment: Moment, step: Step) -> list[str]:
        where = next((n for n in (step.gear, step.part, step.beside) if n in moment.state.at), None)
        names = [n for n in self.world.procedure.people if n in moment.state.at]
        if where is None:
            return names or ["somebody"]
        return sorted(names, key=lambda n: moment.apart(n, where)) or ["somebody"]

    def told(self, node: _Node | None) -> Found:
        """The outcome, the way proved once more by itself."""
        took = time.monotonic() - self.began
        procedure = proof = None
        best = node or self.best[1]
        if node is not None:
            procedure = replace(self.world.procedure, steps=_numbered(node.steps))
            proof = prove(procedure, self.world.catalogue)
        rejected = [r for each in (best.refused if best else ()) for r in each]
        if best is not None and node is None:
            rejected += self.refused.get(_key(best.moment), ())
        left = (
            []
            if node or best is None
            else [_said(d.kind, d.name, d.rope) for d in differences(best.moment, self.goal)]
        )
        return Found(
            procedure,
            proof,
            tuple(rejected),
            self.tried,
            self.moments,
            took,
            self.exhausted,
            best.steps if best else (),
            tuple(left),
        )


def _numbered(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    return tuple(replace(step, line=k) for k, step in enumerate(steps, 1))


def _said(kind: str, name: str, rope: str) -> str:
    on = f" on {rope}" if rope and rope != name else ""
    return f"{kind}: {name}{on}"


def _accepted(played: Played) -> bool:
    return played.done and played.verdict == "ok"


def _key(moment: Moment) -> Hashable:
    """Moments that are the same for what can be done next, whatever small distances differ."""
    loops = tuple((loop.load, loop.rope) for loop in moment.loops)
    heights = tuple(round(float(moment.state.at[name][2]) / COARSE) for name in moment.rig.loads)
    return moment.connection, loops, moment.tested, moment.loaded, heights
