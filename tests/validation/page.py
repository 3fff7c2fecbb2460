"""The validation page, written from the cases themselves so that it cannot say what the tests do not."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from . import (
    test_anchors_and_vectors,
    test_capstan,
    test_catches,
    test_derived_tables,
    test_gin_poles,
    test_highlines,
    test_mechanical_advantage,
)
from .case import Case, as_it_should, computed

PAGE = Path(__file__).parents[2] / "docs" / "validation.md"

GROUPS: tuple[tuple[str, Sequence[Case]], ...] = (
    ("Mechanical advantage and the anchors of hauls", test_mechanical_advantage.CASES),
    ("Ropes round bars and edges", test_capstan.CASES),
    ("Anchors, redirects and hung loads", test_anchors_and_vectors.CASES),
    ("Highlines", test_highlines.CASES),
    ("Catches", test_catches.CASES),
    ("Gin poles", test_gin_poles.CASES),
    ("Derived tables", test_derived_tables.CASES),
)

HEAD = """# What Ropewright has been checked against

Written by `python -m tools.validation_page` from the cases in `tests/validation/`; a test fails when it is
out of date.

Each line is a case with a printed answer. Inputs are taken as printed, in the units of the print, and go
**through the engine** (a rig of points, ropes and contacts, hauled, lowered or brought to rest) wherever
the engine can express them; lines marked *closed form* use the formulas of the catch and of the gin pole.
*Allowed* is the rounding of the print or the doubt that the print states, never more, with the reason below
each table.

What a print is worth: **right**, to its own rounding; **rounded**, approximate with a stated band;
**measured**, a test, which a model should meet within its stated band; **wrong**, contradicting statics, so
that the answer must *not* reproduce it.
"""

TAIL = """
## Not computed

- A drawn gin pole with 1 kN on its main rope and about 1.25 kN in its front guy (Delaney, Physics for
Roping Technicians,
  2022, p. 109): its angles are in the drawing only.
- A cave highline hauled by two on a 5:1, 2.5 kN at its peak and 1.6 to 1.8 kN when settled (a caving
trainer, 2016): span and
  sag are not given. No highline measured with span, sag, load and tension together was found.
- Main lines failing onto friction hitches, onto device belays or onto a second tensioned rope: no published
numbers were found.

## Limits of what agrees

- A rope that catches a fall is taken as an undamped linear spring. Tests of heavy loads at high fall
factors have shown up to
  30 % more (Weber, International Technical Rescue Symposium 2002, abstract).
- Sheaves are taken at one efficiency for 180°, scaled by the wrap. No published table of efficiency against
wrap was found. - Two carabiners side by side have been measured to keep some 13 points less than one
(Pöysti, 2020), which the capstan law cannot
  give; thicker cord also loses more.
"""


def figures(values: Sequence[float]) -> str:
    """Five digits of each figure; more would differ from one machine to the next."""
    return ", ".join(f"{value:.5g}" for value in values)


def allowed(case: Case) -> str:
    """The tolerance in the case's own unit or as a share."""
    room = case.tolerance
    if case.between:
        return "within the range"
    if room.share > 1e-3:
        return f"{100 * room.share:.3g} %"
    return f"± {room.unit:.2g}" if room.unit > 0 else "10⁻⁶"


def result(case: Case) -> str:
    """The outcome in words."""
    if not as_it_should(case):
        return "**DOES NOT AGREE**"
    return "not reproduced, as it should be" if case.verdict == "wrong" else "agrees"


def line(case: Case) -> str:
    """One row of the table."""
    values = computed(case)
    shown = f"{figures(values[:1])} to {figures(values[1:])}" if case.between else figures(values)
    by = "" if case.through == "engine" else " (closed form)"
    cells = (
        case.name,
        case.about + by,
        figures(case.published),
        shown,
        case.unit,
        case.verdict,
        allowed(case),
        result(case),
    )
    return "| " + " | ".join(cells) + " |"


def notes(cases: Sequence[Case]) -> list[str]:
    """Sources and reasons for tolerances, each once with the cases it belongs to."""
    out = []
    for title in ("Sources", "Reasons"):
        by_text: dict[str, list[str]] = {}
        for case in cases:
            text = case.source if title == "Sources" else case.tolerance.why
            by_text.setdefault(text, []).append(case.name)
        out += ["", f"{title}:", ""]
        out += [f"- {', '.join(names)}: {text}." for text, names in by_text.items()]
    return out


def disagreements() -> list[str]:
    """The prints that statics contradicts, and what it says instead."""
    out = ["", "## What disagrees", ""]
    for _, cases in GROUPS:
        for case in cases:
            if case.verdict == "wrong":
                values = computed(case)
                ends = f"{figures(values[:1])} to {figures(values[1:])}"
                shown = ends if case.between else figures(values)
                printed = f"{figures(case.published)} {case.unit}"
                out.append(f"- {case.name}, {case.about}: {printed}; statics gives {shown}.")
    out += [
        "- W20: a pulley sold as keeping 92 % kept 71 % when raising: a label is no measurement.",
        "- W47, W48: printed as approximate; the formula behind them gives 3 % and up to 12 % less.",
        "- W59: the print carries a rounded angle on; unrounded, sag 1.597 m and tension 11,512 N.",
    ]
    return out


def render() -> str:
    """The whole page."""
    out = [HEAD]
    total = sum(len(cases) for _, cases in GROUPS)
    good = sum(as_it_should(case) for _, cases in GROUPS for case in cases)
    out.append(f"{good} of {total} cases come out as they should.")
    for title, cases in GROUPS:
        out += ["", f"## {title}", ""]
        out += [
            "| case | what | printed | computed | unit | print | allowed | result |",
            "|---|---|---|---|---|---|---|---|",
        ]
        out += [line(case) for case in cases]
        out += notes(cases)
    out += disagreements()
    return "\n".join(out) + "\n" + TAIL
