"""What the gear of a rig takes of whoever hangs on it, whether the rig moves anybody or not.

Somebody over a limit has failed nothing: it is a limit of the equipment. What nobody stated is not known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from ropewright.allotting import Limit, Unit, limits_of
from ropewright.effort import Person, prepare
from ropewright.rig import Rig
from ropewright.web.policy.now import rules_now
from ropewright.web.workings.engine import catalogue, read_for_team
from ropewright.web.workings.results import kept
from ropewright.web.workings.waiting import leave_to_worker

__all__ = ["limits_told", "worn_in"]

Group = tuple[bool, Sequence[tuple[str, Person]]]
"""People to be shown, and whether by their names."""


def limits_told(text: str, groups: Sequence[Group]) -> list[dict[str, Any]]:
    """Every limit of every place that a person has in the rig, those first that somebody is over.

    Keys of each: `person` (the place), `part`, `type`, `most` [kg] (None: nobody stated it), `others` [kg]
    that hang on it besides, `room` [kg] that is left for the person, `over` (who of the groups is over it).
    """
    rules = rules_now()
    parts = (text, rules.number, rules.name)

    def work() -> dict[str, Any]:
        read = read_for_team(text, rules)
        leave_to_worker(read, "rig-limits", parts, {"text": text, "rules": rules.number})
        return worn_in(read)

    rows = []
    for worn in kept("rig-limits", parts, work)["worn"]:
        limit = Limit(Unit(0), **worn)
        over = [_over(limit, people, named=named) for named, people in groups]
        room = None if limit.most is None else limit.most - limit.others
        rows.append({**worn, "room": room, "over": [names for names in over if names]})
    return sorted(rows, key=lambda row: (not row["over"], row["most"] is not None))


def worn_in(rig: Rig) -> dict[str, Any]:
    """The gear of a rig whose limits somebody's mass counts against, as the store keeps it."""
    return {"worn": [asdict(worn) for worn in limits_of(prepare(rig, catalogue()))]}


def _over(limit: Limit, people: Sequence[tuple[str, Person]], *, named: bool) -> list[str]:
    """Who is over a limit; those of the roster who never go on rope hang on nothing."""
    return [
        words
        for words, person in people
        if limit.allows(person.mass.high) is False and (person.role.rope or not named)
    ]
