"""The roster as the engine takes it: who could be put on the rope, and who hauls."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from ropewright.effort import Person as EnginePerson
from ropewright.effort import Role as EngineRole
from ropewright.effort.profiles import role_named
from ropewright.quantity import Range
from ropewright.web.people.models import Person

__all__ = ["engine_people", "engine_person", "never_hauls", "role_of", "without_mass"]


def engine_people(people: Iterable[Person] | None = None) -> tuple[EnginePerson, ...]:
    """Those on the roster who are active and were weighed; given people, those of them.

    What follows from a mass is as private as the mass: who may read the answer decides `access.sees_mass`.
    """
    chosen = [p for p in _active(people) if p.mass is not None]
    names = Counter(p.name for p in chosen)
    return tuple(
        engine_person(p, p.name if names[p.name] == 1 else f"{p.name} ({p.mark or p.pk})", k)
        for k, p in enumerate(chosen, 1)
    )


def engine_person(person: Person, name: str, row: int = 0) -> EnginePerson:
    """Somebody as the engine takes them, under a name. Their mass has to be known."""
    assert person.mass is not None
    return EnginePerson(
        name=name,
        mass=Range.exactly(person.mass),
        role=role_of(person),
        pull=None if person.pull is None else Range.exactly(person.pull),
        reach=None if person.reach is None else Range.exactly(person.reach),
        row=row,
    )


def without_mass(people: Iterable[Person] | None = None) -> tuple[str, ...]:
    """The names of those who are active and of whom nobody stated a mass: nothing can be said of them."""
    return tuple(p.name for p in _active(people) if p.mass is None)


def role_of(person: Person) -> EngineRole:
    """What somebody does at a rig: as the duty says, less what the entry itself rules out."""
    known = role_named(person.duty)
    if known is None:
        return EngineRole(person.duty, rope=person.on_rope, hauls=person.hauls)
    return EngineRole(known.name, rope=known.rope and person.on_rope, hauls=known.hauls and person.hauls)


def never_hauls(person: Person) -> str:
    """Why somebody is not counted at a rope though the entry says that they haul; empty where they are."""
    role = role_of(person)
    return f"never counted at a rope as {role.name}" if person.hauls and not role.hauls else ""


def _active(people: Iterable[Person] | None) -> list[Person]:
    if people is None:
        return list(Person.objects.filter(active=True))
    return [p for p in people if p.active]
