"""The words of a step: every form that a line may take, read into a `Step`.

A form is written as people would say it, small words as they stand, capitals for what is named:
GEAR, ROPE, PART, LOAD, TYPE, KNOT, LENGTH, PLACE; brackets may be left out.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from ropewright.quantity import QuantityError, System
from ropewright.rig.faults import nearest, shown
from ropewright.rig.fields import FURTHEST, figure
from ropewright.rig.yamltext import hidden_character

from .model import Step

__all__ = ["FORMS", "Form", "StepError", "read_step", "step_pattern"]

LONGEST = 300

_NAME = r"\w[\w-]*"
_LENGTH = r"[+-]?[0-9.][0-9.,]*(?: ?(?:mm|cm|m|ft|in|yd))?"
_PIECES = {
    "GEAR.N": rf"(?P<gear>{_NAME})(?:\.(?P<sheave>[0-9]{{1,2}}))?",
    "GEAR": rf"(?P<gear>{_NAME})",
    "ROPE": rf"(?P<rope>{_NAME})",
    "PART": rf"(?P<part>{_NAME})",
    "LOAD": rf"(?P<load>{_NAME})",
    "TYPES": rf"(?P<via>{_NAME}(?:(?: and |, ?)(?!lock\Z){_NAME})*)",
    "NAMES": rf"(?P<names>{_NAME}(?:(?: and |, ?){_NAME})*)",
    "KNOT": rf"(?P<knot>{_NAME})",
    "LENGTH": rf"(?P<by>{_LENGTH})",
    "SLACK": rf"(?P<slack>{_LENGTH})",
    "PLACE": r"(?P<to>\[[^\]]*\])",
    "BESIDE": rf"(?P<beside>{_NAME})",
    "SIDE": r"(?P<side>above|below|in front of|behind)",
    "UPDOWN": r"(?P<way>up|down)",
    "WORD": r"(?P<word>[\w' -]+)",
}


class StepError(ValueError):
    """A line that can't be read as a step: one sentence that says what would be right."""


@dataclass(frozen=True, slots=True)
class Form:
    """One way to write a step: its ``verb``, the line as people write it, what it means, and fixed words.

    ``fixed`` are fields that the form itself sets.
    """

    verb: str
    line: str
    meaning: str
    fixed: tuple[tuple[str, Any], ...] = ()

    @property
    def lead(self) -> str:
        """The small words before the first capital."""
        return re.split(r" ?[A-Z\[(]", self.line, maxsplit=1)[0]


def _form(verb: str, line: str, meaning: str, **fixed: Any) -> Form:
    return Form(verb, line, meaning, tuple(fixed.items()))


FORMS: tuple[Form, ...] = (
    _form("clip", "clip GEAR to PART [with TYPES] [and lock]", "join gear to a place, a load or other gear"),
    _form("unclip", "unclip GEAR", "undo what joins gear to its place"),
    _form("lock", "lock the gate of GEAR", "lock the carabiners that join gear to its place"),
    _form("unlock", "unlock the gate of GEAR", "unlock them"),
    _form(
        "tie",
        "tie ROPE to PART [with KNOT] [SIDE BESIDE] [with SLACK slack]",
        "make a rope fast, at its free end or beside something on it",
    ),
    _form("untie", "untie ROPE from PART", "undo a knot"),
    _form(
        "put",
        "put GEAR on ROPE [SIDE BESIDE] [with SLACK slack] [wrong way round]",
        "put a device or a grab on a rope",
    ),
    _form("take-off", "take GEAR off [ROPE]", "take a device or a grab off its rope"),
    _form("reeve", "reeve ROPE through GEAR.N [SIDE BESIDE]", "lay a rope over a sheave"),
    _form("take-out", "take ROPE out of GEAR.N", "take a rope off a sheave"),
    _form("let-off", "let off GEAR", "hold a grab open so that it does not bite"),
    _form("grip", "grip with GEAR", "let a grab bite again"),
    _form("advance", "advance GEAR UPDOWN LENGTH", "move a grab or a back-up along its rope"),
    _form("advance", "advance GEAR until tight", "move it until its rope has no slack", way="tight"),
    _form("hand-on", "hand on ROPE", "put a hand on a rope's free end"),
    _form("hand-off", "hand off ROPE", "take the hand off"),
    _form("open", "open GEAR", "hold a device open"),
    _form("close", "let GEAR close", "let a device close"),
    _form("lock-off", "lock off GEAR", "lock a device off, or tie it off"),
    _form("undo", "undo the lock-off of GEAR", "make a locked device ready to run"),
    _form("haul", "haul LOAD up LENGTH", "raise a load by the hands on its ropes", way="up"),
    _form(
        "haul", "haul LOAD until level with PART", "raise it until it is as high as something", way="level"
    ),
    _form("lower", "lower LOAD down LENGTH", "lower a load by the hands on its ropes", way="down"),
    _form(
        "lower", "lower LOAD until level with PART", "lower it until it is as low as something", way="level"
    ),
    _form("take-in", "take in ROPE at GEAR by LENGTH", "pull slack through a device", way="in"),
    _form(
        "take-in", "take in ROPE at GEAR until tight", "pull slack through until there is none", way="tight"
    ),
    _form(
        "take-in",
        "take in ROPE at GEAR until SLACK left",
        "pull slack through until that much is left",
        way="tight",
    ),
    _form("give-out", "give out ROPE at GEAR by LENGTH", "let slack through a device", way="out"),
    _form("give-weight", "give weight to PART", "let rope out until another rope, device or grab carries"),
    _form("take-weight", "take weight on ROPE", "haul on a rope until it carries"),
    _form("stand", "stand in ROPE [up LENGTH]", "stand up in a foot loop"),
    _form("sit", "sit[ down]", "sit down out of the foot loop"),
    _form("move", "move LOAD past PART to PLACE", "bring a load over an edge"),
    _form(
        "inch-test",
        "inch-test GEAR",
        "let a little weight on a device, with another still on, and see it hold",
    ),
    _form("whistle-test", "whistle test", "every hand off: is everybody held?"),
    _form("critical-point-test", "critical-point test", "does any one failure drop somebody?"),
    _form("check", "check NAMES", "a second person touches each: on, right way round, locked"),
    _form("call", "call WORD", "say the team's word"),
)


@cache
def _regex(form: Form) -> re.Pattern[str]:
    """A form as a pattern: capitals become what they stand for, brackets what may be left out."""
    return re.compile(rf"{_pattern(form.line)}\Z")


_LAST = {"wrong way round": "reversed", "and lock": "locked"}


def _pattern(line: str) -> str:
    out, at = "", 0
    for match in re.finditer(r"( ?)\[([^\[\]]+)\]|GEAR\.N|[A-Z]{4,}", line):
        out += re.escape(line[at : match.start()])
        at = match.end()
        if match[2] is None:
            out += _PIECES[match[0]]
        elif match[2] in _LAST:
            out += f"(?P<{_LAST[match[2]]}> {match[2]})?"
        else:
            out += f"(?:{match[1]}{_pattern(match[2])})?"
    return out + re.escape(line[at:])


def step_pattern() -> str:
    """A pattern for editors: how a step may begin."""
    leads = sorted({re.escape(form.lead.split("[")[0].strip()) for form in FORMS}, key=len, reverse=True)
    return f"^\\s*({'|'.join(leads)})\\b"


def read_step(doer: str, text: Any, system: System = "metric", line: int = 0) -> Step:
    """Read one line; StepError with one sentence where it is no step. Lengths in the file's units."""
    words = " ".join(text.split()).rstrip(". ") if isinstance(text, str) else ""
    if not words or not isinstance(text, str):
        raise StepError(f"found {shown(text)}; a step is a line of words, as in `put descender on working`")
    if len(text) > LONGEST or hidden_character(text):
        raise StepError(f"found {shown(text)}, which is no step: it is too long or holds hidden characters")
    for form in FORMS:
        found = _regex(form).match(words)
        if found:
            return replace(_step(doer, form, found.groupdict(), system), text=words, line=line)
    raise StepError(_no_form(words))


def _step(doer: str, form: Form, found: dict[str, str | None], system: System) -> Step:
    values: dict[str, Any] = dict(form.fixed)
    for key, value in found.items():
        if value is None:
            continue
        if key in ("by", "slack"):
            values[key] = _length(value, system)
        elif key in ("via", "names"):
            values[key] = tuple(re.split(r" and |, ?", value))
        elif key == "sheave":
            values[key] = max(1, int(value))
        elif key == "to":
            values[key] = _place(value, system)
        elif key in ("reversed", "locked"):
            values[key] = True
        else:
            values[key] = value.strip()
    return Step(doer, form.verb, **values)


def _length(text: str, system: System) -> float:
    try:
        found = figure(text, "length", system, "zero-up")
    except QuantityError as error:
        raise StepError(str(error)) from None
    if not found.is_single or found.likely > FURTHEST:
        raise StepError(f"found {shown(text)}; a step's length is one figure of at most {FURTHEST:,.0f} m")
    return found.likely


def _place(text: str, system: System) -> tuple[float, float, float]:
    parts = [part.strip() for part in text.strip("[]").split(",")]
    try:
        numbers = [figure(_number(part), "length", system, "any").likely for part in parts]
    except QuantityError as error:
        raise StepError(str(error)) from None
    if len(numbers) not in (2, 3) or any(abs(n) > FURTHEST for n in numbers):
        raise StepError(f"found {shown(text)}; a place is [x, z] or [x, y, z], as in [0, 9]")
    return (numbers[0], numbers[1] if len(numbers) == 3 else 0.0, numbers[-1])


def _number(text: str) -> str | float:
    try:
        return float(text)
    except ValueError:
        return text


def _no_form(words: str) -> str:
    first = words.split()[0]
    leads = [form for form in FORMS if form.lead.split("[")[0].split()[0] == first]
    if not leads:
        close = nearest(first, {form.lead.split("[")[0].split()[0] for form in FORMS if form.lead})
        leads = [form for form in FORMS if close and form.lead.split("[")[0].split()[0] == close]
    if leads:
        ways = " or ".join(f"`{form.line}`" for form in leads)
        return f"found {shown(words)}; write {ways}"
    known = ", ".join(dict.fromkeys(form.lead.split("[")[0].strip() for form in FORMS))
    return f"found {shown(words)}, which starts with no word of the trade; steps start with {known}"
