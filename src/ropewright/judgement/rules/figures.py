"""Figures that nobody knows, and figures that are planning assumptions."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.judgement.drags import GUESS
from ropewright.judgement.figures import Used
from ropewright.judgement.rules.base import Context, Finding

__all__ = ["find"]

_DECIDES = ("efficiency", "ratio", "friction")
"""Figures without which no force can be relied on; the others only shift it a little."""

_UNNAMED_EDGE = ""


def find(ctx: Context) -> Iterator[Finding]:
    """One question for each figure that is not known, one note that lists the assumptions."""
    seen: set[str] = set()
    for used in ctx.x.figures:
        if used.value is None and used.name not in seen:
            seen.add(used.name)
            yield from _guess(ctx, used)
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
