"""Figures that nobody knows, planning assumptions, and figures that count for more than was meant."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.judgement.drags import GUESS
from ropewright.judgement.figures import Used
from ropewright.judgement.rules.base import Context, Finding
from ropewright.rig.faults import listed
from ropewright.rig.stated_of import Shared, shared_figures

__all__ = ["find"]

_DECIDES = ("efficiency", "ratio", "friction")
"""Figures without which no force can be relied on; the others only shift it a little."""

_UNNAMED_EDGE = ""


def find(ctx: Context) -> Iterator[Finding]:
    """One question for each figure that is not known, one caution for each that is stated of a part and of a
    type at once, one note that lists the assumptions.
    """
    seen: set[str] = set()
    for used in ctx.x.figures:
        if used.value is None and used.name not in seen:
            seen.add(used.name)
            yield from _guess(ctx, used)
    for shared in shared_figures(ctx.rig, ctx.catalogue):
        yield _shared(shared)
    assumed = sorted({u.name for u in ctx.x.figures if u.confidence == "A" and u.value is not None})
    if assumed:
        text = f"planning assumptions without a published source: {', '.join(assumed)}"
        yield Finding("note", "assumptions", text, 0, "put your own measured figures under `assume:`")


def _guess(ctx: Context, used: Used) -> Iterator[Finding]:
    line = next((p.line for p in ctx.rig.parts() if p.name == used.part), 0)
    if used.by == _UNNAMED_EDGE:
        return  # an edge of unknown surface has a question of its own
    repair = f"measure it or read the label, and state it under `assume: {used.by}: {used.key}`"
    if used.key in GUESS:
        text = f"{used.name} is not known; {GUESS[used.key]:g} stands in for it"
        if used.key == "stiffness":
            text = f"{used.name} is not known; {ctx.force(GUESS[used.key])} stands in for it"
        yield Finding("question", "figure-guessed", text, line, repair, used.by, used.key in _DECIDES)
    elif used.key == "mass" and used.by in ctx.catalogue:
        text = f"{used.name} is not known, and is left out of the weight"
        yield Finding("question", "figure-guessed", text, line, repair, used.by)


def _shared(shared: Shared) -> Finding:
    name, others = shared.name, shared.others
    more = f" and {len(others) - 8} more" if len(others) > 8 else ""
    text = (
        f"{name} is a part and a type: what is stated under `assume: {name}` counts for {name} "
        f"and for {listed(others[:8]) if not more else ', '.join(others[:8]) + more}"
    )
    repair = "give the part a name that no type has, and state under `assume` whom each figure is meant for"
    return Finding("caution", "figure-shared", text, shared.line, repair, name)
