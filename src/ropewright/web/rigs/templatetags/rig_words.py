"""Ranges, factors and outcomes in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import template

from ropewright.judgement.rules import ratio
from ropewright.quantity import Range, show_force, show_length, show_range
from ropewright.rig.policy import POLICY_KEYS
from ropewright.sheets.dropped import hangs, slipping
from ropewright.web.policy.now import rules_now

__all__ = ["register"]

register = template.Library()
SLACK = 0.5
"""Tension [N] below which a strand is called slack."""
SMALL = 0.05
"""Way [m] that is told as none: rope takes it up in stretching."""


def _range(figure: Mapping[str, Any]) -> Range | None:
    low, high = figure.get("low"), figure.get("high")
    likely = figure.get("likely", low)
    return None if low is None or high is None or likely is None else Range(low, likely, high)


@register.filter
def forces(figure: Mapping[str, Any] | None) -> str:
    """A force with its doubt, in both systems: "0.48–0.56 kN, likely 0.52 (…)"."""
    found = _range(figure) if figure else None
    if found is None:
        return "no figure"
    return show_range(found, "force", rules_now().units, likely="likely" in (figure or {}))


@register.filter
def tension(figure: Mapping[str, Any] | None) -> str:
    """The tension of a strand; nothing where that state does not exist, "slack" where it carries nothing."""
    if not figure:
        return "–"
    if (figure.get("high") or 0.0) < SLACK and figure.get("high") is not None:
        return "slack"
    if figure.get("high") is None:
        return f"from {show_force(figure.get('low') or 0.0, rules_now().units)}, not bounded by the load"
    return forces(figure)


@register.filter
def shares(figure: Mapping[str, Any] | None) -> str:
    """A ratio with its doubt: "2.31–2.59, likely 2.45"."""
    found = _range(figure) if figure else None
    return "no figure" if found is None else show_range(found, "share", likely=True)


@register.filter
def plain(value: float) -> str:
    """A number as an input takes it: no closing zeros, a point."""
    return f"{value:.10g}"


@register.filter
def factor(value: float | None, asked: float | None = None) -> str:
    """A factor with three digits, one below what is asked never rounded up to it; "–" where there is none."""
    return "–" if value is None else ratio(value, asked)


@register.filter
def drop(metres: float | None) -> str:
    """How far a load comes down, or up."""
    if metres is None:
        return "–"
    if abs(metres) < SMALL:
        return "none"
    return f"{'up ' if metres < 0 else ''}{show_length(abs(metres), rules_now().units)}"


@register.filter
def came_down(row: Mapping[str, Any]) -> str:
    """How far a load comes down after a failure, in the catch too, and further if something slips."""
    metres = row["drop_m"]
    if row["outcome"] != "held" or metres is None or abs(metres) < SMALL:
        return drop(metres)
    units = rules_now().units
    slips = slipping(((slip["part"], slip["from_N"]) for slip in row["may_slip"]), units)
    return f"{hangs(metres, row['lowest_m'], units)}{slips}"


@register.filter
def percent(share: float | None) -> str:
    """A share in percent."""
    return "–" if share is None else f"{100 * share:.0f} %"


@register.filter
def rule_value(rule: Mapping[str, Any]) -> str:
    """A rule's figure as people write it, in its own units."""
    value, key = rule["value"], POLICY_KEYS.get(rule["rule"])
    if value is None:
        return "nothing is asked"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if key is None or key.kind in ("count", "yes-no", "words") or not isinstance(value, int | float):
        return str(value)
    return show_range(Range.exactly(float(value)), key.kind, rules_now().units)  # type: ignore[arg-type]


@register.filter
def figure_value(assumed: Mapping[str, Any]) -> str:
    """An assumed figure with its unit."""
    value = assumed["value"]
    if value is None:
        return "not known"
    found = _range(value)
    kinds = {"N": "force", "m": "length", "kg": "mass", "kg/m": "mass_per_length", "rad": "angle"}
    if found is None:
        return "not known"
    return show_range(found, kinds.get(assumed["unit"], "share"), rules_now().units)  # type: ignore[arg-type]
