"""The answers as plain data, in SI units, for JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ropewright.effort.compare import Least
from ropewright.effort.crew import Haulers
from ropewright.effort.outlook import Ask, RigAnswer
from ropewright.effort.profiles import load_profiles
from ropewright.effort.ropes import lanes
from ropewright.judgement.lengths import RopeNeed
from ropewright.quantity import Range

__all__ = ["as_data"]


def as_data(
    named: Sequence[tuple[str, RigAnswer]], least: Least, at_hand: Sequence[float] = ()
) -> dict[str, Any]:
    """Everything about several rigs, each with its file's name; ``at_hand``: lengths [m] of ropes to try."""
    names = {id(each): name for name, each in named}
    return {
        "rigs": [{"file": name, **_rig_data(each, at_hand)} for name, each in named],
        "least": {
            "file": None if least.chosen is None else names[id(least.chosen)],
            "sure": least.sure,
            "does": [names[id(each)] for each in least.does],
            "differs": [
                {
                    "what": difference.what,
                    "unit": "kg" if difference.what == "load" else "m",
                    "figures": [
                        {"value": figure, "files": [names[id(each)] for each in alike]}
                        for figure, alike in difference.each
                    ],
                    "times": difference.times,
                }
                for difference in least.differs
            ],
            "maybe": [o.person.name for o in least.doubtful],
            "fails": [
                {
                    "file": names[id(each)],
                    "people": [{"name": o.person.name, "reasons": o.reasons} for o in failing],
                }
                for each, failing in least.fails
                if failing
            ],
        },
        "figures": {
            p.name: {"value": _range(p.value), "unit": p.unit, "source": p.source, "confidence": p.confidence}
            for p in load_profiles().values()
        },
    }


def _rig_data(a: RigAnswer, at_hand: Sequence[float]) -> dict[str, Any]:
    crew = a.crew
    return {
        "rig": a.prepared.rig.rig,
        "load": a.prepared.load,
        "as_in_file": a.of_load,
        "crew": crew
        and {
            "count": crew.count,
            "best_N": crew.best,
            "sustained_N": crew.sustained if crew.team is None else crew.team,
            "as_stated_N": None if crew.team is None else crew.sustained,
            "said": crew.said,
        },
        "gear": a.gear,
        "components": len(a.prepared.components),
        "rope_per_metre": a.rope_per_metre if a.prepared.motions else None,
        "trouble": a.trouble,
        "limits": [
            {"what": limit.what, "user_mass_kg": limit.most, "others_kg": limit.others} for limit in a.limits
        ],
        "ropes": [_rope_data(need, at_hand) for need in a.lines],
        "lanes_at_hand": lanes(a.lines, at_hand) if at_hand else None,
        "people": [
            {
                "name": o.person.name,
                "mass_kg": _range(o.person.mass),
                "role": o.person.role.name,
                "verdict": o.verdict,
                "reasons": o.reasons,
                "motions": [_ask_data(ask) for ask in o.asks],
            }
            for o in a.outlooks
        ],
        "left_out": [{"name": p.name, "role": p.role.name} for p in a.left_out],
    }


def _rope_data(need: RopeNeed, at_hand: Sequence[float]) -> dict[str, Any]:
    return {
        "rope": need.rope,
        "needed_m": need.needed,
        "has_m": need.has,
        "enough": None if need.has is None else need.is_enough(need.has),
        "runs_m": need.runs,
        "behind_anchor_m": need.behind,
        "paid_m": need.paid,
        "spare_m": need.reserve,
        "knots_m": need.knots,
        "tail_m": need.tail,
        "at_hand": [{"length_m": length, "enough": need.is_enough(length)} for length in at_hand],
    }


def _ask_data(ask: Ask) -> dict[str, Any]:
    made = ask.strokes

    def crew(needed: Haulers | None) -> dict[str, Any] | None:
        if needed is None:
            return None
        return {
            "each_N": needed.each,
            "low": needed.low,
            "likely": needed.likely,
            "high": needed.high,
        }

    return {
        "motion": "haul" if ask.direction > 0 else "lower",
        "hands": ask.hands,
        "himself": ask.himself,
        "hand_force_N": _range(ask.force),
        "share_of_weight": _range(ask.share),
        "haulers_best_case": crew(ask.best),
        "haulers_sustained": crew(ask.sustained),
        "distance_m": float(made.asked),
        "stroke_m": float(made.reach),
        "resets": made.resets,
        "rope_m": float(ask.rope),
        "pulls": _range(ask.pulls),
        "work_J": _range(ask.work),
        "time_bound_s": _range(ask.time),
    }


def _range(figure: Range | None) -> dict[str, float] | None:
    if figure is None:
        return None
    return {"low": float(figure.low), "likely": float(figure.likely), "high": float(figure.high)}
