"""What a procedure is played in: catalogue, figures and policy, and answers worked out before."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from ropewright.catalogue import Catalogue, GearType
from ropewright.judgement.assemble import assemble
from ropewright.judgement.chains import Holding, holding
from ropewright.judgement.components import (
    Component,
    components,
    named_joins,
    no_life_support,
)
from ropewright.judgement.figures import Figures
from ropewright.judgement.hand_help import helped_hands, without_help
from ropewright.judgement.hands import hand_grips
from ropewright.judgement.policy import Policy
from ropewright.rig import Contact, Gear, Rig, Rope

from .alone import Alone, tried_alone
from .hanging import Hanging, hang, open_without_hand
from .laying import without_knots
from .model import Procedure
from .moment import Moment
from .others import counts_not_for

__all__ = ["Hindrance", "World", "beginning"]


_Answer = TypeVar("_Answer")


@dataclass(frozen=True, slots=True)
class Hindrance:
    """What keeps people from doing a step: ``kind`` is "loaded", "reach" or "hands"."""

    kind: str
    text: str
    fix: str


class World:
    """Asks the model about moments and remembers what it said."""

    def __init__(self, procedure: Procedure, catalogue: Catalogue) -> None:
        self.procedure, self.catalogue = procedure, catalogue
        self.figures = Figures(procedure.rig, catalogue)
        self.policy = Policy(procedure.rig)
        self._hung: dict[Hashable, Hanging] = {}
        self._connected: dict[Hashable, dict[str, Holding]] = {}
        self._alone: dict[Hashable, dict[str, Alone]] = {}
        self.grip = hand_grips(procedure.rig, self.policy)
        self._answers: dict[Hashable, Any] = {}
        self._noted: list[Hindrance] = []

    def noting(self) -> list[Hindrance]:
        """Begin a step: what hinders it is noted in the list given."""
        self._noted = []
        return self._noted

    def note(self, kind: str, text: str, fix: str) -> None:
        """Note what hinders the step that is being done."""
        self._noted.append(Hindrance(kind, text, fix))

    def type_of(self, moment: Moment, gear: str) -> GearType:
        """The catalogue type of gear that is rigged or brought along."""
        item = moment.rig.gear.get(gear) or self.at_hand(gear)
        if item is None:
            raise KeyError(gear)
        return self.catalogue[item.type]

    def at_hand(self, gear: str) -> Gear | None:
        """Gear that is not rigged as it lies in somebody's kit: brought along, or rigged at the start and
        taken off since; None where there is no such gear.
        """
        item = self.procedure.kit.get(gear) or self.procedure.rig.gear.get(gear)
        return None if item is None else replace(item, at=None, state="running")

    def rope_at_hand(self, rope: str) -> Rope:
        """A rope that is not rigged, brought along or rigged at the start and untied since."""
        return self.procedure.spare.get(rope) or self.procedure.rig.ropes[rope]

    def hang(self, moment: Moment) -> Hanging:
        """The moment at rest; the answer's moment is already at rest, so asking again changes nothing."""
        found = self._hung.get(moment.key)
        if found is None:
            found = hang(moment, self.catalogue, self.figures)
            self._hung[moment.key] = found
            self._hung.setdefault(found.moment.key, found)
        return found

    def chains(self, moment: Moment) -> dict[str, Holding]:
        """The independent chains that hold each load that does not stand, each tried alone.

        What holds nobody counts for none: gates not locked, foot loops, devices held open without a hand, a
        hand on a rope that no device or sheave helps it to hold or that is asked for more than it can,
        somebody else's harness, a line with more slack than there is height.
        """
        return {name: each.holding for name, each in self.tried(moment).items()}

    def tried(self, moment: Moment) -> dict[str, Alone]:
        """The chains of each load that does not stand, and why some of them count for nothing."""
        rest = self.hang(moment).moment
        key = (moment.connection, rest.place)
        found = self._alone.get(key)
        if found is None:
            found = self._alone[key] = self._tried(moment, rest)
        return found

    def _tried(self, moment: Moment, rest: Moment) -> dict[str, Alone]:
        hung, parts = self.hang(moment), components(moment.rig, self.catalogue)
        uncounted, connected, out = self._uncounted(rest, parts), self.connected(rest), {}
        rest = without_knots(rest)
        for name, by in connected.items():
            if hung.settled and hung.held[name]:
                out[name] = tried_alone(rest, by, self.catalogue, self.figures, self.grip, uncounted)
            else:
                out[name] = Alone(by)
        return out

    def connected(self, moment: Moment) -> dict[str, Holding]:
        """The independent chains that hold each load that does not stand: by connection alone, but that a
        hand with slack before it keeps no device.
        """
        key = (moment.connection, tuple(open_without_hand(moment, self.catalogue)))
        found = self._connected.get(key)
        if found is None:
            parts = components(moment.rig, self.catalogue)
            uncounted = self._uncounted(moment, parts)
            stood = {name for name, _ in moment.stands}
            found = {
                name: holding(
                    moment.rig, self.catalogue, name, parts, gone=self._for(name, moment, parts, uncounted)
                )
                for name in moment.rig.loads
                if name not in stood
            }
            self._connected[key] = found
        return found

    def remembered(self, what: str, moment: Moment, work: Callable[[], _Answer]) -> _Answer:
        """What was worked out before about a moment, or what ``work`` gives now."""
        key = (what, moment.key)
        if key not in self._answers:
            self._answers[key] = work()
        answer: _Answer = self._answers[key]
        return answer

    def _for(
        self, load: str, moment: Moment, parts: tuple[Component, ...], uncounted: tuple[Component, ...]
    ) -> tuple[Component, ...]:
        lost = counts_not_for(moment.rig, load)
        return (*uncounted, *(part for part in parts if part.key in lost))

    def _uncounted(self, moment: Moment, parts: tuple[Component, ...]) -> tuple[Component, ...]:
        lost = {("gear", name, 0) for name in open_without_hand(moment, self.catalogue)}
        for name in moment.unlocked:
            if name in moment.rig.gear:
                lost |= {("join", name, k) for k, _, _ in named_joins(moment.rig, name)}
                if self.catalogue[moment.rig.gear[name].type].family in ("grab", "device"):
                    lost.add(("gear", name, 0))  # it does not hang on its rope in the way of what holds
        lost |= {part.key for part in no_life_support(moment.rig, self.catalogue, parts)}
        lost |= without_help(helped_hands(moment.rig), lost)
        return tuple(part for part in parts if part.key in lost)


def beginning(world: World) -> Moment:
    """The moment that a procedure starts from: its rig as drawn, brought to rest.

    What is on the rig then has been checked and loaded before: that is what a pre-load check is for.
    """
    rig = world.procedure.rig
    drawn = assemble(rig, world.catalogue, figures=world.figures, braked=True)
    state = drawn.state(drawn.system)
    known = frozenset(rig.gear)
    moment = Moment(
        _without_slack(rig),
        state,
        stands=tuple(sorted(world.procedure.stands.items())),
        holds=_held_open(rig),
        loaded=known,
        tested=known,
    )
    return world.hang(moment).moment


def _without_slack(rig: Rig) -> Rig:
    """The rig with no slack written at its contacts: lengths of rope are in the state from here on."""
    ropes = {
        rope.name: replace(rope, run=tuple(replace(c, slack=0.0) if c.slack else c for c in rope.run))
        for rope in rig.ropes.values()
    }
    return replace(rig, ropes=ropes)


def _held_open(rig: Rig) -> tuple[tuple[str, str], ...]:
    """Devices drawn as held open, with whoever has a hand on their rope."""
    out = []
    for rope in rig.ropes.values():
        last: Contact = rope.run[-1]
        for contact in rope.run:
            item = rig.gear.get(contact.target or "")
            if item is not None and item.state == "in-hand" and last.verb == "hand":
                out.append((item.name, last.target or ""))
    return tuple(out)
