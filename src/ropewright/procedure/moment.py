"""A moment of a procedure: what is rigged, where everything is, and what people have done to it since."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ropewright.judgement.state import State
from ropewright.rig import Contact, Gear, Rig, Rope

__all__ = ["Loop", "Moment", "rope_between", "straight", "with_rope"]


@dataclass(frozen=True, slots=True)
class Loop:
    """A foot loop that a load stands in: the rope it is, its length [m] when the person sits, and the slack
    [m] that there was before each device at the person before they stood up.
    """

    load: str
    rope: str
    sat: float
    gaps: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Moment:
    """A rig on its way through a procedure. Everything else about it is worked out.

    ``rig`` has what is rigged, its contacts without slack: rope lengths are in ``state``, after each contact.
    ``unlocked``: gear whose gate is not locked. ``stands``: what stands on the ground or a deck instead of
    hanging, and where. ``loops``: who stands in which foot loop. ``holds``: devices and grabs that a person
    holds open, and who. ``loaded`` has borne weight since it was put where it is; ``tested`` has been tested
    since. ``unset`` is laid on a rope that something else holds, and bears nothing until that lets go.
    """

    rig: Rig
    state: State
    unlocked: frozenset[str] = frozenset()
    stands: tuple[tuple[str, str], ...] = ()
    loops: tuple[Loop, ...] = ()
    holds: tuple[tuple[str, str], ...] = ()
    loaded: frozenset[str] = frozenset()
    tested: frozenset[str] = frozenset()
    unset: frozenset[str] = frozenset()

    @cached_property
    def connection(self) -> Hashable:
        """Everything that decides who is connected to what, and nothing about where it is."""
        gear = tuple(
            (g.name, g.at if isinstance(g.at, str) else "", g.via, g.state) for g in self.rig.gear.values()
        )
        runs = tuple(
            (r.name, tuple((c.verb, c.target, c.sheave, c.reversed) for c in r.run))
            for r in self.rig.ropes.values()
        )
        return gear, runs, self.unlocked, self.stands, self.holds, tuple(lp.rope for lp in self.loops)

    @cached_property
    def place(self) -> Hashable:
        """Where everything is, to a tenth of a millimetre."""
        at = tuple((k, *np.round(v, 4).tolist()) for k, v in self.state.at.items())
        return at, tuple((k, round(v, 4)) for k, v in self.state.laid.items())

    @cached_property
    def key(self) -> Hashable:
        """What makes two moments the same."""
        return self.connection, self.place, self.loops, self.loaded, self.tested, self.unset

    def on(self, rope: str, gear: str, sheave: int | None = None) -> int | None:
        """The number of the contact of a rope at a piece of gear, None where it is not on that rope."""
        run = self.rig.ropes[rope].run if rope in self.rig.ropes else ()
        for k, contact in enumerate(run):
            met = contact.target == gear and contact.verb in ("grip", "through")
            if met and (sheave is None or contact.sheave == sheave):
                return k
        return None

    def ropes_of(self, gear: str) -> list[str]:
        """The ropes that a piece of gear is on."""
        return [name for name in self.rig.ropes if self.on(name, gear) is not None]

    def hand_of(self, rope: str) -> str | None:
        """Who has a hand on a rope's end."""
        run = self.rig.ropes[rope].run
        return run[-1].target if run and run[-1].verb == "hand" else None

    def full_hands(self, person: str) -> int:
        """How many things a person has hold of."""
        ropes = sum(self.hand_of(rope) == person for rope in self.rig.ropes)
        return ropes + sum(who == person for _, who in self.holds)

    def standing(self, load: str) -> str | None:
        """Where a load stands, None where it hangs."""
        return dict(self.stands).get(load)

    def loop_of(self, load: str) -> Loop | None:
        """The foot loop that a load stands in."""
        return next((loop for loop in self.loops if loop.load == load), None)

    def with_gear(self, item: Gear) -> Moment:
        """The moment with a piece of gear added or changed."""
        return replace(self, rig=replace(self.rig, gear={**self.rig.gear, item.name: item}))

    def without_gear(self, name: str) -> Moment:
        """The moment with a piece of gear back in somebody's kit."""
        gear = {k: v for k, v in self.rig.gear.items() if k != name}
        at = {k: v for k, v in self.state.at.items() if k != name}
        return replace(
            self,
            rig=replace(self.rig, gear=gear),
            state=State(at, self.state.laid),
            unlocked=self.unlocked - {name},
            holds=tuple(h for h in self.holds if h[0] != name),
        )

    def forget(self, *names: str) -> Moment:
        """The moment with nothing known any more of what gear has borne: it has been put somewhere new."""
        gone = frozenset(names)
        return replace(self, loaded=self.loaded - gone, tested=self.tested - gone, unset=self.unset - gone)

    def with_laid(self, changes: Mapping[tuple[str, int], float]) -> Moment:
        """The moment with other lengths of rope [m] after some contacts."""
        return replace(self, state=State(self.state.at, {**self.state.laid, **changes}))

    def apart(self, one: str, other: str) -> float:
        """Distance [m] between two parts."""
        return float(np.linalg.norm(self.state.at[one] - self.state.at[other]))


def with_rope(moment: Moment, rope: Rope, laid: list[float]) -> Moment:
    """The moment with a rope's run replaced, ``laid`` [m] being the rope after each contact but the last."""
    lengths = {k: v for k, v in moment.state.laid.items() if k[0] != rope.name}
    lengths |= {(rope.name, k): v for k, v in enumerate(laid)}
    return replace(
        moment,
        rig=replace(moment.rig, ropes={**moment.rig.ropes, rope.name: rope}),
        state=State(moment.state.at, lengths),
    )


def rope_between(moment: Moment, rope: str, k: int) -> float:
    """Rope [m] laid after contact ``k``; what stretches from part to part where it is not known."""
    found = moment.state.laid.get((rope, k))
    return straight(moment, moment.rig.ropes[rope].run, k) if found is None else found


def straight(moment: Moment, run: tuple[Contact, ...], k: int) -> float:
    """Distance [m] from contact ``k`` to the next, 0 where either is no part."""
    a, b = run[k].target, run[k + 1].target
    return moment.apart(a, b) if a and b else 0.0
