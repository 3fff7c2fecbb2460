"""Findings that are told in one sentence: which belong together, in which words, and how many that makes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from ropewright.judgement.rules import LEVELS, Finding, Level

__all__ = ["ELSEWHERE", "counted", "grouped", "words_of_all"]

ELSEWHERE = frozenset({"assumptions"})
"""Codes of what has a table of its own and is in no list of findings."""


def grouped(found: Iterable[Finding]) -> list[tuple[Finding, ...]]:
    """Findings of one code, repair and sentence together, where the first of them stands."""
    groups = dict[tuple[str, ...], list[Finding]]()
    for f in found:
        groups.setdefault((f.level, f.code, f.group or _of_each(f) or f.text, f.repair), []).append(f)
    return [tuple(alike) for alike in groups.values()]


def words_of_all(alike: Sequence[Finding]) -> str:
    """What findings that belong together say: the sentence once, then the parts that it is true of."""
    first = alike[0]
    if len(alike) == 1:
        return first.text
    if first.group:
        return f"{first.group}: {', '.join(dict.fromkeys(f.part for f in alike))}"
    if _of_each(first):
        rest = (f"{f.part}, {f.text.partition('; ')[2]}" for f in alike)
        return f"{_of_each(first)}: {'; '.join(rest)}"
    return first.text


def counted(found: Iterable[Finding]) -> dict[Level, int]:
    """How many there are of each level: every stop and question, cautions and notes as they are listed."""
    listed = [f for f in found if f.code not in ELSEWHERE]
    once = grouped(listed)
    number: dict[Level, int] = {
        level: sum(f.level == level for f in listed)
        if level in ("stop", "question")
        else sum(alike[0].level == level for alike in once)
        for level in LEVELS
    }
    return number


def _of_each(f: Finding) -> str:
    """The sentence before a semicolon, of `each of these` in place of the part: what one repair mends may be
    told in one sentence. Empty where there is no such sentence.
    """
    first, semicolon, _ = f.text.partition("; ")
    if not (semicolon and f.repair and f.part):
        return ""
    part = rf"{re.escape(f.part)}(?![\w-])"
    said = re.sub(rf"\bthe (anchor) {part}", r"each of these \1s", first)
    said = re.sub(rf"(?<![\w-]){part}", "each of these", said)
    return said if said != first else ""
