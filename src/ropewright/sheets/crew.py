"""Who can work a rig, in short: haulers at best case and sustained, or a share of the climber's weight."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.effort import (
    Ask,
    Crew,
    Prepared,
    answer,
    haulers,
    load_profiles,
    prepare,
)
from ropewright.effort.crew import EXACT
from ropewright.judgement.moved import Moved
from ropewright.judgement.rules import Context
from ropewright.quantity import Range

from .model import Line, Section
from .words import counted

__all__ = ["prepared_of", "who"]


def prepared_of(ctx: Context) -> Prepared:
    """What the examination has already moved, ready to be asked about people."""
    x = ctx.x
    if any(not load.mass.is_single for load in ctx.rig.loads.values()):
        return prepare(ctx.rig, ctx.catalogue)  # a mass with doubt is asked about at its likely figure
    return Prepared(ctx.rig, ctx.catalogue, ctx.policy, x.assembly, x.haul, x.lower, x.components)


def who(ctx: Context) -> Section | None:
    """For each motion who can make it; None for a rig that moves nothing."""
    if not ctx.motions or not ctx.rig.loads:
        return None
    found = answer(prepared_of(ctx), units=ctx.units)
    asks = {ask.direction: ask for outlook in found.outlooks for ask in outlook.asks}
    lines = list[Line]()
    for moved in ctx.motions:
        ask = asks.get(moved.direction)
        if ask is not None and moved.direction > 0:
            lines += _hauling(ctx, moved, ask)
    if found.crew is not None and found.crew.count and isinstance(ctx.x.haul, Moved):
        lines.append(_crew(ctx, ctx.x.haul, found.crew))
    lines += [
        Line(text, "", "", True)
        for o in found.outlooks
        for text in o.reasons
        if o.verdict == "equipment limit"
    ]
    return Section("who", "Who can work it (never the safety officer)", tuple(lines)) if lines else None


def _crew(ctx: Context, moved: Moved, crew: Crew) -> Line:
    """Whether the people that the file puts at the rope are enough, by what each is counted on for."""
    low, high = moved.hand_force.low * moved.hands, moved.hand_force.high * moved.hands
    lead = f"{counted(crew.count, 'hauler')} {crew.said}:"
    each = ctx.force(crew.each)
    if crew.best * (1 + EXACT) < low:
        how = "sustained" if crew.team is None else "as stated"
        return Line(f"TOO FEW, even at best case; {how} they give {each} each", lead, "", True)
    if crew.team is not None:
        return _as_stated(ctx, high, crew, lead)
    if crew.sustained * (1 + EXACT) >= high:
        return Line(f"enough, at the sustained figure, {each} each", lead)
    text = f"enough at best case only; sustained, {each} each, they are not surely enough"
    return Line(text, lead, "", crew.sustained * (1 + EXACT) < moved.hand_force.likely * moved.hands)


def _as_stated(ctx: Context, high: float, crew: Crew, lead: str) -> Line:
    """The same where the file counts on them for more than the team does: both are said."""
    stated, theirs = ctx.force(crew.each), ctx.force(crew.team_each or 0.0)
    by_team_too = (crew.team or 0.0) * (1 + EXACT) >= high
    own = "enough" if crew.sustained * (1 + EXACT) >= high else "not surely enough"
    by_team = "enough too" if by_team_too else "NOT surely enough"
    text = (
        f"{own} as stated, {stated} each, looser than the team's; by the team's sustained {theirs} {by_team}"
    )
    return Line(text, lead, "", not by_team_too)


def _hauling(ctx: Context, moved: Moved, ask: Ask) -> Iterator[Line]:
    if ask.share is not None:
        share = load_profiles()["self-haul-share"].value
        weight = moved.hand_force.likely / ask.share.likely if ask.share.likely else 0.0
        own = Range(
            *(f / weight for f in (moved.hand_force.low, moved.hand_force.likely, moved.hand_force.high))
        )
        text = f"{_percent(own)} of body weight; counted on are {_percent(share)} (planning assumption)"
        yield Line(text, f"{moved.load} pulls")
    else:
        each = [profile.value.likely for profile in map(load_profiles().__getitem__, _EACH)]
        for newtons, word in zip(each, ("best case", "sustained"), strict=True):
            need = haulers(moved.hand_force, moved.hands, newtons)
            ends = f" ({need.low}–{need.high})" if need.low != need.high else ""
            yield Line(f"{need.likely}{ends} of {ctx.force(newtons)} each", f"haulers, {word}:")
    if ask.pulls is not None and ask.time is not None:
        text = f"{ask.pulls.low:.0f}–{ask.pulls.high:.0f} pulls, at the very least"
        yield Line(f"{text} {_time(ask.time.low)} (by energy alone)")


_EACH = ("hauler-best-case", "hauler-sustained")


def _percent(share: Range) -> str:
    low, high = round(100 * share.low), round(100 * share.high)
    text = f"{low}–{high} %" if low != high else f"{low} %"
    return text if low == high else f"{text} (likely {100 * share.likely:.0f})"


def _time(seconds: float) -> str:
    return f"{max(1, round(seconds))} s" if seconds < 90 else f"{seconds / 60:.0f} min"
