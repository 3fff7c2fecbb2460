"""Grabs and devices against the force at which they slip."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from ropewright.judgement import sliding
from ropewright.judgement.examine import Failure
from ropewright.judgement.lengths import knots, rope_needs
from ropewright.judgement.loads import grip_difference
from ropewright.judgement.parts import ALIKE
from ropewright.judgement.rules.base import Case, Context, Finding, in_state
from ropewright.judgement.sliding import Slip
from ropewright.judgement.spare import laid_to
from ropewright.rig import Contact

__all__ = ["find"]

TAIL = 1.0
"""Rope [m] past a device or grab from which it is not told of: this project's own planning figure."""


def find(ctx: Context) -> Iterator[Finding]:
    """Each contact that has to hold too much by friction, in the state where it is worst; slips not known."""
    worst: dict[tuple[str, int], tuple[float, float, str]] = {}
    for case in (*ctx.moving, *ctx.still):
        for where, asked, slips in _asked(case):
            if asked > worst.get(where, (0.0, 0.0, ""))[0] * (1 + ALIKE):
                worst[where] = (asked, slips, case.state)
    yield from _in_a_catch(ctx)
    yield from _short_tail(ctx)
    margin = ctx.policy.number("slip-margin") or 1.0
    for (rope, index), (asked, slips, state) in worst.items():
        contact = ctx.rig.ropes[rope].run[index]
        name = contact.target or ""
        if math.isinf(slips):
            yield from _unknown(ctx, name, rope, asked, state, contact.line)
        elif asked * margin > slips:
            over = asked > slips
            code = "grab-slips" if over else "slip-margin"
            text = (
                f"{name} has to hold {ctx.force(asked)} on {rope} {in_state(state)} and may slip from "
                f"{ctx.force(slips)}"
            )
            if not over:
                text += f"; the policy asks for {margin:g} times what it holds"
            repair = f"use one that holds {ctx.force(margin * asked)}, or two that share, or lighten the load"
            yield Finding("stop", code, text, contact.line, repair, name)


def _in_a_catch(ctx: Context) -> Iterator[Finding]:
    """Contacts that a catch asks for more than they hold, each where it is asked most."""
    now, later = _hardest(ctx.failures), _hardest(ctx.failures_later)
    for name, (slip, label) in {**later, **now}.items():
        late = "" if name in now else ctx.late
        text = (
            f"{late}if {label} fails, the catch asks up to {ctx.force(slip.asked)} of {name}, which may "
            f"slip from {ctx.force(slip.slips_from)}: the load then slides further than the drop says, at "
            "about that force"
        )
        repair = f"leave less slack, keep clear height below, and read what {name} is made to do in a catch"
        yield Finding("caution", "slips-in-catch", text, slip.line, repair, name)


def _hardest(failures: Iterable[Failure]) -> dict[str, tuple[Slip, str]]:
    """Each contact that may slip in a catch where it is asked most, and what has failed then."""
    worst: dict[str, tuple[Slip, str]] = {}
    for failure in failures:
        for slip in sliding.slips(failure):
            if slip.part not in worst or slip.asked > worst[slip.part][0].asked * (1 + ALIKE):
                worst[slip.part] = (slip, failure.component.label)
    return worst


def _short_tail(ctx: Context) -> Iterator[Finding]:
    """Ropes of which so little is left past the last device or grab that they may slip out of it."""
    for need in rope_needs(ctx.x):
        rope = ctx.rig.ropes[need.rope]
        last = max((k for k, c in enumerate(rope.run) if _slides(ctx, c)), default=-1)
        if last < 0 or need.has is None or rope.run[-1].verb not in ("hand", "tail"):
            continue
        past = need.has - need.grown - knots(ctx.x, rope) - laid_to(ctx.x.assembly, need.rope, last)
        name = rope.run[last].target or ""
        if 0.0 <= past < TAIL:
            text = (
                f"only {ctx.length(past)} of {need.rope} is left past {name}: if it slips, as in a catch, "
                f"the rope may run out of it"
            )
            repair = f"tie a stopper knot in the end of {need.rope}, or use a longer rope"
            yield Finding("caution", "short-tail", text, rope.run[last].line, repair, name)


def _slides(ctx: Context, contact: Contact) -> bool:
    item = ctx.rig.gear.get(contact.target or "")
    return item is not None and ctx.catalogue[item.type].family in ("grab", "device")


def _unknown(ctx: Context, name: str, rope: str, asked: float, state: str, line: int) -> Iterator[Finding]:
    item = ctx.rig.gear[name]
    if "slips" not in ctx.catalogue[item.type].figures:
        return  # made fast: a device locked off that has no such figure
    text = (
        f"nobody has said at what force {name} slips; it holds {ctx.force(asked)} on {rope} {in_state(state)}"
    )
    repair = f"measure it, and state it under `assume: {name}: slips`"
    yield Finding("question", "slip-unknown", text, line, repair, name, True)


def _asked(case: Case) -> Iterator[tuple[tuple[str, int], float, float]]:
    """Contact (rope, index in its run), force to be held by friction [N], slip force [N]."""
    for flat, (wire, contact) in enumerate(
        zip(case.assembly.wires, case.assembly.system.contacts, strict=True)
    ):
        if (
            not case.holds[flat]
            or contact.holds == "none"
            or contact.end
            or wire.contact.verb in ("tie", "hand")
        ):
            continue
        difference = float(grip_difference(case.assembly, case.found, flat)[0])
        asked = {"backward": difference, "forward": -difference}.get(contact.holds, abs(difference))
        if asked > 1.0:
            yield (wire.rope, wire.index), asked, contact.slips
