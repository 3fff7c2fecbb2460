"""Whether the people at the ropes are enough. A safety officer is never one of them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from ropewright.judgement.moved import Moved
from ropewright.judgement.own_rules import stated_beyond
from ropewright.judgement.rules.base import Context, Finding, Level
from ropewright.mechanics import GRAVITY
from ropewright.rig import Crew, Load

__all__ = ["find", "hands_of", "pull_of", "team_pull_of"]

OWN_SHARE = 0.5
"""Share of his own weight that somebody who hauls himself is counted on for in a pull: a planning figure of
this project, no source."""
EXACT = 1e-6
"""Share by which a force may exceed what hands are counted on for through rounding alone."""


def hands_of(moved: Moved) -> tuple[str, ...]:
    """Who pulls or pays out rope in a motion, one name for each hand that moves."""
    assembly, out = moved.assembly, list[str]()
    for k, member in enumerate(moved.motion.blocks.member):
        end = assembly.strand_ends(k)[1].contact
        if end.verb == "hand" and moved.motion.blocks.kind[int(member)] == "hand":
            out.append(end.target or "")
    return tuple(out)


def pull_of(ctx: Context, name: str) -> tuple[float, int, float]:
    """What one person at a hand is counted on for [N], how many there are, and all of them together [N]."""
    each = ctx.policy.number("hauler-pull") or 0.0
    crew = ctx.rig.crews.get(name)
    if crew is None and name in ctx.rig.loads:
        each = OWN_SHARE * ctx.rig.loads[name].mass.likely * GRAVITY
    if crew is None:
        return each, 1, each
    each = crew.pull.likely if crew.pull else each
    return each, crew.people, each * crew.people


def team_pull_of(ctx: Context, name: str) -> float:
    """What all at a hand are counted on for together [N] by the policy's own figure."""
    crew = ctx.rig.crews.get(name)
    if crew is None:
        return pull_of(ctx, name)[2]
    return (ctx.policy.number("hauler-pull") or 0.0) * crew.people


def find(ctx: Context) -> Iterator[Finding]:
    """Pulls and grips against what people are counted on for, and the policy's limits on a line.

    What the likely figures ask of hands beyond what they are counted on for does not work, and stops; what
    only the uncertain ones ask is a caution. So is a pull of somebody who hauls himself: his share of his
    weight is nobody's policy.
    """
    yield from _at_rest(ctx)
    for moved in ctx.motions:
        for name, ropes in Counter(hands_of(moved)).items():
            who: Crew | Load | None = ctx.rig.crews.get(name) or ctx.rig.loads.get(name)
            line = who.line if who else 0
            if moved.direction > 0:
                yield from _haul(ctx, moved, name, line, ropes)
                yield from _haul_later(ctx, moved, name, line, ropes)
            else:
                yield from _brake(ctx, moved, name, line, ropes)
    yield from _looser(ctx)
    most = ctx.policy.number("most-haulers")
    for crew in ctx.rig.crews.values():
        if most is not None and crew.people > most:
            text = f"{crew.people} people pull at {crew.name}; the policy allows {most:g} on one line"
            repair = f"use {most:g} or fewer, with more advantage"
            yield Finding("stop", "too-many-haulers", text, crew.line, repair, crew.name)


def _looser(ctx: Context) -> Iterator[Finding]:
    """Crews counted on for more than the policy counts on, and whether they are enough by its figure too."""
    each, brake = ctx.policy.number("hauler-pull") or 0.0, ctx.policy.number("brake-hand") or 0.0
    hauled = {name: m for m in ctx.motions if m.direction > 0 for name in hands_of(m)}
    for crew in ctx.rig.crews.values():
        if crew.pull is None or not stated_beyond(crew, each, brake, crew.name in hauled):
            continue
        text = (
            f"{crew.name} {'is' if crew.people == 1 else 'are'} counted on for {ctx.force(crew.pull.likely)} "
            f"each as stated, looser than the {ctx.force(each)} that the policy counts on"
        )
        moved = hauled.get(crew.name)
        if moved is not None and each > 0:
            high = moved.hand_force.high
            enough = "enough" if high <= team_pull_of(ctx, crew.name) * (1 + EXACT) else "not enough"
            least, surely = math.ceil(moved.hand_force.likely / each), math.ceil(high / each)
            text += f"; by that figure {crew.people} are {enough}: the haul takes {least}"
            text += "" if least == surely else f", {surely} at the high end"
        repair = "leave `pull:` out, or say beside it why they give more"
        yield Finding("caution", "crew-counted-looser", text, crew.line, repair, crew.name)


def _at_rest(ctx: Context) -> Iterator[Finding]:
    """Hands that can't keep the rig still; a lowering asks the same of them and tells of it itself."""
    asked = ctx.x.over_asked
    told = {n for m in ctx.motions if m.direction < 0 for n in hands_of(m) if _too_weak(ctx, m, n)}
    if asked is None or {name for name, *_ in asked.hands} <= told:
        return
    names = " and ".join(dict.fromkeys(name for name, *_ in asked.hands))
    force, grip = max((force, grip) for _, force, grip in asked.hands)
    who: Crew | Load | None = ctx.rig.crews.get(asked.hands[0][0]) or ctx.rig.loads.get(asked.hands[0][0])
    sure = asked.friction == "likely"
    text = (
        f"at rest the hands of {names} have to hold {ctx.force(force)} or more"
        f"{'' if sure else ' with friction at its least'} and are counted on for {ctx.force(grip)}: the load "
        f"would run"
    )
    repair = "put in something that holds by itself, add friction before the hand, or use more hands"
    level: Level = "stop" if sure else "caution"
    yield Finding(level, "hands-too-weak", text, who.line if who else 0, repair, asked.hands[0][0])


def _too_weak(ctx: Context, moved: Moved, name: str) -> bool:
    """Whether a lowering already says that a hand is too weak for it."""
    return moved.hand_force.likely > ctx.x.grip.get(name, 0.0) * (1 + EXACT)


def _at(name: str, ropes: int) -> str:
    """Where hands pull or hold; ``ropes``: how many the same people have, and share their force among."""
    return name if ropes == 1 else f"{name}, on {ropes} ropes together"


def _haul_later(ctx: Context, moved: Moved, name: str, line: int, ropes: int) -> Iterator[Finding]:
    """A pull that people can begin and not end: strands that turn apart ask for more on the way."""
    _, people, total = pull_of(ctx, name)
    if moved.later is None or moved.hand_force.likely * ropes > total * (1 + EXACT):
        return
    needed = moved.later.hand * ropes
    if needed > total * (1 + EXACT) and total > 0:
        there = f"{people} {'person is' if people == 1 else 'people are'} counted on for {ctx.force(total)}"
        text = (
            f"near the end of a stroke, {ctx.length(moved.later.at)} on the way, the haul takes "
            f"{ctx.force(needed)} at {_at(name, ropes)}; {there}{' together' if people > 1 else ''}"
        )
        repair = "reset sooner, lead the strands more nearly alike, or use more advantage or more people"
        level: Level = "stop" if name in ctx.rig.crews else "caution"
        yield Finding(level, "crew-too-weak", text, line, repair, name)


def _haul(ctx: Context, moved: Moved, name: str, line: int, ropes: int) -> Iterator[Finding]:
    each, people, total = pull_of(ctx, name)
    needed, high = moved.hand_force.likely * ropes, moved.hand_force.high * ropes
    if total < high and each > 0:
        enough, surely = math.ceil(needed / each), math.ceil(high / each)
        least, most = ctx.force(needed), ctx.force(high)
        text = f"the haul takes {least} at {_at(name, ropes)}{'' if least == most else f', up to {most}'}; "
        if name in ctx.rig.crews:
            text += (
                f"{people} {'person is' if people == 1 else 'people are'} counted on for {ctx.force(each)}"
            )
        else:
            share = f"{100 * OWN_SHARE:.0f} % of what {name} weighs"
            text += (
                f"whoever pulls on his own is counted on for {ctx.force(each)}, {share}: a planning figure"
            )
        if people > 1:
            text += f" each, {ctx.force(total)} together"
        repair = _more_hands(ctx, name, max(enough, people + 1) if enough > people else surely, surely)
        short = name in ctx.rig.crews and needed > total * (1 + EXACT)
        yield Finding("stop" if short else "caution", "crew-too-weak", text, line, repair, name)
    limit = ctx.policy.number("most-pull-on-line")
    if limit is not None and high / ropes > limit:
        text = (
            f"the haul takes up to {ctx.force(high / ropes)} at {name}; the policy allows {ctx.force(limit)}"
        )
        yield Finding("stop", "line-pulled-too-hard", text, line, "use more advantage", name)


def _more_hands(ctx: Context, name: str, number: int, surely: int) -> str:
    """What would help a pull: ``number`` of people, ``surely`` of them at the high end, as far as the policy
    lets so many pull on one line; more advantage beyond that.
    """
    most = ctx.policy.number("most-haulers")
    if most is not None and number > most:
        return f"use more advantage: {number} would have to pull, and the policy allows {most:g} on one line"
    if name not in ctx.rig.crews:
        return f"use more advantage, or let others pull too: {surely} such pulls are needed"
    if most is not None and surely > most:
        return (
            f"use more advantage: the high end takes {surely} haulers, and the policy allows {most:g} on one "
            f"line; {number} do at the likely figure, the safety officer never among them"
        )
    return (
        f"use {number} haulers ({surely} at the high end), the safety officer never among them, or more "
        f"advantage"
    )


def _brake(ctx: Context, moved: Moved, name: str, line: int, ropes: int) -> Iterator[Finding]:
    grip = ctx.x.grip.get(name, 0.0)
    needed, high = moved.hand_force.likely * ropes, moved.hand_force.high * ropes
    if high > grip:
        text = (
            f"lowering takes {ctx.force(needed)} of holding at {_at(name, ropes)}, up to {ctx.force(high)}; "
            f"the hands there are counted on for {ctx.force(grip)}"
        )
        level: Level = "stop" if needed > grip * (1 + EXACT) else "caution"
        yield Finding(
            level, "brake-hand-weak", text, line, "add friction before the hand, or another hand", name
        )
