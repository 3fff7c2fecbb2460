"""A person's entry as somebody may read it: the private part only for those who may."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ropewright.quantity import Units, show_force, show_length, show_mass
from ropewright.web.access import sees_mass
from ropewright.web.accounts.models import Account
from ropewright.web.histories import Change, Told, changes
from ropewright.web.people.expiry import Standing, standings
from ropewright.web.people.models import Person, SkillHeld
from ropewright.web.people.privacy import PRIVATE, private_of
from ropewright.web.people.roster import never_hauls
from ropewright.web.policy.now import rules_now

__all__ = ["Entry", "entry_of", "history_of"]

_MOST_CHANGES = 200


@dataclass(frozen=True, slots=True)
class Entry:
    """What stands on the page of a person. ``private``: lines of label and text; None for others."""

    person: Person
    facts: tuple[tuple[str, str], ...]
    private: tuple[tuple[str, str], ...] | None
    standings: list[Standing]
    skills: list[SkillHeld]


def entry_of(person: Person, account: Account) -> Entry:
    """A person's entry for somebody who asks."""
    secret = private_of(person, account)
    return Entry(
        person,
        tuple(_facts(person)),
        _private(person, rules_now().units) if secret else None,
        standings(person.prerequisites.all()),
        list(person.skills.select_related("entered_by__person")),
    )


def _facts(person: Person) -> list[tuple[str, str]]:
    hauls = "yes" if person.hauls else "no"
    why = never_hauls(person)
    return [
        ("Duty", person.duty or "none stated"),
        ("Agency", person.agency or "none stated"),
        ("Own number", person.mark or "none"),
        ("May go on rope", "yes" if person.on_rope else "no"),
        ("May haul", f"no, {why}" if why else hauls),
        ("Note", person.note or "none"),
    ]


def _private(person: Person, units: Units) -> tuple[tuple[str, str], ...]:
    stated = "not stated"
    return (
        (
            "Mass with gear",
            f"{show_mass(person.mass, units) if person.mass is not None else stated}"
            f"{f', weighed {person.weighed}' if person.weighed else ''}",
        ),
        (
            "Measured pull",
            f"{show_force(person.pull, units) if person.pull is not None else 'not measured'}"
            f"{f', on {person.pull_measured}' if person.pull_measured else ''}",
        ),
        (
            "Rope for each pull",
            show_length(person.reach, units) if person.reach is not None else "not measured",
        ),
        ("Limits", person.limits or "none stated"),
    )


def history_of(person: Person, account: Account) -> list[Change]:
    """Every change of a person, the newest first; private figures only for those who may read them."""
    fields = dict(_told(rules_now().units))
    if not sees_mass(account, person):
        fields = {key: told for key, told in fields.items() if key not in PRIVATE}
    out = changes(person.history.select_related("history_user__person")[:_MOST_CHANGES], fields)
    for model, told in ((person.prerequisites.model, _PREREQUISITE), (person.skills.model, _SKILL)):
        records = model.history.filter(person=person).select_related("history_user__person")
        by_thing: dict[int, list[object]] = {}
        for record in records.order_by("-history_date", "-history_id")[:_MOST_CHANGES]:
            by_thing.setdefault(record.id, []).append(record)
        for found in by_thing.values():
            out += changes(found, told, str(getattr(found[0], "kind", "") or getattr(found[0], "skill", "")))
    return sorted(out, key=lambda change: change.when, reverse=True)[:_MOST_CHANGES]


def _told(units: Units) -> Mapping[str, Told]:
    def figure(show: object) -> object:
        return lambda value: "not stated" if value is None else show(value, units)  # type: ignore[operator]

    return {
        "name": ("name", str),
        "mark": ("own number", str),
        "duty": ("duty", str),
        "agency": ("agency", str),
        "on_rope": ("may go on rope", _yes),
        "hauls": ("may haul", _yes),
        "active": ("active", _yes),
        "note": ("note", str),
        "mass": ("mass with gear", figure(show_mass)),  # type: ignore[dict-item]
        "weighed": ("weighed", _day),
        "pull": ("measured pull", figure(show_force)),  # type: ignore[dict-item]
        "pull_measured": ("pull measured", _day),
        "reach": ("rope for each pull", figure(show_length)),  # type: ignore[dict-item]
        "limits": ("limits", str),
    }


def _yes(value: object) -> str:
    return "yes" if value else "no"


def _day(value: object) -> str:
    return str(value) if value else "not stated"


_PREREQUISITE: Mapping[str, Told] = {
    "kind": ("what", str),
    "got": ("since", _day),
    "expires": ("expires", _day),
    "note": ("note", str),
}
_SKILL: Mapping[str, Told] = {
    "skill": ("skill", str),
    "since": ("since", _day),
    "verified": ("last seen", _day),
    "source": ("where that is written", str),
}
