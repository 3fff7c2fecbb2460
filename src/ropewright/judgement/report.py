"""An examination as one plain JSON object: newtons, metres, finite numbers."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from ropewright import __version__
from ropewright.catalogue import CONFIDENCE, FIGURES
from ropewright.quantity import Range, Units
from ropewright.rig import Motion

from .assemble import Assembly
from .board import Board
from .chains import Holding
from .examine import Examination, Failure
from .figures import Used
from .findings import findings, within_policy
from .lengths import rope_needs
from .letting_go import Outcome
from .loads import borne, pulls
from .moved import CannotMove, Moved, spread
from .parts import PartLoad
from .rules import LOADED, UNBROKEN, Context, Finding, hands_of, near_ground, pull_of, touches, words_of
from .sliding import slips
from .strokes import strokes
from .trace import render

__all__ = ["figures_used", "report"]

DIGITS = 6
"""Significant digits of a figure: far below what any input deserves, and the same on every machine."""

NOTHING = 1e-6
"""Force [N] below which a point has no direction to speak of."""

Data = dict[str, Any]


def report(examination: Examination, units: Units = "both", found: tuple[Finding, ...] | None = None) -> Data:
    """Everything that was found, as JSON takes it: forces [N], lengths [m], angles in words.

    ``units``: how figures are worded inside the texts. ``found``: the findings, where they are at hand.
    """
    x = examination
    found = findings(x, units) if found is None else found
    context = Context(x, units)
    return {
        "rig": x.rig.rig,
        "about": x.rig.about,
        "haul": _motion(context, x.haul, x.rig.haul),
        "lower": _motion(context, x.lower, x.rig.lower),
        "rest": _rest(x),
        "parts": [_part(context, part) for part in x.parts],
        "holding": _holding(x),
        "chains": [_chains(context, held) for held in x.holdings],
        "limit": _limit(x),
        "ropes": [
            {
                "rope": need.rope,
                "length_m": need.has and _number(need.has),
                "laid_m": _number(need.laid),
                "runs_m": _number(need.runs),
                "paid_out_m": _number(need.paid),
                "reserve_m": _number(need.reserve),
                "ends_m": _number(need.ends),
                "needed_m": _number(need.needed),
            }
            for need in rope_needs(x)
        ],
        "edges": [
            {
                "what": what,
                "edge": place.name,
                "surface": place.surface,
                "protection": place.protection,
                "line": line,
            }
            for what, place, line in touches(context)
        ],
        "findings": [
            {
                "level": f.level,
                "code": f.code,
                "line": f.line,
                "text": f.text,
                "part": f.part,
                "repair": f.repair,
            }
            for f in found
        ],
        "open_questions": [f.text for f in found if f.level == "question"],
        "within_policy": within_policy(found),
        "except_near_ground": [
            {
                "load": near.load,
                "below_m": _number(near.height),
                "where": "begins" if near.begins else "ends",
                "if_fails": list(near.parts),
                "text": words_of(context, near, within_policy(found)),
            }
            for near in near_ground(context)
        ],
        "policy": _policy(x),
        "assumptions": [_assumption(x, used) for used in figures_used(x)],
        "units": {"force": "N", "length": "m", "mass": "kg"},
        "version": __version__,
    }


def _number(value: float) -> float | None:
    """A figure of few digits; None where it is no finite number."""
    if not math.isfinite(value):
        return None
    return float(f"{value:.{DIGITS}g}") + 0.0  # no minus zero


def _range(value: Range) -> Data:
    return {"low": _number(value.low), "likely": _number(value.likely), "high": _number(value.high)}


# --- motion


def _motion(ctx: Context, moved: Moved | CannotMove | None, asked: Motion | None) -> Data | None:
    if moved is None or asked is None:
        return None
    if isinstance(moved, CannotMove):
        return {
            "load": moved.load,
            "distance_m": _number(asked.distance),
            "counted": None,
            "ideal": None,
            "actual": None,
            "hand_force_N": None,
            "rope_per_metre": None,
            "tensions": [],
            "points": {},
            "cannot": {"kind": moved.kind, "text": moved.text, "at": moved.at, "line": moved.line},
        }
    written = ctx.x.boards[moved.direction]
    return {
        "load": moved.load,
        "distance_m": _number(asked.distance),
        **_counts(written),
        "ideal": _number(moved.ideal),
        "actual": _range(moved.actual),
        "weight_N": _number(moved.weight),
        "hand_force_N": _range(moved.hand_force),
        "hands": [_hand(ctx, name) for name in hands_of(moved)],
        "rope_per_metre": _number(moved.rope_per_metre),
        "tensions": [
            {**_ends(moved.assembly, k), "N": _range(moved.tension(k))}
            for k in range(len(moved.pulls.tension))
        ],
        "points": _points(moved),
        "travel": _travel(ctx.x, moved),
        "importance": [{"input": name, "share": _number(share)} for name, share in moved.matters],
        "unsolved_samples": moved.unsolved_samples,
        "trace": render(written.trace, ctx.units),
    }


def _counts(written: Board) -> Data:
    kind = written.trace.classified
    return {
        "counted": written.counted,
        "no_count_because": written.trace.counted.why or None,
        "class": kind and {"word": kind.kind, "reason": kind.reason},
        "counted_variants": {"climber": written.variants.climber, "ground": written.variants.ground},
    }


def _hand(ctx: Context, name: str) -> Data:
    each, people, together = pull_of(ctx, name)
    return {
        "at": name,
        "people": people,
        "counted_on_each_N": _number(each),
        "counted_on_together_N": _number(together),
    }


def _ends(assembly: Assembly, strand: int) -> Data:
    start, end = assembly.strand_ends(strand)
    return {
        "rope": start.rope,
        "from": start.contact.target or "tail",
        "to": end.contact.target or "tail",
    }


def _points(moved: Moved) -> Data:
    """The force on every part: its size with doubt, its direction at the central figures."""
    sampled = borne(moved.assembly, pulls(moved.assembly, moved.samples.position, moved.samples.tension))
    out = {}
    for name, force in moved.borne.items():
        size = float(np.linalg.norm(force[:, 0]))
        sizes = np.linalg.norm(sampled[name], axis=0)
        direction = None if size < NOTHING else [_number(round(float(c) / size, 4)) for c in force[:, 0]]
        out[name] = {"N": _range(spread(sizes, size)), "direction": direction}
    return out


def _travel(x: Examination, moved: Moved) -> Data:
    found = strokes(x, moved)
    return {
        "asked_m": _number(found.asked),
        "reach_m": _number(found.reach),
        "meets": found.meets and list(found.meets),
        "reset": found.grab or None,
        "resets": found.resets,
        "ends_because": found.ends or None,
        "comes_tight": found.tight and not found.follows,
        "moved_along_by_hand": found.follows or None,
        "rope_through_one_hand_m": _number(found.rope),
    }


# --- rest, parts, limit


def _rest(x: Examination) -> Data | None:
    if x.rest is None:
        return None
    return {
        "tensions": [
            {
                **_ends(x.rest.assembly, k),
                "N": {"low": _number(float(x.rest.low[k])), "high": _number(float(x.rest.high[k]))},
            }
            for k in range(len(x.rest.low))
        ]
    }


def _part(ctx: Context, part: PartLoad) -> Data:
    """A part by its largest load, with what its factor was held against then; ``within`` asks the factor with
    nothing failed, and that it bears what comes after a failure.
    """
    load, state, now = ctx.carried(part)
    asked = ctx.asked(part.part)
    factor = _factor(part, load)
    within: bool | None = part.factor is None or part.factor >= asked
    within = within and (factor is None or factor >= UNBROKEN)
    if part.strength is None:
        within = False if load >= LOADED else None
    caught, why = ctx.caught.get(part.part, (0.0, ""))
    later, after = ctx.after_failure.get(part.part, (0.0, ""))
    return {
        "part": part.part,
        "kind": part.kind,
        "state": state,
        "load_N": _number(load),
        "load_range_N": _range(part.load if now else Range.exactly(load)),
        "strength_N": None if part.strength is None else _number(part.strength),
        "strength_source": part.source,
        "factor": None if factor is None else _number(factor),
        "required": _number(asked if now else UNBROKEN),
        "within": within,
        "nothing_failed": {**_held_against(part, part.load.likely, asked), "state": part.state},
        "after_a_failure": {**_held_against(part, later, UNBROKEN), "when": after}
        if later >= LOADED
        else None,
        "in_a_catch": {**_held_against(part, caught, UNBROKEN), "if_fails": why}
        if caught >= LOADED
        else None,
        "line": part.line,
    }


def _factor(part: PartLoad, load: float) -> float | None:
    return None if part.strength is None or load < LOADED else part.strength / load


def _held_against(part: PartLoad, load: float, asked: float) -> Data:
    """A load on a part, the factor that it keeps under it, and the factor that is asked of it then."""
    factor = _factor(part, load)
    return {
        "load_N": _number(load),
        "factor": None if factor is None else _number(factor),
        "required": _number(asked),
    }


def _limit(x: Examination) -> Data | None:
    if x.limit is None:
        return None
    most = x.limit
    return {
        "multiple": _number(most.multiple),
        "first": most.first,
        "kind": most.kind,
        "hands_off": most.hands_off,
    }


# --- who is held


def _outcome(outcome: Outcome) -> Data:
    return {
        "load": outcome.load,
        "outcome": outcome.verdict,
        "drop_m": None if outcome.drop is None else _number(round(outcome.drop, 4)),
        "swing_m": _number(round(outcome.swing, 4)),
        "reason": outcome.reason,
        "caught_with_N": None if outcome.peak is None else _range(outcome.peak),
        "lowest_m": None if outcome.lowest is None else _number(round(outcome.lowest, 4)),
    }


def _holding(x: Examination) -> Data:
    off = x.hands_off.outcomes if x.hands_off is not None else ()
    return {
        "hands_off": [_outcome(outcome) for outcome in off],
        "single_failures": [row for failure in x.failures for row in _failure(failure)],
    }


def _failure(failure: Failure) -> Iterator[Data]:
    part = failure.component
    for outcome in failure.after.outcomes:
        weakest, catch = failure.weakest_for(outcome.load), failure.catch_on(outcome.load)
        holds = outcome.verdict == "held" and weakest is not None
        yield {
            "fails": part.label,
            "kind": part.kind,
            "line": part.line,
            **_outcome(outcome),
            "hands_gave_way": outcome.load in failure.after.gave_way,
            "weakest_then": {
                "part": weakest[0],
                "factor": _number(weakest[1]),
                "in_the_catch": _number(weakest[1] / catch) if catch > 1.0 else None,
            }
            if holds and weakest
            else None,
            "may_slip": [
                {"part": slip.part, "from_N": _number(slip.slips_from)}
                for slip in slips(failure, outcome.load)
            ],
        }


def _chains(ctx: Context, held: Holding) -> Data:
    return {
        "load": held.load,
        "chains": [
            {
                "ropes": list(chain.ropes),
                "hands_off": chain.hands_off,
                "components": [part.label for part in chain.components],
            }
            for chain in held.chains
        ],
        "independent": len(held.independent),
        "independent_hands_off": held.hands_off,
        "asked": _number(ctx.policy.number("chains") or 0.0),
        "asked_hands_off": _number(ctx.policy.number("hands-off-chains") or 0.0),
        "shared": list(held.shared),
    }


# --- what it rests on


def _policy(x: Examination) -> Data:
    rules: Mapping[str, Any] = x.policy.rules
    return {
        "name": x.policy.name,
        "told": x.policy.told,
        "rules": [{"rule": key, "value": rule.value, "source": rule.source} for key, rule in rules.items()],
    }


def figures_used(x: Examination) -> list[Used]:
    """The figures without repeats, those of a type once; what a type has no such figure for is left out.

    The rules look up ratings that the examination didn't need, so this is complete once they have run.
    """
    figures = x.assembly.figures
    known = [
        used
        for used in figures.used.values()
        if used.value is not None
        or (used.by in figures.catalogue and used.key in figures.catalogue[used.by].figures)
    ]
    return list({used.name: used for used in known}.values())


def _assumption(x: Examination, used: Used) -> Data:
    catalogue = x.assembly.figures.catalogue
    unit = FIGURES[used.key].unit if used.key in FIGURES else ""
    if used.by in catalogue and used.key in catalogue[used.by].figures:
        unit = catalogue[used.by].key_kind(used.key).unit
    return {
        "figure": used.name,
        "value": None if used.value is None else _range(used.value),
        "unit": unit,
        "source": used.source or None,
        "confidence": CONFIDENCE.get(used.confidence, used.confidence),
        "note": used.note,
    }
