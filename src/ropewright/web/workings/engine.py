"""The engine as the app calls it: a rig's text and the team's rules in, everything worked out.

The one place where the web app calls the packages that read, examine, judge and draw a rig. What it comes to
is kept (`results.kept`); a large rig is left to the process beside the server (`waiting`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from functools import cache, lru_cache
from typing import Any

from ropewright.catalogue import Catalogue, load_catalogue
from ropewright.drawing import Picture, compose, finish, small_picture, subject_of
from ropewright.errors import RopewrightError
from ropewright.judgement.alike import counted
from ropewright.judgement.examine import Examination, examine
from ropewright.judgement.findings import findings, within_policy
from ropewright.judgement.own_rules import said_of
from ropewright.judgement.report import report
from ropewright.judgement.rules import Context, Finding
from ropewright.rig import Crew, Load, Place, Rig, RigFileError, read_rig
from ropewright.sheets.content import told_first
from ropewright.web.policy.now import TeamRules, rules_now
from ropewright.web.workings.results import kept
from ropewright.web.workings.waiting import leave_to_worker

__all__ = [
    "Checked",
    "Tell",
    "catalogue",
    "check_rig",
    "judged",
    "own_rules_told",
    "read_for_team",
    "summary_of",
    "untold",
    "worked_out",
]

Tell = Callable[..., None]


def untold(_done: int, _whole: int, _words: str) -> None:
    """Nobody waits to be told how far it is."""


@cache
def catalogue() -> Catalogue:
    """The gear types, read once for each process."""
    return load_catalogue()


def read_for_team(text: str, rules: TeamRules | None = None) -> Rig:
    """Read a rig's text, with the team's rules where the file states none. Errors: RigFileError."""
    return replace(read_rig(text, catalogue()), team=(rules or rules_now()).for_engine)


def own_rules_told(text: str, rules: TeamRules) -> str:
    """The rules of a usable text's own that differ from the team's, in one line; "" where there are none."""
    return said_of(replace(_read_once(text), team=rules.for_engine), rules.units)["told"]


@lru_cache(maxsize=64)
def _read_once(text: str) -> Rig:
    return read_rig(text, catalogue())


@dataclass(frozen=True, slots=True)
class Checked:
    """A rig worked out in full, live. ``bare`` is the picture without a frame, as sheets take it."""

    rig: Rig
    examination: Examination
    findings: tuple[Finding, ...]
    within: bool
    picture: Picture
    bare: Picture
    small: Picture
    plan: Picture | None

    @property
    def svg(self) -> str:
        """The picture from the side."""
        return self.picture.svg

    @property
    def stops(self) -> int:
        """How many findings say stop."""
        return sum(found.level == "stop" for found in self.findings)


def check_rig(rig: Rig, rules: TeamRules, tell: Tell = untold) -> Checked:
    """Work out a rig that was read. ``tell``: called before each part of it. Errors: RopewrightError."""
    tell(0, 3, "every force, and every part failing in turn")
    examination = examine(rig, catalogue())
    tell(1, 3, "what is found")
    found = findings(examination, rules.units)
    tell(2, 3, "the picture")
    subject = subject_of(rig, catalogue(), examination)
    drawing = compose(subject, units=rules.units)
    picture, bare = finish(drawing, rules.units), finish(drawing, rules.units, framed=False)
    plan = None
    if _has_depth(rig):
        plan = finish(compose(subject, view="plan", units=rules.units), rules.units)
    return Checked(rig, examination, found, within_policy(found), picture, bare, small_picture(drawing), plan)


def judged(rig: Rig, rules: TeamRules) -> tuple[tuple[Finding, ...], dict[str, Any]]:
    """What is found of a rig that was read, and its report, without a picture. Errors: RopewrightError."""
    examination = examine(rig, catalogue())
    found = findings(examination, rules.units)
    return found, report(examination, rules.units, found)


def _has_depth(rig: Rig) -> bool:
    """Whether a rig is drawn in three dimensions, so that its plan shows something that the side does not."""
    placed: list[Place | Load | Crew] = [*rig.points.values(), *rig.loads.values(), *rig.crews.values()]
    return len({round(part.at[1], 3) for part in placed}) > 1


def summary_of(text: str, rules: TeamRules | None = None) -> dict[str, Any]:
    """A rig in the form that lists and pages show, from the store where it was worked out before.

    Keys: `faults` (each with line, column, text) where the text can't be used. Otherwise `svg`, `small`
    (without words), `plan` (from above; "" where a rig has no depth), `within`, `stops`, `cautions`, `found`
    (findings, each with its `group` and whether it is `open`), `read_with` (sentences without which
    the verdict is read for more than it is), `own` (the rules of the text's own, by which it is judged
    instead of the team's: their `mark` and all `told`), `report` (that of `check --json`).

    Errors: StillWorkingError where a large rig was not worked out before.
    """
    rules = rules or rules_now()
    parts = (text, rules.number, rules.name)

    def work() -> dict[str, Any]:
        try:
            rig = read_for_team(text, rules)
        except RigFileError as error:
            return _faults_of(error)
        leave_to_worker(rig, "rig", parts, {"text": text, "rules": rules.number})
        return _summary(rig, rules, untold)

    return kept("rig", parts, work)


def worked_out(text: str, rules: TeamRules, tell: Tell = untold) -> dict[str, Any]:
    """What `summary_of` gives, worked out here and now."""
    try:
        return _summary(read_for_team(text, rules), rules, tell)
    except RigFileError as error:
        return _faults_of(error)


def _faults_of(error: RigFileError) -> dict[str, Any]:
    return {"faults": [{"line": f.line, "column": f.column, "text": f.text} for f in error.faults]}


def _summary(rig: Rig, rules: TeamRules, tell: Tell) -> dict[str, Any]:
    try:
        done = check_rig(rig, rules, tell)
    except RopewrightError as error:  # what the mechanics can't even set up
        return {"faults": [{"line": 0, "column": 0, "text": str(error)}]}
    return {
        "svg": done.svg,
        "small": done.small.svg,
        "plan": done.plan.svg if done.plan else "",
        "within": done.within,
        "own": said_of(done.rig, rules.units),
        "stops": done.stops,
        "cautions": counted(done.findings)["caution"],
        "read_with": list(told_first(Context(done.examination, rules.units), done.findings)),
        "found": [asdict(f) for f in done.findings],
        "report": report(done.examination, rules.units, done.findings),
    }
