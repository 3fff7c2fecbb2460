"""A worked-out rig, ordered as an instructor reads it: what stops, the figures, who is held, the margins."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ropewright.effort import own_pull
from ropewright.judgement.alike import ELSEWHERE, grouped, words_of_all
from ropewright.judgement.ground import STANDS
from ropewright.judgement.letting_go import UNKNOWN
from ropewright.judgement.rules import Finding

__all__ = [
    "After",
    "Held",
    "Told",
    "anchors_of",
    "failures_of",
    "glance_of",
    "held_of",
    "margins_of",
    "strands_of",
    "told_of",
    "worst_of",
]

Data = Mapping[str, Any]
LEVELS = ("stop", "question", "caution", "note")
FAR_DROP, FAR_SWING = 0.1, 1.0
"""Drop and swing [m] from which a load that is held after a failure has a line of its own."""


@dataclass(frozen=True, slots=True)
class Told:
    """Findings that are told in one sentence. ``quotes``: the lines that caused them, number and text."""

    level: str
    code: str
    text: str
    repair: str
    quotes: tuple[tuple[int, str], ...]
    open: bool


def told_of(found: Iterable[Data], text: str) -> dict[str, list[Told]]:
    """The findings by how grave they are, each with the lines of the text that it is about.

    Keys: "first" (stops and open questions, which keep a rig outside policy), "question", "caution", "note".
    """
    lines = text.splitlines()
    out: dict[str, list[Told]] = {"first": [], "question": [], "caution": [], "note": []}
    for alike in grouped(Finding(**each) for each in found if each["code"] not in ELSEWHERE):
        told = _one(alike, lines)
        grave = told.level == "stop" or told.open
        out["first" if grave else told.level].append(told)
    return out


def _one(alike: Sequence[Finding], lines: Sequence[str]) -> Told:
    first = alike[0]
    numbers = dict.fromkeys(f.line for f in alike if 0 < f.line <= len(lines))
    quotes = tuple((number, lines[number - 1].strip()) for number in numbers)
    return Told(
        first.level, first.code, words_of_all(alike), first.repair, quotes, any(f.open for f in alike)
    )


def margins_of(report: Data) -> list[dict[str, Any]]:
    """Every part that bears something, nearest to what is asked first; ``share``: its least margin, with
    nothing failed, after a failure or in a catch, and ``least`` the load and factor of that, what is asked
    then, and when it is. ``also``: of the other states the one with nothing failed, and those in which it
    keeps less than is asked there.
    """
    rows = []
    for part in report["parts"]:
        if part["load_N"] is None or part["load_N"] < 1.0:
            continue
        found, whole = list(_held_against(part)), part["nothing_failed"]
        least = min(found, key=lambda each: each["share"], default=None)
        told = (each["state"] == whole["state"] or each["factor"] < whole["required"] for each in found)
        also = [each for each, tell in zip(found, told, strict=True) if tell and each is not least]
        rows.append({**part, "share": least and least["share"], "least": least, "also": also})
    return sorted(rows, key=lambda row: -1.0 if row["share"] is None else row["share"])


def _held_against(part: Data) -> Iterator[dict[str, Any]]:
    """Each factor of a part that something is asked of, with its share of what is asked."""
    whole, later, caught = part["nothing_failed"], part["after_a_failure"], part["in_a_catch"]
    for found, state in (
        (whole, whole["state"]),
        (later, later and later["when"]),
        (caught, caught and f"in a catch, if {caught['if_fails']} fails"),
    ):
        if found and found["factor"] is not None and found["required"]:
            share = found["factor"] / found["required"]
            yield {
                **{key: found[key] for key in ("load_N", "factor", "required")},
                "state": state,
                "share": share,
            }


def worst_of(report: Data) -> dict[str, Any] | None:
    """The part with the least factor against what is asked of it then; None where no strength is known."""
    worst = next((row for row in margins_of(report) if row["share"] is not None), None)
    return worst and {**worst, **worst["least"]}


def anchors_of(report: Data) -> list[dict[str, Any]]:
    """What each anchor takes, over every state."""
    return [part for part in report["parts"] if part["kind"] == "anchor" and (part["load_N"] or 0.0) >= 1.0]


def strands_of(report: Data) -> list[dict[str, Any]]:
    """Each strand once, with its tension while hauling, while lowering and at rest."""
    rows: dict[tuple[int, str, str, str], dict[str, Any]] = {}
    for state in ("haul", "lower", "rest"):
        seen: dict[tuple[str, str, str], int] = {}
        for strand in (report[state] or {}).get("tensions", ()):
            ends = (strand["rope"], strand["from"], strand["to"])
            seen[ends] = seen.get(ends, 0) + 1  # the same two ends may be joined more than once
            row = rows.setdefault((seen[ends], *ends), {"rope": ends[0], "from": ends[1], "to": ends[2]})
            row[state] = strand["N"]
    return list(rows.values())


@dataclass(frozen=True, slots=True)
class After:
    """What follows single failures. ``rows``: those that drop a load, swing it far or load a part over its
    strength (its name then stands under `breaks`), falls first; ``still``: for each load and outcome what
    may fail with it staying about where it is; ``breaks``: cases known to load a part over its strength;
    ``unknown``: those of ``falls`` in which nothing was worked out.
    """

    rows: tuple[Data, ...]
    still: tuple[tuple[str, str, tuple[str, ...]], ...]
    falls: int
    count: int
    breaks: int = 0
    unknown: int = 0


def failures_of(report: Data) -> After:
    """The single failures, told as the checks tell them: what drops somebody first, the rest together."""
    rows, still = list[Data](), dict[tuple[str, str], list[str]]()
    broken = _broken(report)
    every = [{**row, "breaks": broken.get(row["fails"], "")} for row in report["holding"]["single_failures"]]
    for row in every:
        if stands(row):
            still.setdefault((row["load"], "stands on the ground"), []).append(row["fails"])
        elif row["outcome"] != "held" or row["breaks"] or _far(row):
            rows.append(row)
        else:
            still.setdefault((row["load"], "is held where it is"), []).append(row["fails"])
    rows.sort(key=lambda row: (row["outcome"] == "held", -(row["drop_m"] or 0.0)))
    falls = len({row["fails"] for row in rows if row["outcome"] != "held"})
    kept = tuple((load, said, tuple(names)) for (load, said), names in still.items())
    breaks = len({row["fails"] for row in every if row["breaks"]})
    drops = {row["fails"] for row in rows if row["outcome"] not in ("held", UNKNOWN)}
    return After(tuple(rows), kept, falls, len({row["fails"] for row in every}), breaks, falls - len(drops))


def _broken(report: Data) -> dict[str, str]:
    """What may fail so that another part is then loaded over its strength, in the catch or hanging still
    after it; with that part. Of the catches of a part the report holds the hardest alone.
    """
    out = {
        row["fails"]: row["weakest_then"]["part"]
        for row in report["holding"]["single_failures"]
        if row["weakest_then"] and row["weakest_then"]["factor"] < 1.0
    }
    for part in report["parts"]:
        caught, strength = part["in_a_catch"], part["strength_N"]
        if caught and strength is not None and caught["load_N"] > strength:
            out.setdefault(caught["if_fails"], part["part"])
    return out


@dataclass(frozen=True, slots=True)
class Held:
    """What becomes of the loads when any one thing fails: ``mark`` as it is marked, in ``words``."""

    mark: str
    words: str
    cases: str


# What is found of failures that leave everybody held, gravest first among those of one level.
_HELD_BUT = {
    "fails-in-turn": "held, but a part is loaded over its strength",
    "breaks-in-catch": "held, but a part is loaded over its strength",
    "drop-too-far": "held, but drops further than the policy allows",
    "too-little-clearance": "held, but too near the ground",
    "catch-too-hard": "held, but caught harder than the policy allows",
    "falls-later": "held at the start, not at the end of the way",
    "slips-in-catch": "held, but what catches may slip",
    "low-factor-after-failure": "held, with less margin than asked",
    "short-tail": "held, with little rope left past a device",
    "swings-far": "held, but swings far",
}


def held_of(after: After, found: Sequence[Data]) -> Held:
    """The single failures in one mark: that of the gravest thing that is found of them."""
    in_all = f"in all {after.count} cases"
    if not after.count:
        return Held("note", "nothing to fail", "")
    if after.falls and after.unknown == after.falls:
        return Held("stop", UNKNOWN, f"in {after.falls} of {after.count} cases")
    if after.falls:
        return Held("stop", "drops a load", f"in {after.falls} of {after.count} cases")
    for level in ("stop", "question", "caution"):
        codes = {each["code"] for each in found if each["level"] == level}
        for code, words in _HELD_BUT.items():
            if code in codes:
                some = "over its strength" in words and after.breaks
                return Held(level, words, f"in {after.breaks} of {after.count} cases" if some else "")
    return Held("ok", "held", in_all)


def stands(outcome: Data) -> bool:
    """Whether a load only comes down on the ground that it stands on."""
    return outcome["outcome"] != "held" and outcome["drop_m"] is not None and outcome["drop_m"] < STANDS


def _far(row: Data) -> bool:
    return abs(row["drop_m"] or 0.0) > FAR_DROP or (row["swing_m"] or 0.0) > FAR_SWING


def glance_of(report: Data, found: Sequence[Data], masses: Mapping[str, float]) -> dict[str, Any]:
    """What is seen first: the motions, who lets go, the worst margin, what falls.

    found: the findings; masses: those of the loads [kg], whose hands pull a share of their own weight.
    """
    after = failures_of(report)
    off = [{**outcome, "stands": stands(outcome)} for outcome in report["holding"]["hands_off"]]
    return {
        "motions": [
            {**report[state], "verb": verb, "noun": noun, "hands": _hands(report, state, masses)}
            for state, verb, noun in (("haul", "Hauling", "pull"), ("lower", "Lowering", "hold"))
            if report[state]
        ],
        "hands_off": off,
        "worst": worst_of(report),
        "after": after,
        "held": held_of(after, found),
        "later": [each for each in found if each["code"] == "falls-later"],
    }


def _hands(report: Data, state: str, masses: Mapping[str, float]) -> list[dict[str, Any]]:
    """The hands of a motion with what they are counted on for [N]: `together` of a crew that hauls;
    `minutes` and `few_pulls` of somebody who hauls on his own rope; `holds` of each that lowers.
    """
    grip = next((r["value"] for r in report["policy"]["rules"] if r["rule"] == "brake-hand"), None)
    out = []
    for hand in report[state].get("hands", ()):
        known: dict[str, Any] = {"at": hand["at"], "people": hand["people"]}
        if state == "lower":
            known["holds"] = grip
        elif hand["at"] in masses:
            known["minutes"], known["few_pulls"] = own_pull(masses[hand["at"]])
        else:
            known["together"] = hand["counted_on_together_N"]
        out.append(known)
    return out
