"""What can't be moved as asked, how many strokes it takes, and where the model found no answer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from ropewright.judgement.moved import CannotMove, Moved
from ropewright.judgement.rules.base import Context, Finding, in_state
from ropewright.judgement.strokes import strokes

__all__ = ["find"]

_MEND: Mapping[str, str] = {
    "no-hand": "end the run that is to be pulled with `hand` and who pulls there",
    "falls": "give {at} something that holds it while the hands move rope",
    "stuck": "look at what holds at {at}: a grab or device there stops the rope, or a rope is laid too short",
    "loose": "look at {at}: a grab there may face the wrong way, or grip nothing that leads to the load",
    "unsolved": "check the coordinates around {at}, and that no rope is laid shorter than it has to reach",
}


def find(ctx: Context) -> Iterator[Finding]:
    """Motions that can't be, strokes, samples and rest bounds without an answer."""
    for moved in (ctx.x.haul, ctx.x.lower):
        if isinstance(moved, CannotMove):
            verb = "haul" if moved.direction > 0 else "lower"
            text = f"can't {verb} {moved.load}: {moved.text}"
            if moved.at and moved.at not in moved.text:
                text += f" (at {moved.at})"
            repair = _MEND.get(moved.kind, "").format(at=moved.at or moved.load)
            code = "cannot-haul" if moved.direction > 0 else "cannot-lower"
            yield Finding("stop", code, text, moved.line, repair, moved.at)
        elif moved is not None:
            yield from _strokes(ctx, moved)
            yield from _samples(moved)
    yield from _unbounded(ctx)


def _strokes(ctx: Context, moved: Moved) -> Iterator[Finding]:
    found = strokes(ctx.x, moved)
    if found.follows:
        text = f"{found.follows} has to be moved along its rope by hand all the way: where it stays it holds"
        yield Finding("note", "back-up-follows", text, 0, "", found.follows)
    if found.meets is None:
        return
    asked = ctx.rig.haul if moved.direction > 0 else ctx.rig.lower
    line = asked.line if asked else 0
    verb = "haul" if moved.direction > 0 else "lowering"
    a, b = found.meets
    of = f"{ctx.length(found.reach)} of {ctx.length(found.asked)}"
    text = f"one stroke of the {verb} is {of}: then {a} and {b} meet"
    if found.resets is None:
        text += ", and nothing there can be reset"
        repair = f"ask for {ctx.length(found.reach)} or less, or give {a} and {b} more room"
        if found.tight:
            text = f"the {verb} ends after {of}: then the rope from {a} to {b} comes tight"
            repair = "give that rope more slack, or a hand that pays it out"
        yield Finding("stop", "cannot-reach", text, line, repair, moved.load)
        return
    holds = ctx.x.hands_off is not None and ctx.x.hands_off.verdict(moved.load) == "held"
    if not holds:
        text += f"; while {found.grab} is reset nothing holds {moved.load}"
        repair = "put in a device or grab that keeps each gain"
        yield Finding("stop", "cannot-reset", text, line, repair, found.grab)
        return
    times = "once" if found.resets == 1 else f"{found.resets} times"
    text += f"; {found.grab} has to be reset {times}"
    yield Finding("note", "resets-needed", text, line, "", found.grab)


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
