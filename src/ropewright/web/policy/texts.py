"""The rules as texts: one flat table of a form's fields, so that two savers' changes can be laid over each
other field by field.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from ropewright.quantity import Kind, System, read_quantity
from ropewright.rig import POLICY_KEYS, PolicyValue
from ropewright.web.policy.now import TeamRules
from ropewright.web.policy.shipped import GROUPS, INTERVALS, RATIOS, RECORDS, WORDS, Given, shipped_source
from ropewright.web.policy.telling import NOT_ASKED

__all__ = ["BLANK_ROWS", "UNIT", "figure_text", "laid_over", "row_numbers", "texts_of", "value_text"]

MOST_ROWS = 60
"""Rows that a list of the form may have."""

BLANK_ROWS = 2
"""Rows for what is not in the list yet."""

UNIT: Mapping[tuple[Kind, System], str] = {
    ("force", "metric"): "kN",
    ("force", "us"): "lbf",
    ("length", "metric"): "m",
    ("length", "us"): "ft",
    ("angle", "metric"): "deg",
    ("angle", "us"): "deg",
}


def texts_of(rules: TeamRules) -> dict[str, str]:
    """Every field of the form, by its name."""
    out = {
        "team": rules.team,
        "name": rules.name,
        "edition": rules.edition,
        "zone": rules.zone,
        "units": rules.first,
    }
    for _, keys in GROUPS:
        for key in keys:
            rule = rules.rules.get(key, {})
            out[f"rule.{key}"] = value_text(key, rule.get("value"), rules.first)
            source = str(rule.get("source", ""))
            out[f"rule.{key}.source"] = "" if source == shipped_source(key) else source
    _counted_texts(out, "ratio", RATIOS, rules.ratios, "students")
    _counted_texts(out, "interval", INTERVALS, rules.intervals, "days")
    _counted_texts(out, "record", RECORDS, rules.retention, "years")
    for key, _ in WORDS:
        out[f"word.{key}"] = rules.words.get(key, "")
    more = [(k, v) for k, v in rules.words.items() if k not in dict(WORDS)]
    for n, (key, own) in enumerate([*more, *[("", "")] * BLANK_ROWS], 1):
        out[f"more-word.{n}"], out[f"more-word.{n}.own"] = key, own
    kept = [
        (str(r["type"]), figure_text(r.get("length"), "length", rules.first), str(r["count"]))
        for r in rules.reserve
    ]
    for n, (kind, length, count) in enumerate([*kept, *[("", "", "")] * BLANK_ROWS], 1):
        out |= {f"reserve.{n}": kind, f"reserve.{n}.length": length, f"reserve.{n}.count": count}
    return out


def _counted_texts(
    out: dict[str, str],
    name: str,
    given: tuple[Given, ...],
    stated: Mapping[str, Mapping[str, Any]],
    unit: str,
) -> None:
    known = {each.key: each.source for each in given}
    for key in known:
        value = stated.get(key, {}).get(unit)
        out[f"{name}.{key}"] = "" if value is None else str(value)
        source = str(stated.get(key, {}).get("source", ""))
        out[f"{name}.{key}.source"] = "" if source == known[key] else source
    more = [(k, entry) for k, entry in stated.items() if k not in known]
    for n in range(1, len(more) + BLANK_ROWS + 1):
        key, entry = more[n - 1] if n <= len(more) else ("", {})
        out[f"more-{name}.{n}"] = key
        out[f"more-{name}.{n}.value"] = str(entry.get(unit, "") or "")
        out[f"more-{name}.{n}.source"] = str(entry.get("source", ""))


def row_numbers(texts: Mapping[str, str], rows: str) -> list[int]:
    """The numbers of the rows of a list that a form holds, in order."""
    names = (name.removeprefix(f"{rows}.") for name in texts if name.startswith(f"{rows}."))
    return sorted({n for name in names if 1 <= (n := _row_number(name.partition(".")[0])) <= MOST_ROWS})


def _row_number(text: str) -> int:
    """The number of a row; 0 for what is none."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 4 else 0


def value_text(key: str, value: PolicyValue | None, first: System) -> str:
    """A rule's value as somebody would write it."""
    kind = POLICY_KEYS[key].kind
    if value is None:
        return NOT_ASKED
    if kind == "yes-no":
        return "yes" if value else "no"
    if kind == "words":
        return str(value)
    if kind in ("count", "share"):
        return f"{float(value):.6g}"
    return figure_text(float(value), cast(Kind, kind), first)


def figure_text(value: float | None, kind: Kind, first: System) -> str:
    """A figure with its unit and four digits at most, as somebody would write it."""
    if value is None:
        return ""
    unit = UNIT[kind, first]
    in_unit = value / read_quantity(f"1 {unit}", kind).likely
    return f"{float(f'{in_unit:.4g}'):.10g} {unit}"


_ROWS = ("more-ratio", "more-interval", "more-record", "more-word", "reserve")


def laid_over(mine: Mapping[str, str], begun: TeamRules, newest: TeamRules) -> dict[str, str]:
    """The newest version's texts with those fields of mine that I changed since ``begun``.

    Rows that I added stand behind those that the newest version has.
    """
    before, after = texts_of(begun), texts_of(newest)
    out = dict(after)
    for name, text in mine.items():
        if text.strip() == before.get(name, ""):
            continue
        for rows in _ROWS:
            if name.startswith(f"{rows}."):
                number, _, rest = name.removeprefix(f"{rows}.").partition(".")
                had, has = _filled(before, rows), _filled(after, rows)
                n = _row_number(number)
                shifted = n + has - had if n > had else n
                name = f"{rows}.{shifted}{'.' if rest else ''}{rest}"
        out[name] = text
    return out


def _filled(texts: Mapping[str, str], rows: str) -> int:
    """How many rows of a list say something."""
    return sum(
        1 for name, text in texts.items() if text and name.startswith(f"{rows}.") and name.count(".") == 1
    )
