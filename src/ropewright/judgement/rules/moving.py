"""What can't be moved as asked, how many strokes it takes, and where the model found no answer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from ropewright.judgement.moved import CannotMove, Moved
from ropewright.judgement.rules.base import Context, Finding, Level, in_state
from ropewright.judgement.strokes import Strokes, grown, strokes
from ropewright.rig import Contact

__all__ = ["find"]

TAUT = 1.0
"""Force [N] from which a rope takes part in the motion."""
TENDED = 0.1
"""Rope [m] from which somebody has to see to a slack line on the way."""
APART = 0.25
"""Share by which a count may differ from the advantage in the real geometry without being told."""

_MEND: Mapping[str, str] = {
    "no-hand": "end the run that is to be pulled with `hand` and who pulls there",
    "falls": "give {at} something that holds it while the hands move rope",
    "stuck": "look at what holds at {at}: a grab or device there stops the rope, or a rope is laid too short",
    "loose": "look at {at}: a grab there may face the wrong way, or grip nothing that leads to the load",
    "friction": "turn the rope less often between the load and {at}, or pull from nearer the load",
    "unsolved": "check the coordinates around {at}, and that no rope is laid shorter than it has to reach",
}


def find(ctx: Context) -> Iterator[Finding]:
    """Motions that can't be, strokes, back-ups to be tended, samples and rest bounds without an answer."""
    for moved in (ctx.x.haul, ctx.x.lower):
        if isinstance(moved, CannotMove):
            yield _cannot(ctx, moved)
        elif moved is not None:
            yield from _strokes(ctx, moved)
            yield from _tended(ctx, moved)
            yield from _counted_apart(ctx, moved)
            yield from _samples(moved)
    yield from _unbounded(ctx)


def _cannot(ctx: Context, moved: CannotMove) -> Finding:
    verb = "haul" if moved.direction > 0 else "lower"
    text = f"can't {verb} {moved.load}: {moved.text}"
    if moved.at and moved.at not in moved.text:
        text += f" (at {moved.at})"
    repair = _MEND.get(moved.kind, "").format(at=moved.at or moved.load)
    if moved.kind in ("loose", "falls") and moved.at in ctx.rig.loads and moved.at != moved.load:
        repair = _other_load(ctx, moved.at)
    in_the_way = _in_the_way(ctx, moved) if moved.kind in ("stuck", "loose") else None
    if in_the_way is not None:
        text, repair = f"{text}; {in_the_way[0]}", in_the_way[1]
    code = "cannot-haul" if moved.direction > 0 else "cannot-lower"
    return Finding("stop", code, text, moved.line, repair, moved.at)


def _other_load(ctx: Context, name: str) -> str:
    """What would keep a load in place that hangs together with the one that is moved."""
    node = ctx.x.assembly.node
    for rope in ctx.rig.ropes.values():
        last = rope.run[-1]
        if last.verb == "hand" and any(c.target and node[c.target] == node[name] for c in rope.run[:-1]):
            return (
                f"{name} hangs on {rope.name} in the hand of {last.target}, which this motion does not keep "
                f"still: before it, lock off what holds {rope.name}, and say so: `state: locked-off`"
            )
    return f"look at {name}: give it something that holds it while the hands move rope"


def _in_the_way(ctx: Context, moved: CannotMove) -> tuple[str, str] | None:
    """What stands locked off on a rope that a hand pulls, or bites there while it should pay out, and what to
    do about it; None if nothing does.
    """
    biting: tuple[str, str] | None = None
    for rope in ctx.rig.ropes.values():
        if rope.run[-1].verb != "hand":
            continue
        for contact in rope.run:
            item = ctx.rig.gear.get(contact.target or "")
            if item is None or contact.verb not in ("grip", "through"):
                continue
            holding = ctx.catalogue[item.type].holding
            if item.state == "locked-off" and holding.locks_off:
                return (
                    f"{item.name} is locked off",
                    f"undo {item.name} first, and say so: `state: in-hand`",
                )
            bites = (holding.bites or holding.one_way) and contact.verb == "grip" and not contact.slack
            if bites and moved.direction < 0 and biting is None:
                biting = (
                    f"{item.name} grips {rope.name} in the way",
                    f"take {item.name} off, or open it, before the lowering",
                )
    return biting


def _strokes(ctx: Context, moved: Moved) -> Iterator[Finding]:
    found = strokes(ctx.x, moved)
    if found.follows:
        text = f"{found.follows} has to be moved along its rope by hand all the way: where it stays it holds"
        yield Finding("note", "back-up-follows", text, 0, "", found.follows)
    if found.meets is None:
        return
    asked = ctx.rig.haul if moved.direction > 0 else ctx.rig.lower
    line = asked.line if asked else 0
    if found.resets is None:
        text, repair = _no_further(ctx, moved, found)
        yield Finding("stop", "cannot-reach", text, line, repair, moved.load)
        return
    a, b = found.meets
    text = f"one stroke of the haul is {ctx.length(found.reach)} of {ctx.length(found.asked)}: "
    if moved.direction < 0:
        text = text.replace("haul", "lowering")
    text += f"then {a} and {b} meet"
    holds = ctx.x.hands_off is not None and ctx.x.hands_off.verdict(moved.load) == "held"
    if not holds:
        text += f"; while {found.grab} is reset nothing holds {moved.load}"
        repair = "put in a device or grab that keeps each gain"
        yield Finding("stop", "cannot-reset", text, line, repair, found.grab)
        return
    times = "once" if found.resets == 1 else f"{found.resets} times"
    text += f"; {found.grab} has to be reset {times}"
    yield Finding("note", "resets-needed", text, line, "", found.grab)


def _no_further(ctx: Context, moved: Moved, found: Strokes) -> tuple[str, str]:
    """What ends a way that is too short for what was asked, and what would mend it."""
    verb = "haul" if moved.direction > 0 else "lowering"
    a, b = found.meets or ("", "")
    reach = ctx.length(found.reach)
    ends = f"the {verb} ends after {reach} of {ctx.length(found.asked)}"
    less = f"ask for {reach} or less"
    if found.ends == "top":
        return (
            f"{ends}, however often the gear is reset: {a} is then as high as its rope goes, at {b}",
            f"{less}, or put {b} higher",
        )
    if found.ends == "ground":
        return f"{ends}: then {a} stands on {b}", f"{less}, or draw {b} where the ground is"
    if found.ends == "lost":
        return (
            f"{ends}: the model finds no further way from there, so nothing is known of the rest",
            f"{less}, and check the rest as a rig of its own, drawn from there",
        )
    if found.tight:
        return (
            f"{ends}: then the rope from {a} to {b} comes tight",
            "give that rope more slack, or a hand that pays it out",
        )
    return (
        f"one stroke of the {verb} is {reach} of {ctx.length(found.asked)}: then {a} and {b} meet, and "
        f"nothing there can be reset",
        f"{less}, or give {a} and {b} more room",
    )


def _tended(ctx: Context, moved: Moved) -> Iterator[Finding]:
    """Slack ropes at the load that have to be paid out or taken in beside the motion, each by what holds on
    it.
    """
    told = strokes(ctx.x, moved).follows
    node, tension = moved.assembly.node, moved.motion.frictionless.tension[:, 0]
    taut = {moved.assembly.strand_ends(int(k))[0].rope for k in np.flatnonzero(tension > TAUT)}
    for name, more in grown(ctx.x, moved).items():
        rope = ctx.rig.ropes[name]
        meets = any(c.target and node[c.target] == node[moved.load] for c in rope.run)
        if abs(more) < TENDED or not meets or name in taut or not any(c.slack for c in rope.run):
            continue
        catches = next((c for c in reversed(rope.run) if _catches(ctx, c)), None)
        part = name if catches is None else catches.target or name
        if part == told or (catches is None and more > 0):
            continue
        far = ctx.length(abs(more))
        if catches is None:
            text = f"{name} gets {far} more slack on the way: whoever drops then drops that much further"
            repair = "tie it shorter on the way, or lead it through a device that takes it in"
            most = ctx.policy.number("most-drop")
            hangs = any(load.name == moved.load for load in ctx.people)
            level: Level = "stop" if hangs and most is not None and -more > most else "caution"
            yield Finding(level, "back-up-follows", text, rope.line, repair, part)
            continue
        if _follows(ctx, part):
            continue
        line = catches.line
        if more > 0:
            text = f"{far} of {name} has to go out at {part} by hand on the way: where it stays it holds"
        else:
            text = f"{far} of {name} has to come in at {part} by hand on the way: what stays out is slack"
        yield Finding("note", "back-up-follows", text, line, "", part)


def _catches(ctx: Context, contact: Contact) -> bool:
    item = ctx.rig.gear.get(contact.target or "")
    return item is not None and ctx.catalogue[item.type].family in ("grab", "device")


def _follows(ctx: Context, part: str) -> bool:
    """Whether a back-up runs along its rope by itself."""
    return ctx.catalogue[ctx.rig.gear[part].type].holding.follows


def _counted_apart(ctx: Context, moved: Moved) -> Iterator[Finding]:
    """A count that the real geometry does not bear out."""
    ratio = ctx.x.boards[moved.direction].trace.counted.ratio
    if moved.direction < 0 or ratio is None or abs(float(ratio) / moved.ideal - 1.0) <= APART:
        return
    text = (
        f"the ropes do not run alike: counted {ratio.numerator}:{ratio.denominator} as if parallel, "
        f"{moved.ideal:.2f} as they lie"
    )
    repair = "lead the pull in line with the haul, for instance through a change of direction"
    yield Finding("caution", "counted-apart", text, 0, repair, moved.load)


def _samples(moved: Moved) -> Iterator[Finding]:
    if moved.unsolved_samples:
        total = moved.unsolved_samples + moved.samples.hand.size
        state = in_state("hauling" if moved.direction > 0 else "lowering")
        text = (
            f"{moved.unsolved_samples} of {total} samples of the uncertain figures have no answer {state}; "
            f"the ranges leave them out"
        )
        repair = "narrow the widest ranges by measuring"
        yield Finding("caution", "samples-unsolved", text, 0, repair, moved.load)


def _unbounded(ctx: Context) -> Iterator[Finding]:
    if ctx.x.rest is None:
        return
    for k in np.flatnonzero(~np.isfinite(ctx.x.rest.high)):
        start, end = ctx.x.rest.assembly.strand_ends(int(k))
        ends = [w.contact.target or "the tail" for w in (start, end)]
        text = (
            f"at rest {start.rope} from {ends[0]} to {ends[1]} can hold any tension that was pulled into "
            f"it: the load does not bound it"
        )
        yield Finding("note", "rest-unbounded", text, start.contact.line, "", start.rope)
