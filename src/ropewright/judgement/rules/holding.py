"""Who is held: as drawn, with every hand off, when one thing fails; chains, drops and clearance."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ropewright.judgement.chains import Holding
from ropewright.judgement.components import Component
from ropewright.judgement.examine import Failure
from ropewright.judgement.letting_go import Outcome, ground_below
from ropewright.judgement.rules.base import Context, Finding, Level
from ropewright.rig import Load

__all__ = ["becomes", "find"]

_SECOND = "add a second line to another anchor; it has to hold with every hand off"
_BY_ITSELF = "use a device that holds by itself or lock it off, or tie a second line that holds by itself"


def becomes(ctx: Context, outcome: Outcome) -> str:
    """What becomes of a load: `falls 6 m (19.7 ft)`, `runs down the rope`, `is held`."""
    verb = {"held": "is held", "falls": "falls", "runs": "runs down"}[outcome.verdict]
    if outcome.verdict == "held" or outcome.drop is None:
        return verb
    return f"{verb} {ctx.length(outcome.drop)}"


def find(ctx: Context) -> Iterator[Finding]:
    """Everything about who is held."""
    held = {h.load: h for h in ctx.x.holdings}
    yield from _as_drawn(ctx)
    for load in ctx.rig.loads.values():
        yield from _hands_off(ctx, load)
    for load in ctx.people:
        if load.name in held:
            yield from _chains(ctx, load, held[load.name])
    for failure in ctx.x.failures:
        yield from _failure(ctx, failure, held)
    yield from _drops(ctx)


def _as_drawn(ctx: Context) -> Iterator[Finding]:
    """Where the rig does not stand: every hand on, as it is drawn."""
    if ctx.x.stands or ctx.motions:
        return
    person = ctx.people[0] if ctx.people else None
    about = person or next(iter(ctx.rig.loads.values()), None)
    if about is None:
        return
    off = ctx.x.hands_off
    verdict = next((o for o in off.outcomes if o.load == about.name), None) if off else None
    if verdict is not None and verdict.verdict == "held":
        text = "the model found no rest for the rig as it is drawn, so its forces are not known"
        repair = "look for slack, or for ropes that are laid too short to reach"
        yield Finding("question", "not-solved", text, about.line, repair, about.name, True)
        return
    text = f"nothing holds {about.name} as the rig is drawn, not even with the hands on"
    level: Level = "stop" if person else "caution"
    repair = "follow each rope from the load: look for what is meant to hold and which way round it is"
    yield Finding(level, "nothing-holds", text, about.line, repair, about.name)


def _hands_off(ctx: Context, load: Load) -> Iterator[Finding]:
    if ctx.x.hands_off is None:
        return
    outcome = next(o for o in ctx.x.hands_off.outcomes if o.load == load.name)
    if outcome.verdict == "held":
        return
    asks = (ctx.policy.number("hands-off-chains") or 0) >= 1
    text = f"with every hand off {load.name} {becomes(ctx, outcome)}: {outcome.reason}"
    level: Level = "stop" if asks and load in ctx.people else "caution"
    yield Finding(level, "falls-hands-off", text, load.line, _BY_ITSELF, load.name)


def _chains(ctx: Context, load: Load, holding: Holding) -> Iterator[Finding]:
    asked, off = ctx.policy.number("chains") or 0, ctx.policy.number("hands-off-chains") or 0
    count, alone = len(holding.independent), holding.hands_off
    ropes = "; ".join(" and ".join(chain.ropes) for chain in holding.independent)
    if count < asked:
        text = f"{load.name} hangs on {count or 'no'} independent chain{'' if count == 1 else 's'}"
        text += f" ({ropes})" if ropes else ""
        text += f"; the policy asks for {asked:g}"
        if holding.shared:
            text += f". Its chains share {', '.join(holding.shared)}"
        repair = "give each chain an anchor, gear and a rope of its own" if holding.shared else _SECOND
        yield Finding("stop", "too-few-chains", text, load.line, repair, load.name)
    if alone < off:
        which = "only 1 of its chains holds" if alone else "none of its chains holds"
        text = f"{load.name}: {which} with every hand off; the policy asks for {off:g}"
        yield Finding("stop", "too-few-hands-off", text, load.line, _BY_ITSELF, load.name)


def _failure(ctx: Context, failure: Failure, held: dict[str, Holding]) -> Iterator[Finding]:
    part = failure.component
    by_design = (ctx.policy.number("chains") or 0) < 2
    fails = f"{part.label} lets go" if part.kind == "hand" else f"{part.label} fails"
    people = {load.name for load in ctx.people}
    for outcome in failure.after.outcomes:
        holding = held.get(outcome.load)
        if outcome.load not in people or outcome.verdict == "held":
            continue
        if holding is not None and not holding.chains:
            continue  # it falls with nothing failing, and that is said
        text = f"if {fails}, {outcome.load} {becomes(ctx, outcome)}: {outcome.reason}"
        if failure.after.hands_gave_way:
            text += "; the hands are asked for more than they are counted on to hold"
        repair = _SECOND
        if part.kind == "hand":
            repair = _BY_ITSELF
        elif holding is not None and sum(part.key in chain.keys for chain in holding.chains) > 1:
            repair = f"put {part.label} in one chain only: the other has to hold without it"
        elif holding is not None and len(holding.chains) > 1:
            repair = f"see that what is left holds without {part.label}, by itself and without a hand"
        yield Finding(
            "caution" if by_design else "stop",
            "single-failure",
            text,
            part.line,
            repair,
            part.label,
            group=f"if any one of these fails, {outcome.load} {becomes(ctx, outcome)}",
        )


def _drops(ctx: Context) -> Iterator[Finding]:
    """The furthest drop, the hardest catch and the least height over the ground, each after its failure."""
    most, least = ctx.policy.number("most-drop"), ctx.policy.number("least-clearance")
    for load in ctx.people:
        hardest = ctx.policy.number("most-litter-catch" if load.kind == "litter" else "most-catch-force")
        caught = list(_caught(ctx, load))
        if most is not None and caught:
            yield from _too_far(ctx, load, max(caught, key=lambda c: c.drop), most)
        if hardest is not None and caught:
            yield from _too_hard(ctx, load, max(caught, key=lambda c: c.peak), hardest)
        rooms = [c for c in caught if c.room is not None]
        if least is not None and rooms:
            yield from _too_low(ctx, load, min(rooms, key=lambda c: c.room or 0.0), least)


@dataclass(frozen=True, slots=True)
class _Caught:
    """A load that is held after a failure: how far it drops [m], the catch at its hardest [N], what is left
    over the ground at the lowest point [m].
    """

    part: Component
    drop: float
    peak: float
    room: float | None


def _caught(ctx: Context, load: Load) -> Iterator[_Caught]:
    for failure in ctx.x.failures:
        after = failure.after
        o = next(o for o in after.outcomes if o.load == load.name)
        if o.verdict != "held" or o.drop is None or after.rest is None:
            continue
        start = float(after.rest.position[after.assembly.node[load.name], 2]) + o.drop
        ground = ground_below(ctx.rig, start)
        lowest = o.drop if o.lowest is None else o.lowest
        room = None if ground is None else start - lowest - ground
        yield _Caught(failure.component, o.drop, 0.0 if o.peak is None else o.peak.high, room)


def _too_far(ctx: Context, load: Load, worst: _Caught, most: float) -> Iterator[Finding]:
    if worst.drop > most:
        text = (
            f"if {worst.part.label} fails, {load.name} drops {ctx.length(worst.drop)} before the rest holds; "
            f"the policy allows {ctx.length(most)}"
        )
        repair = f"take {ctx.length(worst.drop - most)} or more of slack out of what then holds"
        yield Finding("stop", "drop-too-far", text, worst.part.line, repair, worst.part.label)


def _too_hard(ctx: Context, load: Load, worst: _Caught, most: float) -> Iterator[Finding]:
    if worst.peak > most:
        text = (
            f"if {worst.part.label} fails, {load.name} is caught with up to {ctx.force(worst.peak)}; the "
            f"policy allows {ctx.force(most)}"
        )
        repair = "take slack out of what then holds, or put more or stretchier rope into it"
        yield Finding("stop", "catch-too-hard", text, worst.part.line, repair, worst.part.label)


def _too_low(ctx: Context, load: Load, worst: _Caught, least: float) -> Iterator[Finding]:
    room = worst.room or 0.0
    if room < least:
        text = (
            f"if {worst.part.label} fails, {load.name} comes within {ctx.length(max(0.0, room))} of the "
            f"ground; the policy asks for {ctx.length(least)}"
        )
        repair = f"start {ctx.length(least - room)} higher, or take slack out of what then holds"
        yield Finding("stop", "too-little-clearance", text, worst.part.line, repair, worst.part.label)
