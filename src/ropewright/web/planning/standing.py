"""Whether those whom a plan puts on rope may be there that day, by the roster; nothing private is read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from ropewright.web.people.expiry import standings
from ropewright.web.people.models import Person
from ropewright.web.people.roster import role_of

__all__ = ["doubts_of", "marked", "may_not", "on_rope_told"]

NOTHING = "nothing entered: medical, certificates and what else must be there before somebody trains"
_SHORT = {NOTHING: "nothing entered"}


def may_not(person: Person) -> bool:
    """Whether the roster says that somebody may not go on rope."""
    return not person.on_rope


def doubts_of(person: Person, day: date) -> list[str]:
    """What speaks against somebody training on a day, in the words of their own page."""
    held = list(person.prerequisites.all())
    found = [
        f"{each.prerequisite.kind} {each.words}" for each in standings(held, day) if each.mark == "expired"
    ]
    if not held:
        found.append(NOTHING)
    if not person.active:
        found.append("no longer active on the roster")
    if person.on_rope and not role_of(person).rope:
        found.append(f"by duty {role_of(person).name}, whom no rig counts on rope")
    return found


def on_rope_told(people: Iterable[Person], day: date) -> Iterator[str]:
    """Everybody against whom something speaks, with it."""
    for person in people:
        doubts = doubts_of(person, day)
        if doubts:
            yield f"{person.name}: {'; '.join(doubts)}"


def marked(person: Person, day: date) -> str:
    """Somebody's name where they are chosen, with what speaks against it."""
    against = ["may not go on rope"] if may_not(person) else []
    against += [_SHORT.get(doubt, doubt) for doubt in doubts_of(person, day)]
    return f"{person.name} ({'; '.join(against)})" if against else person.name
