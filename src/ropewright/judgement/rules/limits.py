"""The whole rig's limit: less than the load itself, or not found; in words for every page."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ropewright.judgement.examine import Ultimate
from ropewright.judgement.rules.base import LOADED, Context, Finding, ratio
from ropewright.rig import Load

__all__ = ["find", "limit_words"]

_HOW = {
    "part": "it would break or open",
    "slip": "no break",
    "hand": "no break, but more than is counted on",
    "friction": "a slide, no break",
}


def find(ctx: Context) -> Iterator[Finding]:
    """A rig that can't bear its own load at rest, and one of which nobody knows."""
    load = next(iter(ctx.rig.loads.values()), None)
    if ctx.first or ctx.x.standing is None or load is None:
        return  # that nothing holds it, or that it has no rest, is said
    most = ctx.x.limit
    if most is None:
        text = "the limit programme ended without an answer: how much more the whole rig bears is NOT FOUND"
        repair = "look for ropes laid too short and for slack gear drawn where it can't stay"
        yield Finding("question", "limit-not-found", text, load.line, repair, load.name, True)
    elif most.multiple < 1.0 and not _hands_told(ctx, most):
        yield _gives_way(most, load)


def _hands_told(ctx: Context, most: Ultimate) -> bool:
    """Whether a finding on the hands says the same with its figures."""
    return most.kind == "hand" and ctx.x.over_asked is not None and ctx.x.over_asked.friction == "likely"


def _gives_way(most: Ultimate, load: Load) -> Finding:
    hands = "with every hand off" if most.hands_off else "with the hands holding what they can"
    text = (
        f"the rig can't bear its own load at rest: at {ratio(most.multiple)} times the load "
        f"{most.first or 'friction gives out'} comes first, {hands}"
    )
    repair = "look at what comes first: put in something that holds more, or lighten the load"
    return Finding("stop", "gives-way", text, load.line, repair, most.first or load.name)


def limit_words(ctx: Context) -> str:
    """The limit in a sentence, a slip told from a break; `NOT FOUND` where there is no answer."""
    most = ctx.x.limit
    if most is None:
        why = "the limit programme ended without an answer" if ctx.x.standing else "the rig has no rest"
        return f"NOT FOUND: {why}"
    if not math.isfinite(most.multiple):
        return "no known strength ends it"
    first = most.first or "friction gives out"
    first += "" if most.kind in ("slip", "friction") else " comes first"
    hands = "hands off" if most.hands_off else "hands holding what they can"
    text = f"at {ratio(most.multiple)} times the load {first} ({hands}): {_HOW[most.kind]}"
    if any(p.strength is None and ctx.carried(p)[0] >= LOADED for p in ctx.x.parts):
        text += "; parts of unknown strength are not in it"
    return text
