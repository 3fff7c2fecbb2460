"""A text looked at while it is written: its faults, or its picture, its forces and what is found.

It comes in stages, each taking up where the one before ended: first the forces and what can be said of them,
then the picture, then the whole with every failure tried and its verdict.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from threading import Lock

from ropewright.catalogue import Catalogue
from ropewright.drawing import draw_rig
from ropewright.judgement.alike import ELSEWHERE, counted, grouped, words_of_all
from ropewright.judgement.board import board
from ropewright.judgement.examine import Examination, examine
from ropewright.judgement.findings import findings, within_policy
from ropewright.judgement.moved import Moved
from ropewright.judgement.own_rules import said_of
from ropewright.judgement.rules import LEVELS, Finding, hands_of
from ropewright.quantity import Units, show_range
from ropewright.rig import Rig as ReadRig
from ropewright.web.policy.now import TeamRules, rules_now
from ropewright.web.versions.looking import Seen, Stage, looked_at
from ropewright.web.workings.engine import catalogue, read_for_team
from ropewright.web.workings.results import digest
from ropewright.web.workings.size import MOST_LIVE, size_of

__all__ = ["Look", "look"]

KEPT = 8


@dataclass(frozen=True, slots=True)
class Told:
    """Findings that are told in one sentence, and the lines that they are of."""

    level: str
    text: str
    repair: str
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Look(Seen):
    """What a text shows. `whole`: whether every failure was tried; `within` is not known before that.

    `svg` is empty where there is no picture; `trouble` says why then, where the faults don't. `own`: the
    rules of the text's own, as `policy.own_rules.said_of` has them.
    """

    findings: tuple[Finding, ...] = ()
    forces: tuple[str, ...] = ()
    svg: str = ""
    whole: bool = True
    within: bool | None = None
    own: Mapping[str, str] = field(default_factory=dict)

    @property
    def counted(self) -> str:
        """How many findings there are of each kind, gravest first: "2 stops, 1 caution, 3 notes"."""
        said = [f"{n} {level}{'' if n == 1 else 's'}" for level, n in counted(self.findings).items() if n]
        stops = any(each.level == "stop" for each in self.findings)
        return ", ".join(said if stops else ["no stops", *said])

    @property
    def told(self) -> list[Told]:
        """The findings, those that are told in one sentence together."""
        return [
            Told(alike[0].level, words_of_all(alike), alike[0].repair, tuple(dict.fromkeys(lines)))
            for alike in grouped(f for f in self.findings if f.code not in ELSEWHERE)
            for lines in [[f.line for f in alike if f.line]]
        ]

    @property
    def lines(self) -> dict[int, str]:
        """The lines that have something to be said of, each with the gravest of it."""
        found = {fault.line: "fault" for fault in self.faults}
        for each in sorted(self.findings, key=lambda f: LEVELS.index(f.level), reverse=True):
            if each.line:
                found[each.line] = each.level
        return found


class _Begun:
    """A rig that was looked at: the next stage takes up here."""

    def __init__(self, rig: ReadRig, known: Catalogue, units: Units) -> None:
        self.examination = examine(rig, known, postponed=True)
        self._rig, self._known, self._units = rig, known, units

    @cached_property
    def svg(self) -> str:
        """Its picture."""
        drawn = draw_rig(self._rig, self._known, self.examination, units=self._units, framed=False)
        return drawn.svg


_begun: OrderedDict[str, _Begun] = OrderedDict()
_lock = Lock()


def look(text: str, stage: Stage = "whole", rules: TeamRules | None = None) -> Look:
    """Look at a text. Nothing that stands in it makes this raise."""
    known = rules or rules_now()
    return looked_at(lambda: _looked(text, stage, known), Look, "rig")


def _looked(text: str, stage: Stage, rules: TeamRules) -> Look:
    rig = read_for_team(text, rules)
    return Look(trouble=_too_large(rig)) if size_of(rig) > MOST_LIVE else _worked_out(rig, rules, stage)


def _too_large(rig: ReadRig) -> str:
    return (
        f"{size_of(rig)} parts and contacts are more than are worked out while you write ({MOST_LIVE}). "
        "The text reads; save it, and its page shows the rest."
    )


def _worked_out(rig: ReadRig, rules: TeamRules, stage: Stage) -> Look:
    # the rig with its lines, not the text: a word in a comment costs nothing
    key = digest("live", repr(rig), rules.number, rules.name, rules.units)
    with _lock:
        begun = _begun.get(key)
    if begun is None:
        begun = _Begun(rig, catalogue(), rules.units)
        with _lock:
            _begun[key] = begun
            while len(_begun) > KEPT:
                _begun.popitem(last=False)
    whole = stage == "whole"
    found = findings(begun.examination, rules.units, first=not whole)
    forces = tuple(_forces(begun.examination, rules.units))
    svg = "" if stage == "first" else begun.svg
    own = said_of(rig, rules.units)
    return Look((), found, forces, svg, whole, within_policy(found) if whole else None, own)


def _forces(x: Examination, units: Units) -> list[str]:
    """The motions in a line each: what is counted, and what a hand pulls or holds."""
    lines = []
    for moved in (x.haul, x.lower):
        if not isinstance(moved, Moved):
            continue
        hand = show_range(moved.hand_force, "force", units, likely=True)
        at = ", ".join(hands_of(moved))
        if moved.direction > 0:
            counted = board(moved).counted
            count = f"counted {counted}, ideal {moved.ideal:.2f}" if counted else f"ideal {moved.ideal:.2f}"
            lines.append(f"Hauling {moved.load}: {count}; pull at {at} {hand}")
        else:
            lines.append(f"Lowering {moved.load}: hold at {at} {hand}")
    return lines
