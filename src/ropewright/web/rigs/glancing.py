"""A rig at a glance, worked out in a blink: central figures from few samples, and what is found without
asking what follows a failure.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from ropewright.effort import own_pull
from ropewright.errors import RopewrightError
from ropewright.judgement.alike import grouped, words_of_all
from ropewright.judgement.board import board
from ropewright.judgement.examine import Examination, examine
from ropewright.judgement.findings import findings, within_policy
from ropewright.judgement.geometry import Redirect
from ropewright.judgement.moved import CannotMove, Moved
from ropewright.judgement.own_rules import said_of
from ropewright.judgement.rules import Context, hands_of, pull_of, team_pull_of
from ropewright.judgement.rules.holding import stands_there
from ropewright.quantity import show_force, show_length
from ropewright.rig import Rig
from ropewright.web.policy.now import rules_now
from ropewright.web.workings.engine import catalogue

__all__ = ["Found", "Glance", "Row", "glance_at", "quick_look", "side_by_side"]

SAMPLES = 16
"""Enough that the engine takes them for samples; the doubt that they give is not shown."""

LEAST_ANGLE = 1.0
"""Degrees below which two strands at a place are told as parallel: no angle stands in the table."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure: what it is of, its value (for telling which way it went), and its words."""

    what: str
    value: float | None
    shown: str
    key: str = ""


@dataclass(frozen=True, slots=True)
class Found:
    """Something found, and what would mend it; of how many findings, where they are told in one sentence."""

    level: str
    text: str
    repair: str
    many: int = 1


@dataclass(frozen=True)
class Glance:
    """What a rig comes to, figure by figure; ``trouble`` where it can't be worked out at all.

    ``found``: stops, open questions and cautions, gravest first, of what is asked so quickly. ``outside``:
    one of them keeps it outside policy already; otherwise nothing is known of the verdict.
    """

    figures: tuple[Figure, ...] = ()
    trouble: str = ""
    wrong: tuple[str, ...] = field(default=())
    found: tuple[Found, ...] = ()
    outside: bool = False
    own: Mapping[str, str] = field(default_factory=dict)

    @property
    def stops(self) -> int:
        """How many findings say stop."""
        return sum(each.many for each in self.found if each.level == "stop")

    @property
    def cautions(self) -> int:
        """How many findings say caution, as they are listed."""
        return sum(each.level == "caution" for each in self.found)

    @property
    def questions(self) -> int:
        """How many questions are open."""
        return sum(each.many for each in self.found if each.level == "question")


@dataclass(frozen=True, slots=True)
class Row:
    """A figure as the rig is saved and as it would be; ``change`` in words, "" where nothing changes."""

    what: str
    saved: str
    now: str
    change: str


def quick_look(rig: Rig) -> Examination:
    """Ask the model what a glance shows: no failure, no end of a stroke. Errors: RopewrightError."""
    return examine(rig, catalogue(), SAMPLES, postponed=True, to_the_end=False)


def glance_at(rig: Rig, examination: Examination | None = None) -> Glance:
    """The figures of a rig that a glance shows."""
    try:
        x = examination or quick_look(rig)
    except RopewrightError as error:
        return Glance(trouble=str(error))
    ctx = Context(x, rules_now().units)
    figures = list[Figure]()
    wrong = list[str]()
    for moved in (x.haul, x.lower):
        if isinstance(moved, CannotMove):
            verb = "hauled" if moved.direction > 0 else "lowered"
            wrong.append(f"{moved.load} can't be {verb}: {moved.text}")
        elif moved is not None:
            figures += _motion(ctx, moved)
    figures += _loads(ctx) + _angles(ctx)
    for outcome in x.hands_off.outcomes if x.hands_off else ():
        held = outcome.verdict == "held"
        shown = "held" if held else "stands on the ground" if stands_there(outcome) else outcome.verdict
        figures.append(Figure(f"every hand off: {outcome.load}", float(held), shown, f"off.{outcome.load}"))
    first = findings(x, ctx.units, first=True)
    found = tuple(
        Found(alike[0].level, words_of_all(alike), alike[0].repair, len(alike))
        for alike in grouped(f for f in first if f.level != "note")
    )
    own = said_of(rig, ctx.units)
    return Glance(tuple(figures), "", tuple(wrong), found, not within_policy(first), own)


def _motion(ctx: Context, moved: Moved) -> list[Figure]:
    units, up = ctx.units, moved.direction > 0
    verb, key = ("hauling", "haul") if up else ("lowering", "lower")
    hand = moved.hand_force.likely
    out = [
        Figure(
            f"{verb}: {'hand force' if up else 'hold at the hand'}",
            hand,
            show_force(hand, units),
            f"{key}.hand",
        ),
        Figure(f"{verb}: counted", None, board(moved).counted or "no count", f"{key}.counted"),
        Figure(f"{verb}: without friction", moved.ideal, f"{moved.ideal:.2f}", f"{key}.ideal"),
        Figure(f"{verb}: with friction", moved.actual.likely, f"{moved.actual.likely:.2f}", f"{key}.actual"),
        Figure(
            f"{verb}: rope for each metre of load",
            moved.rope_per_metre,
            show_length(moved.rope_per_metre, units),
            f"{key}.rope",
        ),
    ]
    for name in dict.fromkeys(hands_of(moved)):
        _, people, together = pull_of(ctx, name)
        each = hand / max(people, 1)
        enough = "enough" if together >= hand else "too few"
        if team_pull_of(ctx, name) < hand <= together:
            enough = "enough as stated, too few by the team's figure"
        if name in ctx.rig.loads:
            enough = _on_his_own(ctx.rig.loads[name].mass.likely, hand)
        shown = f"{show_force(each, units)}, {enough}" if up else show_force(each, units)
        out.append(
            Figure(
                f"{verb}: each of {people} at {name}" if people > 1 else f"{verb}: at {name}",
                each,
                shown,
                f"{key}.each.{name}",
            )
        )
    return out


def _on_his_own(mass: float, hand: float) -> str:
    """How long somebody who pulls on his own rope is counted on for that."""
    minutes, few_pulls = own_pull(mass)
    if hand <= minutes:
        return "enough over some minutes"
    return "enough for a few pulls, not over minutes" if hand <= few_pulls else "too much"


def _loads(ctx: Context) -> list[Figure]:
    """What each anchor takes, and the part that is nearest to what is asked of it."""
    out = [
        Figure(f"on {part.part}", part.load.likely, ctx.force(part.load.likely), f"anchor.{part.part}")
        for part in ctx.x.parts
        if part.kind == "anchor" and part.load.likely >= 1.0
    ]
    known = [(part.factor / ctx.asked(part.part), part) for part in ctx.x.parts if part.factor is not None]
    if known:
        share, worst = min(known, key=lambda each: each[0])
        shown = f"{worst.part}: factor {worst.factor:.3g}, asked {ctx.asked(worst.part):.3g}"
        out.append(Figure("least margin, nothing failed", share, shown, "margin"))
    return out


def _angles(ctx: Context) -> list[Figure]:
    """The angles between strands at redirects and between the legs of anchors."""
    out = dict[str, Figure]()
    for case in ctx.moving or ctx.still[:1]:
        turns = dict[tuple[float, ...], list[Redirect]]()
        for turn in case.redirects:
            turns.setdefault((turn.angle, *turn.tensions), []).append(turn)  # the parts of one place together
        for alike in turns.values():
            if math.degrees(alike[0].angle) >= LEAST_ANGLE:
                names = ", ".join(turn.part for turn in alike)
                out.setdefault(f"turn.{names}", _angle(f"angle at {names}", alike[0].angle, f"turn.{names}"))
        for meeting in case.legs:
            key = f"legs.{meeting.at}"
            out.setdefault(key, _angle(f"widest angle of the legs at {meeting.at}", meeting.widest[0], key))
    return list(out.values())


def _angle(what: str, radians: float, key: str) -> Figure:
    degrees = math.degrees(radians)
    return Figure(what, degrees, f"{degrees:.0f}°", key)


def side_by_side(saved: Glance, now: Glance) -> list[Row]:
    """Every figure of either, in the order of what would be."""
    before = {figure.key: figure for figure in saved.figures}
    rows = []
    for figure in now.figures:
        old = before.pop(figure.key, None)
        rows.append(Row(figure.what, old.shown if old else "–", figure.shown, _change(old, figure)))
    rows += [Row(figure.what, figure.shown, "–", "gone") for figure in before.values()]
    return rows


def _change(old: Figure | None, new: Figure) -> str:
    if old is None:
        return "new"
    if old.shown == new.shown:
        return ""
    if old.value is None or new.value is None or abs(old.value) < 1e-9:
        return "changed"
    share = 100 * (new.value / old.value - 1)
    return f"{share:+.0f} %" if abs(share) >= 0.5 and abs(share) < 1000 else "changed"
