"""What hangs on everything at a moment, against what it bears and what it is rated for.

What nobody rated does not pass: it is told where it first bears.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from ropewright.judgement.parts import Strength, part_loads, rest_pulls, strengths
from ropewright.mechanics import GRAVITY
from ropewright.quantity import show_force, show_mass

from .hanging import BEARS, Hanging
from .world import World

__all__ = ["Burden", "burdens", "to_state"]

SAME = 1.02
"""Share of a mass up to which it counts as the same: gear that a person wears hangs on the rope with them."""


@dataclass(frozen=True, slots=True)
class Burden:
    """A part that bears too much, or bears and nobody said how much it may: what is wrong and what to do."""

    kind: Literal["overloaded", "not-rated"]
    part: str
    text: str
    fix: str


def burdens(world: World, hung: Hanging) -> Iterator[Burden]:
    """Everything that is over its strength, under the policy's factor, over its kilograms, or not rated."""
    if not hung.settled or hung.rest is None:
        return
    yield from _bodies(world, hung)
    yield from _kilograms(world, hung)
    loads = part_loads(hung.assembly, rest_pulls(hung.assembly, hung.rest))
    people = {x.name for x in hung.moment.rig.loads.values() if x.kind in ("person", "litter")}
    if not people - {name for name, _ in hung.moment.stands}:
        return
    for part in strengths(hung.assembly):
        if part.bearer in hung.moment.unset:
            continue  # laid on a rope that something else still holds
        load = float(loads[part.part][0]) if part.part in loads else 0.0
        if load > BEARS and _holds_people(world, part):
            yield from _strength(world, part, load)


def _holds_people(world: World, part: Strength) -> bool:
    """Whether a part is meant to: a foot loop and the knots of one are not."""
    name = part.part.split(" at ")[0]
    rope = world.procedure.rig.ropes.get(name) or world.procedure.spare.get(name)
    return rope is None or world.catalogue[rope.type].holding.life_support


def _strength(world: World, part: Strength, load: float) -> Iterator[Burden]:
    says = f"{part.part} carries {show_force(load)}"
    if part.value is None:
        if part.kind == "anchor" and not world.policy.asks("rate-anchors"):
            return
        text = f"{says}, and nobody has said what it bears"
        yield Burden("not-rated", part.part, text, to_state(part))
        return
    factor = part.value.low / load
    asked = _asked(world, part)
    if factor < asked:
        text = f"{says} and bears {show_force(part.value.low)}: a factor of {factor:.3g}, {asked:g} asked for"
        yield Burden("overloaded", part.part, text, "use gear that bears more, or put less on it")


def to_state(part: Strength) -> str:
    """Where what a part bears is to be written, so that the file reads."""
    if part.kind == "anchor":
        return "have it rated, and state it: `strength:` in the rig file"
    if not part.stated:
        return "name its knot in the rig file, as in `tie … with figure-eight-bight`"
    if part.stated.endswith(": keeps"):
        return f"test what it leaves of the rope's strength, and state it: `assume: {part.stated}`"
    return f"read its label or have it rated, and state it: `assume: {part.stated}`"


def _asked(world: World, part: Strength) -> float:
    """The factor that the policy asks of a part; grabs may have one of their own."""
    static = world.policy.number("static-factor") or 1.0
    known = part.bearer in world.procedure.rig.gear or part.bearer in world.procedure.kit
    item = world.procedure.rig.gear.get(part.bearer) or world.procedure.kit.get(part.bearer)
    if part.kind == "gear" and known and item is not None and world.catalogue[item.type].family == "grab":
        return world.policy.number("grab-factor") or static
    return static


def _bodies(world: World, hung: Hanging) -> Iterator[Burden]:
    """People and litters against the kilograms that their harness or basket is rated for."""
    for load in hung.moment.rig.loads.values():
        if load.kind not in ("person", "litter") or hung.moment.standing(load.name):
            continue
        mass = load.mass.likely
        if load.wears is None:
            text = f"nobody has said what {load.name} wears, so nothing of it can be checked"
            yield Burden(
                "not-rated", load.name, text, "name it with `wears:`, as in harness or litter-basket"
            )
            continue
        limit = world.figures.get(load.name, load.wears, "user-mass").value
        what = f"the {load.wears} of {load.name}"
        if limit is None:
            text = f"{show_mass(mass)} hang in {what}, and nobody has said how many it is rated for"
            yield Burden(
                "not-rated", what, text, f"read its label, and state it: `assume: {load.wears}: user-mass`"
            )
        elif mass > limit.low * SAME:
            text = f"{show_mass(mass)} hang in {what}, which is rated for {show_mass(limit.low)}"
            yield Burden(
                "overloaded", what, text, "a limit of the gear, not of the person: use gear rated for more"
            )


def _kilograms(world: World, hung: Hanging) -> Iterator[Burden]:
    """Devices and grabs over their user mass, and those for which nobody stated one."""
    loads = hung.moment.rig.loads.values()
    together = sum(load.mass.likely for load in loads)
    if all(load.kind not in ("person", "litter") for load in loads):
        return
    for item in hung.moment.rig.gear.values():
        force = hung.bears.get(item.name, 0.0)
        stated = world.figures.rig.assume.get(item.name, {}).get("user-mass")
        if force <= BEARS or ("user-mass" not in world.catalogue[item.type].figures and not stated):
            continue
        mass = min(force / GRAVITY, together)
        limit = world.figures.get(item.name, item.type, "user-mass").value
        if limit is None:
            text = f"{show_mass(mass)} hang on {item.name}, and nobody has said how many it is rated for"
            yield Burden(
                "not-rated",
                item.name,
                text,
                f"read its label, and state it: `assume: {item.name}: user-mass`",
            )
        elif mass > limit.low * SAME:
            text = f"{show_mass(mass)} hang on {item.name}, which is rated for {show_mass(limit.low)}"
            yield Burden("overloaded", item.name, text, "use gear rated for both before the weight is moved")
