"""Who can work a rig: the roster for those who may read masses, and classes of mass without names for all.

What is kept in the store holds no names: the answer of the engine follows from masses and pulls alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any

from ropewright.effort import Ask, Haulers, Person, RigAnswer, Role, answer, prepare
from ropewright.errors import RopewrightError
from ropewright.quantity import Range, show_mass
from ropewright.rig import Rig, RigFileError
from ropewright.web.access import sees_mass
from ropewright.web.accounts.models import Account
from ropewright.web.people.models import Person as Listed
from ropewright.web.people.roster import engine_person
from ropewright.web.policy.now import TeamRules, rules_now
from ropewright.web.rigs.crew_limits import limits_told
from ropewright.web.workings.engine import catalogue, read_for_team
from ropewright.web.workings.results import kept
from ropewright.web.workings.waiting import leave_to_worker

__all__ = ["CLASSES", "answered_again", "who_can"]

CLASSES = (60.0, 70.0, 80.0, 90.0, 100.0, 110.0, 120.0, 140.0)
"""Masses with gear [kg] that stand for everybody where names are not to be read."""


def who_can(text: str, account: Account) -> dict[str, Any]:
    """Who can work the rig of a text, as far as this account may know it.

    Keys: `tables` (the roster, where it may be read, and classes of mass; each with `rows`, of `who`,
    `verdict`, `reasons` and `asks`, and with `of_load` (the rows are the load as the file has it), `crew` and
    `named`); `limits` (`crew_limits.limits_told`); `moves`; `without_mass`, `trouble`, `fault`.
    """
    active = [p for p in Listed.objects.filter(active=True) if sees_mass(account, p)]
    known = [p for p in active if p.mass is not None]
    whole = len(active) > 1 or (len(active) == 1 and account.person_id != active[0].pk)
    roster = [(p.name, engine_person(p, "")) for p in known]
    classes = [(show_mass(mass, rules_now().units), Person("", Range.exactly(mass))) for mass in CLASSES]
    asked = [(True, roster), (False, classes)] if whole else [(False, [*roster, *classes])]
    tables = [_table(text, people, named=named) for named, people in asked]
    if len(tables) > 1 and tables[0]["of_load"]:  # nobody takes the place of a litter or a weight
        tables = tables[:1]
    first = tables[0]
    return {
        "tables": tables if first["moves"] else [],
        "limits": limits_told(text, asked) if not first["fault"] else [],
        "moves": first["moves"],
        "trouble": first["trouble"] if first["moves"] else [],
        "fault": first["fault"],
        "without_mass": len(active) - len(known),
    }


def _table(text: str, people: Sequence[tuple[str, Person]], *, named: bool) -> dict[str, Any]:
    """One table of answers, each under what is shown of whoever it is about.

    What is kept calls people by their places in this very list: another list of the same masses has the same.
    """
    numbered = [replace(person, name=str(place)) for place, (_, person) in enumerate(people)]
    shown = {str(place): words for place, (words, _) in enumerate(people)}
    found = _kept(text, numbered, crew_of_list=named)
    rows = [{**row, "who": shown.get(row["who"], row["who"])} for row in found["rows"]]
    return {**found, "rows": rows, "named": named}


def _kept(text: str, people: Sequence[Person], *, crew_of_list: bool) -> dict[str, Any]:
    rules = rules_now()
    inputs = [
        [_ends(p.mass), p.role.name, p.role.rope, p.role.hauls, _ends(p.pull), _ends(p.reach)] for p in people
    ]
    parts = (text, rules.number, rules.name, crew_of_list, inputs)

    def work() -> dict[str, Any]:
        try:
            read = read_for_team(text, rules)
        except RigFileError as error:
            return _fault(error)
        asked = {"text": text, "rules": rules.number, "crew_of_list": crew_of_list}
        asked["people"] = [asdict(person) for person in people]
        leave_to_worker(read, "rig-crew", parts, asked)
        return answered(read, rules, people, crew_of_list=crew_of_list)

    return kept("rig-crew", parts, work)


def answered(read: Rig, rules: TeamRules, people: Sequence[Person], *, crew_of_list: bool) -> dict[str, Any]:
    """Who of the people can work a rig, as the store keeps it."""
    try:
        prepared = prepare(read, catalogue())
    except RopewrightError as error:
        return _fault(error)
    load = prepared.rig.loads.get(prepared.load or "")
    asked = people if crew_of_list or (load is not None and load.kind == "person") else ()
    return _data(answer(prepared, asked, units=rules.units))


def answered_again(asked: Mapping[str, Any], rules: TeamRules) -> dict[str, Any]:
    """The same from plain values."""
    people = [_person(each) for each in asked["people"]]
    try:
        read = read_for_team(asked["text"], rules)
    except RigFileError as error:
        return _fault(error)
    return answered(read, rules, people, crew_of_list=asked["crew_of_list"])


def _fault(error: RopewrightError) -> dict[str, Any]:
    """The answer where a rig can't be worked out."""
    return {"rows": [], "of_load": True, "moves": False, "crew": None, "trouble": [], "fault": str(error)}


def _person(plain: Mapping[str, Any]) -> Person:
    ranges = {key: plain[key] and Range(**plain[key]) for key in ("mass", "pull", "reach")}
    return Person(**{**plain, **ranges, "role": Role(**plain["role"])})


def _data(found: RigAnswer) -> dict[str, Any]:
    return {
        "of_load": found.of_load,
        "moves": found.prepared.haul is not None or found.prepared.lower is not None,
        "crew": found.crew and {"count": found.crew.count, "said": found.crew.said},
        "trouble": list(found.trouble),
        "fault": "",
        "rows": [
            {
                "who": o.person.name,
                "verdict": o.verdict,
                "reasons": list(o.reasons),
                "asks": [_ask(ask) for ask in o.asks],
            }
            for o in found.outlooks
        ],
    }


def _ask(ask: Ask) -> dict[str, Any]:
    return {
        "verb": "hauling" if ask.direction > 0 else "lowering",
        "himself": ask.himself,
        "force": _ends(ask.force),
        "share": _ends(ask.share),
        "best": _count(ask.best),
        "sustained": _count(ask.sustained),
        "pulls": _ends(ask.pulls),
        "time": _ends(ask.time),
    }


def _count(needed: Haulers | None) -> dict[str, Any] | None:
    if needed is None:
        return None
    return {"low": needed.low, "likely": needed.likely, "high": needed.high, "each": needed.each}


def _ends(figure: Range | None) -> dict[str, float] | None:
    if figure is None:
        return None
    return {"low": float(figure.low), "likely": float(figure.likely), "high": float(figure.high)}
