"""Random rigs that mean something: tackles, grabs, stages, self-hauls, edges, and plain random reeving.

A seed gives a rig, always the same one. Most can be hauled; some are stuck, loose or let the load fall, and
the mechanics has to say so. `rigs` is the strategy for property tests, `shape_key` tells two shapes apart.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, replace

from hypothesis import strategies as st

from ropewright.mechanics.model import Contact, System

from .builders import Rig

EFFICIENCIES = (1.0, 0.95, 0.9, 0.75, 0.5)


@dataclass(frozen=True)
class Shape:
    """A random rig, the seed that gives it and the kind it was made as."""

    seed: int
    kind: str
    system: System

    def __repr__(self) -> str:
        return f"random_rig({self.seed})  # {self.kind}"


class _Maker:
    """A rig in the making, with the choices that all kinds share."""

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng
        self.rig = Rig(efficiency=rng.choice(EFFICIENCIES))
        self.spread = rng.choice((0.0, 0.0, 0.4, 1.5))
        self.deep = rng.random() < 0.4
        self.gear = rng.choice((0.0, 0.0, 0.5, 2.0))
        self.flipped = 0.12 if rng.random() < 0.35 else 0.0
        self.load = self.rig.point("load", *self.off(0.0), mass=rng.choice((80.0, 100.0, 200.0)))

    def off(self, z: float, x: float = 0.0) -> tuple[float, float]:
        """Coordinates (x, z), spread sideways where this rig is spread."""
        return x + self.spread * self.rng.uniform(-1, 1), z + (
            self.rng.uniform(-0.3, 0.3) if self.spread else 0.0
        )

    def away(self) -> float:
        return self.spread * self.rng.uniform(-1, 1) if self.deep else 0.0

    def high(self, z: float = 10.0, x: float = 0.0) -> int:
        """A fixed point above."""
        return self.rig.point(f"high{len(self.rig.names)}", *self.off(z, x), y=self.away(), fixed=True)

    def rider(self, z: float, x: float = 0.0) -> int:
        """A free piece of gear, near the line so that there is room to haul."""
        sideways = 0.3 * self.spread * self.rng.uniform(-1, 1)
        return self.rig.point(
            f"rider{len(self.rig.names)}", x + sideways, z, y=0.3 * self.away(), mass=self.gear
        )

    def bite(self, node: int) -> Contact:
        return self.rig.grab(node, reversed_=self.rng.random() < self.flipped)

    def capture(self, node: int) -> Contact:
        """A sheave that may keep the gain, and now and then is loaded the wrong way round."""
        if self.rng.random() > 0.5:
            return self.rig.through(node)
        right = self.rig.device(node)
        return replace(right, holds="forward") if self.rng.random() < self.flipped else right

    def ending(self, below: bool) -> tuple[Contact, ...]:
        """The pull: now and then redirected, from the ground, from above or by the load itself."""
        r, rng = self.rig, self.rng
        if below and rng.random() < 0.35:
            return (r.hand(self.load),)
        x = rng.choice((0.0, 3.0, 6.0)) if below or rng.random() < 0.5 else 0.0
        if below:
            crew = r.point("crew", x, -3.0, y=self.away(), fixed=True)
        else:
            crew = r.point("crew", x, 12.0, y=self.away(), fixed=True)
        if rng.random() < 0.3:
            turn = self.high(11.0 if not below else 9.0, x=rng.choice((-1.0, 1.0, 2.0)))
            return (r.through(turn), r.hand(crew))
        return (r.hand(crew),)

    def second_line(self) -> None:
        """A second line, slack or tended, on some rigs; a few are tied down."""
        r, rng = self.rig, self.rng
        pick = rng.random()
        if pick < 0.2:
            r.rope(r.tie(self.high(9.0, x=1.0)), r.tie(self.load), slack=(rng.uniform(0.5, 2.0),))
        elif pick < 0.3:
            belay = self.high(10.0, x=-1.0)
            stand = r.point("stand", -2.0, 10.0, fixed=True)
            r.rope(r.tie(self.load), r.device(belay), r.hand(stand), slack=(0.3, 0.0), idle=True)
        elif pick < 0.33:
            x, y, z = r.at[self.load]
            floor = r.point("floor", x, z - 2.0, y=y, fixed=True)
            r.rope(r.tie(floor), r.tie(self.load), slack=(-0.02,))


def _tackle(m: _Maker) -> None:
    """A rope to and fro between fixed sheaves and sheaves on the load."""
    r, total = m.rig, m.rng.randint(1, 6)
    at_load = m.rng.random() < 0.5
    blocks = m.high()
    run = [r.tie(m.load if at_load else blocks)]
    for _ in range(total):
        at_load = not at_load
        if at_load:
            run.append(r.through(m.load))
        else:
            run.append(m.capture(m.high() if m.spread else blocks))
    r.rope(*run, *m.ending(below=not at_load))


def _grabbed(m: _Maker) -> None:
    """A rope from the load over the anchor, doubled back through sheaves on grabs: 3:1, 5:1 and their kin."""
    r, rng = m.rig, m.rng
    grab, anchor = m.rider(4.0), m.high()
    run = [r.tie(m.load), m.bite(grab), m.capture(anchor), r.through(grab)]
    for _ in range(rng.randint(0, 2)):
        run.append(r.through(m.high(10.5)))
        run.append(r.through(grab if rng.random() < 0.5 else m.load))
    if rng.random() < 0.3:
        run += [r.through(m.high(10.2))]
        r.rope(*run, *m.ending(below=True))
    else:
        r.rope(*run, *m.ending(below=False))


def _five(m: _Maker) -> None:
    """A complex 5:1 with a grab on the way down, and cousins with a short second rope, some useless."""
    r, rng = m.rig, m.rng
    low, top, anchor = m.rider(3.0), m.rider(6.0), m.high()
    pick = rng.random()
    if pick < 0.4:
        run = [r.tie(m.load), m.bite(low), m.capture(anchor), m.bite(top), r.through(low), r.through(top)]
        r.rope(*run, *m.ending(below=True))
    elif pick < 0.55:
        short = (r.tie(m.high(10.2)), r.through(top), r.tie(low))
        r.rope(
            r.tie(m.load), m.bite(low), m.capture(anchor), r.through(low), m.bite(top), *m.ending(below=False)
        )
        r.rope(*short)
    else:
        run = [
            r.tie(m.load),
            m.bite(low),
            m.capture(anchor),
            r.through(low),
            r.through(m.high(10.1)),
            r.through(top),
        ]
        r.rope(*run, *m.ending(below=False))
        r.rope(r.tie(top), r.tie(low), slack=(rng.choice((0.0, 0.0, 0.3)),))


def _stages(m: _Maker) -> None:
    """Two or three stages, each pulling the end of the one before it, on one rope or with a rope each."""
    r, rng = m.rig, m.rng
    run: list[Contact] = [r.tie(m.load)]
    count, z = rng.randint(2, 3), 1.0
    for stage in range(count):
        z += 2.0
        puller, anchor = m.rider(z), m.high(12.0 + 0.3 * stage)
        kind = rng.random()
        if kind < 0.5:
            run += [m.bite(puller), m.capture(anchor), r.through(puller)]
        else:
            r.rope(*run, r.tie(puller))
            run = [r.tie(anchor), r.through(puller)]
            if kind < 0.7 and stage == count - 1:
                run += [r.through(m.high(12.5))]
                r.rope(*run, *m.ending(below=True))
                return
    r.rope(*run, *m.ending(below=False))


def _self_haul(m: _Maker) -> None:
    """A climber who hauls himself on a grab above, or is hauled from the ground below."""
    r, rng = m.rig, m.rng
    beam, handled = m.high(9.0), m.rider(3.0)
    run = [
        r.tie(beam),
        m.bite(handled),
        r.device(m.load) if rng.random() < 0.7 else r.through(m.load),
        r.through(handled),
    ]
    for _ in range(rng.randint(0, 2)):
        run += [r.through(m.load), r.through(handled)]
    r.rope(*run, *m.ending(below=True))


def _edge(m: _Maker) -> None:
    """A load below an edge, the haul behind it."""
    r, rng = m.rig, m.rng
    run = [r.tie(m.load), r.edge(m.high(8.0), rng.choice((0.1, 0.3, 0.5)))]
    behind = 6.0
    if rng.random() < 0.3:
        run.append(r.edge(m.high(8.6, x=1.5), 0.2))
    if rng.random() < 0.6:
        grab = m.rider(8.5, x=3.0)
        run += [m.bite(grab), m.capture(m.high(9.0, x=behind)), r.through(grab)]
        if rng.random() < 0.4:
            run += [r.through(m.high(9.2, x=behind)), r.through(grab)]
    else:
        run += [m.capture(m.high(9.0, x=behind)), r.through(m.high(8.5, x=2.5))]
    crew = r.point("crew", rng.uniform(8.0, 10.0), 8.5, y=m.away(), fixed=True)
    r.rope(*run, r.hand(crew))


def _two_hands(m: _Maker) -> None:
    """Two ropes with a crew each on one load."""
    r, rng = m.rig, m.rng
    for side in (-1.0, 1.0):
        top = m.high(10.0, x=side * rng.choice((0.2, 2.0)))
        crew = r.point("crew", side * 4.0, rng.choice((0.0, 11.0)), y=m.away(), fixed=True)
        if rng.random() < 0.5:
            r.rope(r.tie(m.load), m.capture(top), r.hand(crew))
        else:
            r.rope(r.tie(m.high(10.0, x=side)), r.through(m.load), m.capture(top), r.hand(crew))


def _track(m: _Maker) -> None:
    """A load on a tensioned line or hung between two legs, hauled by a rope of its own."""
    r, rng = m.rig, m.rng
    wide = rng.uniform(5.0, 9.0)
    left, right = m.high(9.0, x=-wide), m.high(9.0, x=wide)
    middle = r.through(m.load) if rng.random() < 0.6 else r.tie(m.load)
    r.rope(r.tie(left), middle, r.tie(right), slack=(rng.uniform(0.0, 0.4), rng.uniform(0.0, 0.4)))
    top = m.high(rng.choice((9.0, 11.0)), x=rng.uniform(-2.0, 2.0))
    r.rope(r.tie(m.load), m.capture(top), *m.ending(below=True))


def _any_reeving(m: _Maker) -> None:
    """Points at random, one to three ropes that wander between them, ends tied, pulled or left hanging."""
    r, rng = m.rig, m.rng
    tops = [m.high(rng.uniform(8, 12), x=rng.uniform(-3, 3)) for _ in range(rng.randint(1, 3))]
    riders = [m.rider(rng.uniform(2, 7), x=rng.uniform(-2, 2)) for _ in range(rng.randint(0, 2))]
    nodes = [m.load, *tops, *riders, *riders]
    words: tuple[Callable[[int], Contact], ...] = (r.through, r.through, r.through, m.bite, r.device)
    for k in range(rng.randint(1, 3)):
        at = m.load if k == 0 and rng.random() < 0.8 else rng.choice(nodes)
        run = [r.tie(at)]
        for _ in range(rng.randint(1, 5 if k == 0 else 2)):
            at = rng.choice([n for n in nodes if n != at])
            run.append(rng.choice(words)(at))
        if k == 0:
            r.rope(*run, *m.ending(below=at in tops))
        else:
            at = rng.choice([n for n in nodes if n != at])
            r.rope(*run, rng.choice((r.tie, r.tie, r.tail))(at))


KINDS: dict[str, Callable[[_Maker], None]] = {
    "tackle": _tackle,
    "grabbed": _grabbed,
    "five": _five,
    "stages": _stages,
    "self-haul": _self_haul,
    "edge": _edge,
    "two-hands": _two_hands,
    "track": _track,
    "any-reeving": _any_reeving,
}


def random_rig(seed: int) -> Shape:
    """The rig of a seed: 1–3 ropes, 0–6 sheaves, in a plane or in space."""
    rng = random.Random(seed)
    kind = rng.choice([*KINDS, "any-reeving"])
    maker = _Maker(rng)
    KINDS[kind](maker)
    if len(maker.rig.ropes) < 3:
        maker.second_line()
    return Shape(seed, kind, maker.rig.build("load"))


def rigs() -> st.SearchStrategy[Shape]:
    """Random rigs for property tests; a failing example prints the call that makes it."""
    return st.integers(0, 2**32 - 1).map(random_rig)


def shape_key(system: System) -> tuple[object, ...]:
    """What makes a shape its own: the run of every rope over numbered points, not where they stand.

    Points are numbered as the ropes meet them; whether each is fixed, has mass or is the load, and whether
    the rig lies in a plane, belong to the shape.
    """
    number: dict[int, int] = {}
    runs: list[object] = []
    for rope in system.ropes:
        for c in rope.contacts:
            number.setdefault(c.node, len(number))
        runs.append(
            tuple(
                (number[c.node], c.holds, c.end, c.forward.fixed != c.backward.fixed) for c in rope.contacts
            )
        )
    roles = tuple((bool(system.fixed[n]), bool(system.mass[n] > 0), n == system.load) for n in number)
    flat = bool((system.position[:, 1] == 0).all())
    return (tuple(runs), roles, flat)
