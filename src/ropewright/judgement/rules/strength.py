"""Loads against strengths, whole and after a failure, and what is not known of them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ropewright.judgement.examine import Failure
from ropewright.judgement.geometry import redirect_opened
from ropewright.judgement.parts import ALIKE, PartLoad, strengths
from ropewright.judgement.rules.base import LOADED, Case, Context, Finding, Level, in_state, ratio
from ropewright.quantity import show_angle, show_force

__all__ = ["find"]

HAIR = 1e-9
"""What rounding may have taken off a whole percent."""


def find(ctx: Context) -> Iterator[Finding]:
    """Parts over their strength or under the factor, strengths not known, and what a failure leaves."""
    for part in ctx.x.parts:
        if part.strength is None:
            yield from _unknown(ctx, part)
        elif part.load.likely >= LOADED:
            yield from _known(ctx, part, part.strength)
    yield from _after_failure(ctx)
    yield from _in_the_catch(ctx)


def _known(ctx: Context, part: PartLoad, strength: float) -> Iterator[Finding]:
    load, asked = part.load.likely, ctx.asked(part.part)
    says = f"{part.part} carries {ctx.force(load)} {in_state(part.state)} and bears {ctx.force(strength)}"
    if load >= strength:
        repair = _repair(ctx, part, strength / asked)
        text = f"{says}: it would break or open"
        yield Finding("stop", "part-over-strength", text, part.line, repair, part.part)
    elif strength / load < asked:
        text = f"{says}: a factor of {ratio(strength / load, asked)}, where the policy asks for {asked:g}"
        repair = _repair(ctx, part, strength / asked)
        yield Finding("stop", "part-overloaded", text, part.line, repair, part.part)
    elif part.load.high > 0 and strength / part.load.high < asked:
        text = (
            f"{part.part} keeps a factor of {ratio(strength / load)} at the likely load, but at the high end "
            f"of the uncertain figures ({ctx.force(part.load.high)} {in_state(part.state)}) only "
            f"{ratio(strength / part.load.high, asked)}; the policy asks for {asked:g}"
        )
        needed = _more_than_has(ctx, asked * part.load.high, strength)
        repair = f"use one that bears {needed}, or measure the uncertain figures"
        yield Finding("caution", "part-low-factor", text, part.line, repair, part.part)


def _unknown(ctx: Context, part: PartLoad) -> Iterator[Finding]:
    load, when, _ = ctx.carried(part)
    if load < LOADED or (part.kind == "knot" and _rope_unknown(ctx, part)):
        return  # idle always, or the rope's own question covers its knots
    state = in_state(when)
    least = ctx.force(ctx.asked(part.part) * load)
    if part.kind == "anchor":
        asks = ctx.policy.asks("rate-anchors")
        text = f"nobody has rated the anchor {part.part}; it carries {ctx.force(load)} {state}"
        repair = f"have it rated by a qualified person for {least} or more, and give it `strength:`"
        level: Level = "question" if asks else "caution"
        yield Finding(level, "anchor-unrated", text, part.line, repair, part.part, asks)
        return
    text = f"nobody has said what {part.part} bears; it carries {ctx.force(load)} {state}"
    if part.source == "no knot is named":
        text = f"the knot of {part.part} is not named, so what it leaves of the rope's strength is not known"
        repair = "name it, as in `tie … with figure-eight-bight`"
    else:
        stated = next(s.stated for s in strengths(ctx.x.assembly) if s.part == part.part)
        repair = f"read its label; it has to bear {least} or more, stated under `assume: {stated}`"
        if part.kind == "knot":
            repair = f"test what it leaves of the rope's strength, and state it under `assume: {stated}`"
    yield Finding("question", "strength-unknown", text, part.line, repair, part.part, True)


def _rope_unknown(ctx: Context, knot: PartLoad) -> bool:
    rope = knot.part.split(" at ")[0]
    return any(p.kind == "rope" and p.part == rope and p.strength is None for p in ctx.x.parts)


def _repair(ctx: Context, part: PartLoad, allowed: float) -> str:
    """What would bring a part to the factor: an angle where one does it, else its strength or the load."""
    load = part.load.likely
    for case in (*ctx.still, *ctx.moving):
        angle = _angle(case, part, allowed)
        if angle:
            return angle
    needed = _more_than_has(ctx, ctx.asked(part.part) * load, part.strength)
    repair = f"use one that bears {needed}, or bring the load on it down to {_percent(allowed, load)}"
    item = ctx.rig.gear.get(part.part)
    grab = item is not None and ctx.catalogue[item.type].family == "grab"
    if grab and ctx.policy.number("grab-factor") is None:
        repair += "; few grabs bear ten times a load: a policy may have a `grab-factor:` of their own"
    return repair


def _percent(allowed: float, load: float) -> str:
    """What a load is to come down to, in whole percent that are really enough; never all of it."""
    share = min(math.floor(100 * allowed / load + HAIR), 99)
    return f"{share} %" if share else "less than 1 %"


def _more_than_has(ctx: Context, needed: float, has: float | None) -> str:
    """A strength that is needed [N]; "more than" it where what a part has is shown by the same figure."""
    same = has is not None and any(show_force(needed, u) == show_force(has, u) for u in ("metric", "us"))
    return f"more than {ctx.force(needed)}" if same else ctx.force(needed)


def _angle(case: Case, part: PartLoad, allowed: float) -> str:
    for meeting in case.legs:
        for leg in meeting.legs:
            if part.part in (leg.rope, leg.anchor) or part.part.startswith(f"{leg.rope} at "):
                closed = meeting.closed_to(allowed)
                now = meeting.widest[0]
                if closed is not None and closed < now:
                    return (
                        f"close the angle between the legs at {meeting.at} from {show_angle(now)} to "
                        f"{show_angle(_whole(closed, down=True))} or less"
                    )
    for turn in case.redirects:
        bearer = part.part.rsplit(" of ", 1)[-1] if part.kind == "join" else part.part
        opened = redirect_opened(turn, allowed) if turn.part == bearer and turn.openable else None
        if opened is not None:
            return (
                f"open the angle between the strands at {turn.part} from {show_angle(turn.angle)} to "
                f"{show_angle(_whole(opened, down=False))} or more"
            )
    return ""


def _whole(angle: float, *, down: bool) -> float:
    """An angle [rad] rounded to a whole degree on the side that keeps its promise."""
    degrees = math.degrees(angle)
    return math.radians(math.floor(degrees) if down else math.ceil(degrees))


def _in_the_catch(ctx: Context) -> Iterator[Finding]:
    """Parts that bear what hangs on them afterwards, but not the force of the catch; at their worst."""
    lines = {f.component.label: f.component.line for f in ctx.failures}
    for part in ctx.x.parts:
        force, label, late = *ctx.caught.get(part.part, (0.0, "")), ""
        if part.strength is not None and force <= part.strength:
            force, label, late = *ctx.caught_later.get(part.part, (0.0, "")), ctx.late
        if part.strength is not None and force > part.strength:
            text = (
                f"{late}if {label} fails, the catch loads {part.part} with up to {ctx.force(force)}; "
                f"it bears {ctx.force(part.strength)}"
            )
            repair = "take slack out of what then holds, or use a part that bears the catch"
            yield Finding("stop", "breaks-in-catch", text, lines[label], repair, part.part)


def _after_failure(ctx: Context) -> Iterator[Finding]:
    """The part that each failure leaves nearest its strength among those that hang together, its worst case
    only.
    """
    now, later = _left_weak(ctx.failures), _left_weak(ctx.failures_later)
    already = {p.part for p in ctx.x.parts if p.factor is not None and p.factor < ctx.asked(p.part)}
    for part in dict.fromkeys((*now, *later)):
        asked, late = ctx.asked(part), ""
        factor, label, line = now.get(part, (math.inf, "", 0))
        worse = later.get(part, (math.inf, "", 0))
        if worse[0] < 1.0 <= factor or worse[0] < asked <= factor:
            (factor, label, line), late = worse, ctx.late
        if factor < 1.0:
            text = f"{late}once {label} has failed, {part} is loaded beyond what it bears and follows"
            repair = f"use a {part} that bears {asked / factor:.2g} times as much"
            yield Finding("stop", "fails-in-turn", text, line, repair, part)
        elif factor < asked and part not in already:
            text = (
                f"{late}once {label} has failed, {part} keeps a factor of {ratio(factor, asked)}; "
                f"with nothing failed the policy asks for {asked:g}"
            )
            yield Finding("caution", "low-factor-after-failure", text, line, "", part)


def _left_weak(failures: tuple[Failure, ...]) -> dict[str, tuple[float, str, int]]:
    """For each part that a failure leaves nearest its strength its worst factor, and after what it is so."""
    worst: dict[str, tuple[float, str, int]] = {}
    for failure in failures:
        hold = [o for o in failure.after.outcomes if (o.verdict == "held" and not o.reason) or o.strikes]
        weak = [failure.weakest_for(o.load) for o in hold if failure.concerns(o.load)]
        for part, factor in dict.fromkeys(w for w in weak if w is not None):
            if factor < worst.get(part, (math.inf, "", 0))[0] * (1 - ALIKE):
                worst[part] = (factor, failure.component.label, failure.component.line)
    return worst
