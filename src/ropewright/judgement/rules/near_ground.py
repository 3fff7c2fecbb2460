"""The stretch above the ground in which a motion begins or ends: there the ground may come first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ropewright.judgement.examine import Failure
from ropewright.judgement.letting_go import Outcome
from ropewright.judgement.rules.base import Context
from ropewright.rig import Load

__all__ = ["NearGround", "at_the_start", "held_beneath", "near_ground", "words_of"]


@dataclass(frozen=True, slots=True)
class NearGround:
    """A load that strikes the ground from less than ``height`` [m] above it if one of ``parts`` fails, and
    that the same failure leaves held with room beneath; ``begins``: where the motion begins, else where it
    ends.
    """

    load: str
    height: float
    parts: tuple[str, ...]
    begins: bool


def held_beneath(ctx: Context, load: Load, outcome: Outcome) -> bool:
    """Whether a load that strikes the ground would be held with room beneath it, within the policy's limits
    on a drop and a catch. A policy that asks for clearance asks for it here too.
    """
    if outcome.beneath is None or ctx.policy.number("least-clearance") is not None:
        return False
    most = ctx.policy.number("most-drop")
    hardest = ctx.policy.number("most-litter-catch" if load.kind == "litter" else "most-catch-force")
    far = most is not None and outcome.beneath.drop > most
    return not far and not (hardest is not None and outcome.beneath.peak > hardest)


def at_the_start(ctx: Context, failure: Failure, outcome: Outcome) -> bool:
    """Whether a load that strikes the ground where a haul begins would be held with room beneath it, and has
    that room before the haul ends.
    """
    load, asked = ctx.rig.loads[outcome.load], ctx.rig.haul
    hauled = asked is not None and any(m.direction > 0 and m.load == load.name for m in ctx.motions)
    if asked is None or not hauled or not outcome.strikes or not failure.concerns(load.name):
        return False
    if outcome.beneath is None or not held_beneath(ctx, load, outcome):
        return False
    return (outcome.drop or 0.0) + asked.distance > outcome.beneath.lowest


def near_ground(ctx: Context) -> list[NearGround]:
    """Everybody who strikes the ground only where a haul begins or a lowering ends."""
    before = {(f.component.key, o.load): o.verdict for f in ctx.failures for o in f.after.outcomes}
    found: dict[tuple[str, bool], list[tuple[Failure, Outcome]]] = {}
    for failure, o in _people(ctx, ctx.failures):
        if at_the_start(ctx, failure, o):
            found.setdefault((o.load, True), []).append((failure, o))
    for failure, o in _people(ctx, ctx.failures_later):
        was = before.get((failure.component.key, o.load))
        if o.strikes and was == "held" and held_beneath(ctx, ctx.rig.loads[o.load], o):
            found.setdefault((o.load, False), []).append((failure, o))
    return [
        NearGround(
            load,
            max(o.beneath.lowest for _, o in those if o.beneath is not None),
            tuple(dict.fromkeys(failure.component.label for failure, _ in those)),
            begins,
        )
        for (load, begins), those in found.items()
    ]


def _people(ctx: Context, failures: tuple[Failure, ...]) -> Iterator[tuple[Failure, Outcome]]:
    people = {load.name for load in ctx.people}
    for failure in failures:
        for outcome in failure.after.outcomes:
            if outcome.load in people and failure.concerns(outcome.load):
                yield failure, outcome


def words_of(ctx: Context, near: NearGround, within: bool) -> str:
    """The exception to a verdict in a sentence."""
    which = "first" if near.begins else "last"
    lead = f"{'Within' if within else 'Outside'} policy{', except' if within else '; and apart from that'}"
    names = near.parts[0]
    if len(near.parts) > 1:
        names = f"{', '.join(near.parts[:-1])} or {near.parts[-1]}"
    return (
        f"{lead} the {which} {ctx.length(near.height)} above the ground: there {near.load} strikes "
        f"the ground if {names} fails."
    )
