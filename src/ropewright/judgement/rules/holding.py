"""Who is held: as drawn, with every hand off, when one thing fails; chains, drops and clearance."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from ropewright.judgement.assemble import assemble
from ropewright.judgement.chains import Holding
from ropewright.judgement.components import Component, holding_nobody
from ropewright.judgement.examine import Failure
from ropewright.judgement.ground import STANDS, ground_below, ground_for
from ropewright.judgement.letting_go import UNKNOWN, Outcome
from ropewright.judgement.rules.base import Context, Finding, Level
from ropewright.judgement.rules.near_ground import at_the_start, near_ground
from ropewright.mechanics import held
from ropewright.rig import Load

__all__ = ["STANDS", "becomes", "find", "stands_there"]

SWINGS = 1.0
"""Distance sideways [m] from which the swing of a person or litter is told."""

NOT_SOLVED = "look for gear drawn where it can't stay, and try it as a rig of its own with that gone"
_SECOND = "add a second line to another anchor; it has to hold with every hand off"
_BY_ITSELF = "use a device that holds by itself or lock it off, or tie a second line that holds by itself"


def becomes(ctx: Context, outcome: Outcome) -> str:
    """What becomes of a load: `falls 6 m (19.7 ft)`, `runs down the rope`, `is held`."""
    verb = {"held": "is held", "falls": "falls", "runs": "runs down", UNKNOWN: "is not worked out"}[
        outcome.verdict
    ]
    if outcome.verdict in ("held", UNKNOWN) or outcome.drop is None:
        return verb
    return f"{verb} {ctx.length(outcome.drop)}"


def stands_there(outcome: Outcome) -> bool:
    """Whether a load only comes down on the ground that it stands on."""
    return outcome.verdict != "held" and outcome.drop is not None and outcome.drop < STANDS


def _only_stands(ctx: Context, outcome: Outcome) -> bool:
    """Whether a load only comes down on the ground that it stands on, and is not hauled up from there."""
    hauled = any(m.direction > 0 and m.load == outcome.load for m in ctx.motions)
    return stands_there(outcome) and not hauled


def find(ctx: Context) -> Iterator[Finding]:
    """Everything about who is held."""
    chains = {h.load: h for h in ctx.holdings}
    loose = _loose(ctx)
    yield from _as_drawn(ctx, loose)
    for load in ctx.rig.loads.values():
        yield from _on_the_ground(ctx, load)
        yield from _no_ground(ctx, load)
        if load.name not in loose:
            yield from _hands_off(ctx, load)
    for load in ctx.people:
        if load.name in chains:
            yield from _chains(ctx, load, chains[load.name])
    yield from _failures(ctx, chains)
    yield from _ground_first(ctx)
    yield from _drops(ctx)


def _loose(ctx: Context) -> set[str]:
    """Loads that nothing holds as the rig is drawn, with the hands on."""
    moved = {m.load for m in ctx.motions}
    whole = ctx.x.assembly
    braked = assemble(ctx.rig, ctx.catalogue, figures=whole.figures, braked=True)
    keeps = held(braked.system)
    return {name for name in ctx.rig.loads if name not in moved and not keeps[braked.node[name]]}


def _as_drawn(ctx: Context, loose: set[str]) -> Iterator[Finding]:
    """Loads that nothing holds, every hand on; a rig that has no rest otherwise."""
    for name in (name for name in ctx.rig.loads if name in loose):
        text = f"nothing holds {name} as the rig is drawn, not even with the hands on"
        repair = "follow each rope from the load: look for what is meant to hold and which way round it is"
        yield Finding("stop", "nothing-holds", text, ctx.rig.loads[name].line, repair, name)
    about = (*ctx.people, *ctx.rig.loads.values())[:1]
    if not (ctx.x.stands or ctx.motions or loose) and about:
        text = "the model found no rest for the rig as it is drawn, so its forces are not known"
        repair = "look for slack, or for ropes that are laid too short to reach"
        yield Finding("question", "not-solved", text, about[0].line, repair, about[0].name, True)


def _on_the_ground(ctx: Context, load: Load) -> Iterator[Finding]:
    after = [f.after for f in ctx.failures] + ([ctx.x.hands_off] if ctx.x.hands_off else [])
    if any(_only_stands(ctx, o) for a in after for o in a.outcomes if o.load == load.name):
        text = f"{load.name} stands on the ground as drawn, so whether it would fall can't be judged there"
        repair = f"draw {load.name} as high as it comes on the way"
        yield Finding("note", "stands-on-ground", text, load.line, repair, load.name)


def _no_ground(ctx: Context, load: Load) -> Iterator[Finding]:
    if load in ctx.people and ground_for(ctx.rig, load.name) is None:
        text = (
            f"no ground is drawn below {load.name}: whether a drop, or its way down, ends there is not known"
        )
        repair = "draw it where it is, as in `floor: {kind: ground, at: [0, 0]}`"
        yield Finding("question", "no-ground", text, load.line, repair, load.name, True)


def _hands_off(ctx: Context, load: Load) -> Iterator[Finding]:
    if ctx.x.hands_off is None:
        return
    outcome = next(o for o in ctx.x.hands_off.outcomes if o.load == load.name)
    if outcome.verdict == "held" or _only_stands(ctx, outcome):
        return
    if stands_there(outcome) and outcome.beneath is not None:
        return  # held once it is off the ground
    asks = (ctx.policy.number("hands-off-chains") or 0) >= 1
    if outcome.verdict == UNKNOWN:
        text = f"what becomes of {load.name} with every hand off is not worked out: {outcome.reason}"
        yield Finding("question", "held-not-known", text, load.line, NOT_SOLVED, load.name, asks)
        return
    text = f"with every hand off {load.name} {becomes(ctx, outcome)}: {outcome.reason}"
    if stands_there(outcome):
        text = f"off the ground, with every hand off, {load.name} {outcome.verdict}: {outcome.reason}"
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
        text += "".join(f". {name} is not made to hold people" for name in _for_nobody(ctx, load))
        repair = "give each chain an anchor, gear and a rope of its own" if holding.shared else _SECOND
        yield Finding("stop", "too-few-chains", text, load.line, repair, load.name)
    if alone < off:
        which = "only 1 of its chains holds" if alone else "none of its chains holds"
        text = f"{load.name}: {which} with every hand off; the policy asks for {off:g}"
        yield Finding("stop", "too-few-hands-off", text, load.line, _BY_ITSELF, load.name)


def _for_nobody(ctx: Context, load: Load) -> list[str]:
    """What holds the load, and counts for nobody."""
    never = holding_nobody(ctx.rig, ctx.catalogue, ctx.x.components)
    meets = {rope.name for rope in ctx.rig.ropes.values() if any(c.target == load.name for c in rope.run)}
    return [part.part for part in never if part.kind == "gear" or part.part in meets]


@dataclass(frozen=True, slots=True)
class _Fall:
    """A load that one failure drops, what would mend it, and why: those with the same mend have one cause."""

    part: Component
    outcome: Outcome
    gave_way: bool
    repair: str


def _failures(ctx: Context, chains: dict[str, Holding]) -> Iterator[Finding]:
    """Single failures that drop a person or litter, those of one cause told as one."""
    causes: dict[tuple[str, str], list[_Fall]] = {}
    unknown: dict[str, list[_Fall]] = {}
    for failure in ctx.failures:
        for fall in _falls(ctx, failure, chains):
            if fall.outcome.verdict == UNKNOWN:
                unknown.setdefault(fall.outcome.load, []).append(fall)
            else:
                causes.setdefault((fall.outcome.load, fall.repair), []).append(fall)
    for alike in causes.values():
        yield _one_cause(ctx, alike)
    for alike in unknown.values():
        yield _not_known(ctx, alike)


def _not_known(ctx: Context, alike: list[_Fall]) -> Finding:
    """One finding of all failures of which the model can't say whether they drop a load."""
    load, part = alike[0].outcome.load, alike[0].part
    parts = ", ".join(f.part.label for f in alike)
    fails = f"any one of these fails: {parts}" if len(alike) > 1 else f"{parts} fails"
    reasons = "; ".join(dict.fromkeys(f.outcome.reason for f in alike))
    text = f"what becomes of {load} is not worked out if {fails}; {reasons}"
    asks = (ctx.policy.number("chains") or 0) >= 2
    return Finding("question", "held-not-known", text, part.line, NOT_SOLVED, parts, asks)


def _ground_first(ctx: Context) -> Iterator[Finding]:
    """Loads that strike the ground only in the stretch in which a haul begins."""
    for near in near_ground(ctx):
        if not near.begins:
            continue
        several = len(near.parts) > 1
        fails = "any one of these fails" if several else f"{near.parts[0]} fails"
        names = f": {', '.join(near.parts)}" if several else ""
        text = (
            f"in the first {ctx.length(near.height)} above the ground, if {fails}, {near.load} strikes the "
            f"ground before the second line holds{names}; higher up it is held"
        )
        repair = "take slack out of the second line before the start, and keep that stretch short"
        line = ctx.rig.loads[near.load].line
        yield Finding("caution", "ground-first", text, line, repair, near.load)


def _falls(ctx: Context, failure: Failure, chains: dict[str, Holding]) -> Iterator[_Fall]:
    people = {load.name for load in ctx.people}
    part = failure.component
    for outcome in failure.after.outcomes:
        holding = chains.get(outcome.load)
        if outcome.load not in people or outcome.verdict == "held" or _only_stands(ctx, outcome):
            continue
        if not failure.concerns(outcome.load) or at_the_start(ctx, failure, outcome):
            continue
        if holding is not None and not holding.chains:
            continue  # it falls with nothing failing, and that is said
        repair = _SECOND
        if part.kind == "hand":
            repair = _BY_ITSELF
        elif holding is not None and sum(part.key in chain.keys for chain in holding.chains) > 1:
            repair = "put each in one chain only: the other has to hold without it"
        elif holding is not None and len(holding.chains) > 1:
            repair = "see that what is left then holds, by itself and without a hand"
        yield _Fall(part, outcome, outcome.load in failure.after.gave_way, repair)


def _one_cause(ctx: Context, alike: list[_Fall]) -> Finding:
    """One finding of all failures that drop a load for want of the same thing."""
    first = alike[0]
    load, furthest = first.outcome.load, max(alike, key=lambda f: f.outcome.drop or 0.0).outcome
    kinds = dict.fromkeys({"falls": "falls", "runs": "runs down"}[f.outcome.verdict] for f in alike)
    drops = {round(f.outcome.drop or 0.0, 1) for f in alike}
    lifted = stands_there(furthest)
    far = (
        ""
        if furthest.drop is None or lifted
        else f" {'up to ' if len(drops) > 1 else ''}{ctx.length(furthest.drop)}"
    )
    parts = [f.part.label for f in alike]
    reasons = "; ".join(dict.fromkeys(f.outcome.reason for f in alike))
    if len(alike) == 1:
        fails = f"{parts[0]} lets go" if first.part.kind == "hand" else f"{parts[0]} fails"
        text = f"if {fails}, {load} {' or '.join(kinds)}{far}: {reasons}"
    else:
        names = ", ".join(parts)
        text = f"if any one of these fails, {load} {' or '.join(kinds)}{far}: {names}; {reasons}"
    if any(f.gave_way for f in alike):
        where = "" if all(f.gave_way for f in alike) else " in some of these"
        text += f"; the hands are asked for more{where} than they are counted on to hold"
    text = f"off the ground, {text}" if lifted else text
    level: Level = "caution" if (ctx.policy.number("chains") or 0) < 2 else "stop"
    return Finding(level, "single-failure", text, first.part.line, first.repair, ", ".join(parts))


def _drops(ctx: Context) -> Iterator[Finding]:
    """The furthest drop, the hardest catch and the least height over the ground, each after its failure: as
    the rig stands, else near the end of a lowering, where only that goes beyond what the policy allows.
    """
    most, least = ctx.policy.number("most-drop"), ctx.policy.number("least-clearance")
    for load in ctx.people:
        hardest = ctx.policy.number("most-litter-catch" if load.kind == "litter" else "most-catch-force")
        now, later = list(_caught(ctx, load, ctx.failures)), list(_caught(ctx, load, ctx.failures_later))
        if now:
            yield from _swings(ctx, load, max(now, key=lambda c: c.swing))
        both = ((now, ""), (later, ctx.late))
        if most is not None and (over := _over(both, lambda c: c.drop, most)):
            yield _too_far(ctx, load, over[0], most, over[1])
        if hardest is not None and (over := _over(both, lambda c: c.peak, hardest)):
            yield _too_hard(ctx, load, over[0], hardest, over[1])
        if least is not None and (
            over := _over(both, lambda c: -math.inf if c.room is None else -c.room, -least)
        ):
            yield _too_low(ctx, load, over[0], least, over[1])


@dataclass(frozen=True, slots=True)
class _Caught:
    """A load that is held after a failure: how far it drops [m], the catch at its hardest [N], what is left
    over the ground at the lowest point [m], how far it swings [m].
    """

    part: Component
    drop: float
    peak: float
    room: float | None
    swing: float


def _over(
    both: Iterable[tuple[list[_Caught], str]], much: Callable[[_Caught], float], most: float
) -> tuple[_Caught, str] | None:
    """The worst of the first of several states in which it is over what is allowed, and when that is."""
    for caught, when in both:
        worst = max(caught, key=much, default=None)
        if worst is not None and much(worst) > most:
            return worst, when
    return None


def _caught(ctx: Context, load: Load, failures: tuple[Failure, ...]) -> Iterator[_Caught]:
    for failure in failures:
        after = failure.after
        o = next(o for o in after.outcomes if o.load == load.name)
        if o.verdict != "held" or o.drop is None or after.rest is None or not failure.concerns(load.name):
            continue
        start = float(after.rest.position[after.assembly.node[load.name], 2]) + o.drop
        hangs = after.rest.position[after.assembly.node[load.name]]
        ground = ground_below(ctx.rig, start, hangs)
        lowest = o.drop if o.lowest is None else o.lowest
        room = None if ground is None else start - lowest - ground
        yield _Caught(failure.component, o.drop, 0.0 if o.peak is None else o.peak.high, room, o.swing)


def _swings(ctx: Context, load: Load, worst: _Caught) -> Iterator[Finding]:
    if worst.swing > SWINGS:
        text = (
            f"if {worst.part.label} fails, {load.name} swings {ctx.length(worst.swing)} sideways before it "
            f"hangs: look at what it may strike"
        )
        repair = "bring what then holds nearer to straight above, or hold the load with a tag line"
        yield Finding("caution", "swings-far", text, worst.part.line, repair, worst.part.label)


def _too_far(ctx: Context, load: Load, worst: _Caught, most: float, late: str) -> Finding:
    text = (
        f"{late}if {worst.part.label} fails, {load.name} drops {ctx.length(worst.drop)} before the rest "
        f"holds; the policy allows {ctx.length(most)}"
    )
    repair = f"take {ctx.length(worst.drop - most)} or more of slack out of what then holds"
    return Finding("stop", "drop-too-far", text, worst.part.line, repair, worst.part.label)


def _too_hard(ctx: Context, load: Load, worst: _Caught, most: float, late: str) -> Finding:
    text = (
        f"{late}if {worst.part.label} fails, {load.name} is caught with up to {ctx.force(worst.peak)}; the "
        f"policy allows {ctx.force(most)}"
    )
    repair = "take slack out of what then holds, or put more or stretchier rope into it"
    return Finding("stop", "catch-too-hard", text, worst.part.line, repair, worst.part.label)


def _too_low(ctx: Context, load: Load, worst: _Caught, least: float, late: str) -> Finding:
    room = worst.room or 0.0
    text = (
        f"{late}if {worst.part.label} fails, {load.name} comes within {ctx.length(max(0.0, room))} of the "
        f"ground; the policy asks for {ctx.length(least)}"
    )
    higher = "stop" if late else "start"
    repair = f"{higher} {ctx.length(least - room)} higher, or take slack out of what then holds"
    return Finding("stop", "too-little-clearance", text, worst.part.line, repair, worst.part.label)
