"""Who is held: as drawn, with every hand off, when one thing fails; chains, drops and clearance."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.judgement.chains import Holding
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
        elif holding is not None and len(holding.chains) > 1:
            repair = f"put {part.label} in one chain only: the other has to hold without it"
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
    most, least = ctx.policy.number("most-drop"), ctx.policy.number("least-clearance")
    for load in ctx.people:
        worst: tuple[float, str, int] | None = None
        lowest: tuple[float, str, int] | None = None
        for failure in ctx.x.failures:
            outcome = next(o for o in failure.after.outcomes if o.load == load.name)
            if outcome.verdict != "held" or outcome.drop is None:
                continue
            label, line = failure.component.label, failure.component.line
            if worst is None or outcome.drop > worst[0]:
                worst = (outcome.drop, label, line)
            room = _clearance(ctx, failure, load)
            if room is not None and (lowest is None or room < lowest[0]):
                lowest = (room, label, line)
        if most is not None and worst is not None and worst[0] > most:
            text = (
                f"if {worst[1]} fails, {load.name} drops {ctx.length(worst[0])} before the rest holds; the "
                f"policy allows {ctx.length(most)}"
            )
            repair = f"take {ctx.length(worst[0] - most)} or more of slack out of what then holds"
            yield Finding("stop", "drop-too-far", text, worst[2], repair, worst[1])
        if least is not None and lowest is not None and lowest[0] < least:
            text = (
                f"if {lowest[1]} fails, {load.name} comes to hang {ctx.length(max(0.0, lowest[0]))} over the "
                f"ground; the policy asks for {ctx.length(least)}"
            )
            repair = f"start {ctx.length(least - lowest[0])} higher, or take slack out of what then holds"
            yield Finding("stop", "too-little-clearance", text, lowest[2], repair, lowest[1])
    catch = ctx.policy.number("most-catch-force")
    if catch is not None and ctx.people:
        text = (
            f"the policy allows {ctx.force(catch)} when a second line catches; this check finds where a load "
            f"comes to hang, not the peak of the catch"
        )
        yield Finding("question", "catch-not-computed", text, 0, "have the catch tested", "", True)


def _clearance(ctx: Context, failure: Failure, load: Load) -> float | None:
    """Height [m] of a load over the ground once it hangs still after a failure."""
    if failure.after.rest is None:
        return None
    height = float(failure.after.rest.position[failure.after.assembly.node[load.name], 2])
    ground = ground_below(ctx.rig, height)
    return None if ground is None else height - ground
