"""Who is held, by connection alone: a rig read once and then asked often, with ever other components gone.

It answers what `held` answers of the rig put together without those components, and skips all that this
does not depend on: positions, masses, friction, slack. What is gone is a set of bits, one a component.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field

from ropewright.catalogue import Catalogue
from ropewright.mechanics import Holds, Run, connected
from ropewright.rig import Rig, Rope

from .components import Key, joined_by
from .contacts import holds_at, let_go, remaining, taken_by


@dataclass(frozen=True, slots=True)
class _Meeting:
    """A contact of a rope: the part it is at (−1: a loose end, which is where its neighbour is).

    ``tended`` is what it holds while a hand is on the rope, ``released`` what it holds without.
    """

    part: int
    tended: Holds
    released: Holds
    hand: bool
    taken_by: int


@dataclass(frozen=True, slots=True)
class _Strung:
    """A rope with all its contacts; ``bits`` are all components that change something about it."""

    rope: Rope
    meetings: tuple[_Meeting, ...]
    gone_by: int
    bits: int
    known: dict[tuple[int, bool], Run] = field(default_factory=dict)

    def run(self, gone: int, hands_off: bool) -> Run:
        """The parts that the rope still meets and what holds there; empty where no rope is left."""
        asked = (gone & self.bits, hands_off)
        found = self.known.get(asked)
        if found is None:
            found = self.known[asked] = self._run(gone, hands_off)
        return found

    def _run(self, gone: int, hands_off: bool) -> Run:
        if gone & self.gone_by:
            return (), ()
        taken = [bool(m.taken_by & gone) or (m.hand and hands_off) for m in self.meetings]
        released = let_go(self.rope, taken[-1], hands_off)
        parts: list[int] = []
        holds: list[Holds] = []
        for k, loose in remaining(taken):
            meeting = self.meetings[k]
            parts.append(meeting.part if meeting.part >= 0 else self.meetings[k - 1 if k else 1].part)
            holds.append("none" if loose else meeting.released if released else meeting.tended)
        return (tuple(parts), tuple(holds)) if len(parts) > 1 else ((), ())


class Skeleton:
    """A rig's points, joins and contacts, without a number among them."""

    def __init__(self, rig: Rig, catalogue: Catalogue) -> None:
        self.rig, self.catalogue = rig, catalogue
        self._bits: dict[Key, int] = {}
        parts = (*rig.points, *rig.loads, *rig.crews, *rig.gear)
        self._number = {part: n for n, part in enumerate(parts)}
        self._fixed = [(self._number[p], self._bit(("anchor", p, 0))) for p in (*rig.points, *rig.crews)]
        self._clipped = [
            (self._number[gear], self._number[place], self._mask(joined_by(rig, gear)))
            for gear, place in _from_the_root(rig)
        ]
        self._strung = [self._string(rope) for rope in rig.ropes.values()]
        self._ropes_at = _ropes_at(rig)

    def holds(self, load: str, gone: Collection[Key], hands_off: bool) -> bool:
        """Whether a load is held with the components ``gone``; ``hands_off``: and every hand with them."""
        return self._held(gone, hands_off)[self._number[load]]

    def held_loads(self, gone: Collection[Key], hands_off: bool) -> dict[str, bool]:
        """Whether each load is held with the components ``gone``; ``hands_off``: and every hand with them."""
        keeps = self._held(gone, hands_off)
        return {load: keeps[self._number[load]] for load in self.rig.loads}

    def ropes_at(self, part: str) -> list[str]:
        """The ropes that meet a part or what is clipped to it, nothing being gone."""
        return self._ropes_at.get(part, [])

    def _held(self, gone: Collection[Key], hands_off: bool) -> list[bool]:
        """Whether each part is held, gear that is clipped to something being answered for by that."""
        lost = 0
        for key in gone:
            lost |= self._bits.get(key, 0)
        root = self._roots(lost)
        runs = []
        for strung in self._strung:
            parts, holds = strung.run(lost, hands_off)
            if parts:
                runs.append(([root[p] for p in parts], holds))
        fixed = [False] * len(root)
        for part, bit in self._fixed:
            fixed[part] = not lost & bit
        return connected(runs, fixed)

    def _roots(self, lost: int) -> list[int]:
        """What each part is joined to in the end, itself where it is joined to nothing."""
        root = list(range(len(self._number)))
        for part, place, joins in self._clipped:
            if not joins & lost:
                root[part] = root[place]
        return root

    def _string(self, rope: Rope) -> _Strung:
        meetings = []
        for k, contact in enumerate(rope.run):
            part = -1 if contact.target is None else self._number[contact.target]
            tended, released = (holds_at(self.rig, self.catalogue, contact, off) for off in (False, True))
            hand = contact.verb == "hand"
            if hand:
                tended = released = "both"
            taken = self._mask(taken_by(self.rig, rope.name, k, contact))
            meetings.append(_Meeting(part, tended, released, hand, taken))
        gone_by = bits = self._bit(("rope", rope.name, 0))
        for meeting in meetings:
            bits |= meeting.taken_by
        return _Strung(rope, tuple(meetings), gone_by, bits)

    def _bit(self, key: Key) -> int:
        return self._bits.setdefault(key, 1 << len(self._bits))

    def _mask(self, keys: Iterable[Key]) -> int:
        out = 0
        for key in keys:
            out |= self._bit(key)
        return out


def _ropes_at(rig: Rig) -> dict[str, list[str]]:
    """The ropes that meet each part or what is clipped to it, in the order of the file."""
    place = dict(_from_the_root(rig))
    out: dict[str, list[str]] = {}
    for rope in rig.ropes.values():
        for contact in rope.run:
            part = contact.target
            while part is not None and rope.name not in out.setdefault(part, []):
                out[part].append(rope.name)
                part = place.get(part)
    return out


def _from_the_root(rig: Rig) -> Iterator[tuple[str, str]]:
    """Each piece of gear that is clipped to something, and what it is clipped to, that one's own first."""
    done: set[str] = set()
    waiting = [(item.name, item.at) for item in rig.gear.values() if isinstance(item.at, str)]
    while waiting:
        names = {gear for gear, _ in waiting} - done
        ready = [(gear, place) for gear, place in waiting if place not in names]
        if not ready:
            raise ValueError(f"gear is clipped round in a circle: {', '.join(sorted(names))}")
        yield from ready
        done |= {gear for gear, _ in ready}
        waiting = [pair for pair in waiting if pair[0] not in done]
