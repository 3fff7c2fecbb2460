"""What still differs between a moment and the rig that is wanted: each difference takes at least one step."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from ropewright.rig import Contact, Rig, Rope

from .moment import Moment

__all__ = ["Difference", "DifferenceKind", "differences"]

DifferenceKind = Literal[
    "lay in", "take out", "clip", "unclip", "state", "hand on", "hand off", "sit", "gate"
]


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that is not yet as wanted.

    ``index``: of the contact in the present run (to take out) or in the wanted run (to lay in).
    """

    kind: DifferenceKind
    name: str
    rope: str = ""
    index: int = -1
    contact: Contact | None = None


def differences(moment: Moment, wanted: Rig) -> list[Difference]:
    """Everything that differs in what is rigged; where things are is left to the steps."""
    out = list(_gear(moment, wanted))
    names = dict.fromkeys((*moment.rig.ropes, *wanted.ropes))
    for name in names:
        out += _rope(moment, moment.rig.ropes.get(name), wanted.ropes.get(name), name)
    out += [Difference("sit", loop.load, loop.rope) for loop in moment.loops]
    out += [Difference("gate", name) for name in sorted(moment.unlocked) if name in moment.rig.gear]
    return out


def _gear(moment: Moment, wanted: Rig) -> Iterator[Difference]:
    for name in dict.fromkeys((*moment.rig.gear, *wanted.gear)):
        here, there = moment.rig.gear.get(name), wanted.gear.get(name)
        at = here.at if here and isinstance(here.at, str) else None
        to = there.at if there and isinstance(there.at, str) else None
        if at is not None and at != to:
            yield Difference("unclip", name)
        if to is not None and at != to:
            yield Difference("clip", name)
        if there is not None and (here.state if here else "running") != there.state:
            yield Difference("state", name)


def _rope(moment: Moment, here: Rope | None, there: Rope | None, name: str) -> Iterator[Difference]:
    """Contacts to lay in and to take out, by the longest common part of the two runs."""
    now = here.run if here else ()
    then = there.run if there else ()
    if there is None and here is not None and _goes_with_a_grab(moment, here):
        yield Difference("take out", name, name, 0, now[0])  # a loop or cord comes away with its grab
        return
    kept_now, kept_then = _common(now, then)
    for k, contact in enumerate(now):
        if k in kept_now or contact.verb == "tail":
            continue
        kind: DifferenceKind = "hand off" if contact.verb == "hand" else "take out"
        yield Difference(kind, contact.target or "", name, k, contact)
    for k, contact in enumerate(then):
        if k in kept_then or contact.verb == "tail":
            continue
        kind = "hand on" if contact.verb == "hand" else "lay in"
        yield Difference(kind, contact.target or "", name, k, contact)


def _goes_with_a_grab(moment: Moment, rope: Rope) -> bool:
    ends = [c.target for c in rope.run if c.target]
    return len(rope.run) == 2 and any(
        name in moment.rig.gear and not isinstance(moment.rig.gear[name].at, str) for name in ends
    )


def _common(now: tuple[Contact, ...], then: tuple[Contact, ...]) -> tuple[set[int], set[int]]:
    """Which contacts of each run stay: the longest sequence that both have in the same order."""
    best = [[0] * (len(then) + 1) for _ in range(len(now) + 1)]
    for i in range(len(now) - 1, -1, -1):
        for j in range(len(then) - 1, -1, -1):
            same = best[i + 1][j + 1] + 1 if _same(now[i], then[j]) else 0
            best[i][j] = max(same, best[i + 1][j], best[i][j + 1])
    kept_now, kept_then, i, j = set(), set(), 0, 0
    while i < len(now) and j < len(then):
        if _same(now[i], then[j]) and best[i][j] == best[i + 1][j + 1] + 1:
            kept_now.add(i)
            kept_then.add(j)
            i, j = i + 1, j + 1
        elif best[i + 1][j] >= best[i][j + 1]:
            i += 1
        else:
            j += 1
    return kept_now, kept_then


def _same(a: Contact, b: Contact) -> bool:
    grabs = ("grip", "through")
    verbs = a.verb == b.verb or (a.verb in grabs and b.verb in grabs)
    return verbs and a.target == b.target and a.sheave == b.sheave and a.reversed == b.reversed
