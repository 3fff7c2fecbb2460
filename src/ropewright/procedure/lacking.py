"""What is missing where no way is found: found by trying, one thing more at a time."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from ropewright.catalogue import Catalogue
from ropewright.quantity import Range
from ropewright.rig import Contact, Gear, Load, Place, Rig, Rope

from .find import Found, find, pair

__all__ = ["Lacking", "Trial", "lacking"]


STRONG = 36_000.0
"""Strength [N] that an anchor which is only tried out is taken to have."""


@dataclass(frozen=True, slots=True)
class Trial:
    """Both rigs with one thing more, and what that is in words."""

    what: str
    start: Rig
    goal: Rig
    extra: tuple[Gear, ...] = ()


@dataclass(frozen=True, slots=True)
class Lacking:
    """With one thing more there is a way: what, and the way."""

    what: str
    found: Found


def lacking(
    start: Rig,
    goal: Rig,
    catalogue: Catalogue,
    *,
    seconds: float = 20.0,
    progress: Callable[[str], None] | None = None,
) -> tuple[list[Lacking], list[str]]:
    """Try each thing in turn for ``seconds``: those with which there is a way, and all that were tried."""
    helped, tried = [], []
    for trial in _trials(start, goal, catalogue):
        if progress is not None:
            progress(trial.what)
        tried.append(trial.what)
        found = find(pair(trial.start, trial.goal, trial.extra), trial.goal, catalogue, seconds=seconds)
        if found.procedure is not None:
            helped.append(Lacking(trial.what, found))
    return helped, tried


def _trials(start: Rig, goal: Rig, catalogue: Catalogue) -> Iterator[Trial]:
    for load in start.loads.values():
        if load.kind in ("person", "litter") and load.name in goal.loads:
            yield Trial(
                f"a second line for {load.name}",
                _second(start, load, catalogue),
                _second(goal, load, catalogue),
            )
    for rope in start.ropes.values():
        if rope.name in goal.ropes and _tied(start, rope) and catalogue[rope.type].holding.life_support:
            name = f"a releasable anchor for {rope.name}"
            yield Trial(name, _releasable(start, rope.name), _releasable(goal, rope.name))
    for load in start.loads.values():
        if load.kind == "person":
            for rope in start.ropes.values():
                above = _clamp_above(start, load, rope)
                if above is not None:
                    yield Trial(f"one more grab with a foot loop for {load.name} on {rope.name}", above, goal)


def _second(rig: Rig, load: Load, catalogue: Catalogue) -> Rig:
    """A rig with one more rope from an anchor of its own to a back-up on a load."""
    at = rig.loads[load.name].at
    top = max((p.at[2] for p in rig.points.values() if p.kind == "anchor"), default=at[2] + 5.0)
    anchor = Place("extra-anchor", "anchor", (at[0] + 0.3, at[1], top), Range.exactly(STRONG))
    kind = next((g.type for g in rig.gear.values() if catalogue[g.type].holding.follows), "running-back-up")
    backup = Gear("extra-backup", kind, load.name, ("carabiner-locking",))
    run = (
        Contact("tie", "extra-anchor", knot="figure-eight-bight"),
        Contact("grip", "extra-backup", slack=0.2),
    )
    rope = Rope("extra-line", "rope-11-low-stretch", None, (*run, Contact("tail")))
    return replace(
        rig,
        points={**rig.points, anchor.name: anchor},
        gear={**rig.gear, backup.name: backup},
        ropes={**rig.ropes, rope.name: rope},
        assume={**rig.assume, backup.name: {"user-mass": Range.exactly(2 * load.mass.high)}},
    )


def _tied(rig: Rig, rope: Rope) -> bool:
    first = rope.run[0]
    return first.verb == "tie" and first.target in rig.points


def _releasable(rig: Rig, name: str) -> Rig:
    """A rig whose rope runs through a locked-off device at its anchor, spare rope behind."""
    rope = rig.ropes[name]
    anchor = rope.run[0].target or ""
    device = Gear(f"extra-release-{name}", "bar-rack", anchor, ("carabiner-locking",), "locked-off")
    run = (rope.run[0], Contact("through", device.name, slack=3.0), *rope.run[1:])
    return replace(
        rig,
        gear={**rig.gear, device.name: device},
        ropes={**rig.ropes, name: replace(rope, run=run)},
    )


def _clamp_above(rig: Rig, load: Load, rope: Rope) -> Rig | None:
    """A rig with one more clamp above a person on a rope that they hang on, and a foot loop from it."""
    k = next(
        (
            i
            for i, c in enumerate(rope.run)
            if (c.target or "") in rig.gear and rig.gear[c.target or ""].at == load.name
        ),
        None,
    )
    if k is None or k == 0:
        return None
    at = (load.at[0], load.at[1], load.at[2] + 0.7)
    clamp = Gear("extra-clamp", "handled-clamp", at)
    grips = Contact("grip", clamp.name)
    loop = Rope(
        "extra-loop",
        "foot-loop",
        None,
        (
            Contact("tie", clamp.name, knot="figure-eight-bight"),
            Contact("tie", load.name, knot="figure-eight-bight", slack=0.3),
        ),
    )
    return replace(
        rig,
        gear={**rig.gear, clamp.name: clamp},
        ropes={
            **rig.ropes,
            rope.name: replace(rope, run=(*rope.run[:k], grips, *rope.run[k:])),
            loop.name: loop,
        },
    )
