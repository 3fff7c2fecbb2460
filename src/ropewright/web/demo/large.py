"""A large invented team, for measuring: people, items, rigs, years of logs; one seed gives one team."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TypeVar

from django.db import models, transaction
from django.utils import timezone

from ropewright.web.accounts.models import Account
from ropewright.web.demo.rigs import example_texts
from ropewright.web.gear.models import (
    Event,
    Finding,
    Inspection,
    Issue,
    IssuedItem,
    Item,
    Kit,
    Place,
    StateChange,
    Use,
)
from ropewright.web.people.models import Person, Prerequisite, SkillHeld
from ropewright.web.policy.now import by_team_clock
from ropewright.web.rigs.models import Rig, RigVersion

__all__ = ["Large", "fill_large"]

M = TypeVar("M", bound=models.Model)
_FIRST = ("Ada", "Bo", "Cleo", "Dov", "Edda", "Finn", "Gia", "Hale", "Iris", "Jory", "Kai", "Lena", "Milo")
_LAST = ("Alder", "Birch", "Cove", "Drake", "Ember", "Fjord", "Grove", "Heath", "Inlet", "Jetty", "Knoll")
_TYPES = (
    ("carabiner-locking", "C", False, 0.30),
    ("rope-11-low-stretch", "R", True, 0.10),
    ("rope-12.5-low-stretch", "S", True, 0.10),
    ("pulley-single", "P", False, 0.10),
    ("lower-raise-device", "D", False, 0.05),
    ("descender-self-braking", "DP", False, 0.05),
    ("handled-clamp", "K", False, 0.05),
    ("sling", "L", True, 0.15),
    ("harness", "H", True, 0.10),
)
_POINTS = ("body", "moving parts", "edges and wear", "markings", "fit")


@dataclass(frozen=True, slots=True)
class Large:
    """How large."""

    people: int = 200
    items: int = 2000
    rigs: int = 300
    years: int = 5
    seed: int = 1


@transaction.atomic
@by_team_clock()
def fill_large(size: Large) -> dict[str, int]:
    """Add a large team's data to the store; give how many rows of what."""
    rng = random.Random(size.seed)
    author = Account.objects.order_by("pk").first()
    if author is None:
        raise RuntimeError("the store has no account yet; fill the demo first")
    people = _people(size, rng, author)
    items = _items(size, rng)
    _inspections(size, rng, items, author)
    _issues(size, rng, items, people, author)
    _rigs(size, rng, author)
    kinds = (Person, Item, Inspection, Finding, Use, Issue, IssuedItem, StateChange, Event, Rig, RigVersion)
    return {str(kind._meta.verbose_name_plural): kind._default_manager.count() for kind in kinds}


def _save(rows: list[M]) -> list[M]:
    made: list[M] = type(rows[0])._default_manager.bulk_create(rows, batch_size=2000) if rows else []
    return made


def _people(size: Large, rng: random.Random, author: Account) -> list[Person]:
    today = timezone.localdate()
    people = _save(
        [
            Person(
                name=f"{rng.choice(_FIRST)} {rng.choice(_LAST)} {k:03d}",
                duty=rng.choice(["member", "student", "instructor", "rescuer"]),
                mass=round(rng.gauss(88, 14)),
                active=rng.random() < 0.9,
            )
            for k in range(size.people)
        ]
    )
    _save(
        [
            Prerequisite(person=person, kind=kind, expires=today + timedelta(days=rng.randrange(-200, 700)))
            for person in people
            for kind in ("medical", "first aid")
        ]
    )
    _save(
        [
            SkillHeld(person=person, skill=skill, since=_day(rng, size), entered_by=author)
            for person in people
            for skill in rng.sample(["descend", "ascend", "change over", "pick-off", "haul", "edge"], 3)
        ]
    )
    return people


def _day(rng: random.Random, size: Large) -> date:
    return timezone.localdate() - timedelta(days=rng.randrange(1, 365 * size.years))


def _items(size: Large, rng: random.Random) -> list[Item]:
    places = _save([Place(name=f"Large store, bay {k + 1}") for k in range(12)])
    kits = _save([Kit(name=f"Large kit {k + 1:02d}", place=rng.choice(places)) for k in range(40)])
    rows = []
    for k in range(size.items):
        kind, letters, textile, _ = rng.choices(_TYPES, [share for *_, share in _TYPES])[0]
        bought = _day(rng, size)
        rows.append(
            Item(
                mark=f"X{letters}-{k:04d}",
                type=kind,
                textile=textile,
                length=rng.choice([30.0, 45.0, 60.0, 90.0]) if kind.startswith("rope") else None,
                serial=f"{rng.randrange(10**8):08d}",
                bought=bought,
                first_used=bought,
                place=rng.choice(places),
                kit=rng.choice(kits) if rng.random() < 0.6 else None,
                state=rng.choices(
                    [Item.State.IN_SERVICE, Item.State.QUARANTINED, Item.State.RETIRED], [0.9, 0.04, 0.06]
                )[0],
            )
        )
    return _save(rows)


def _inspections(size: Large, rng: random.Random, items: list[Item], author: Account) -> None:
    """Every half year since it was bought, five findings each."""
    today = timezone.localdate()
    rows = []
    for item in items:
        day = item.bought or today
        while day <= today:
            rows.append(
                Inspection(
                    item=item,
                    level="periodic",
                    day=day,
                    verdict="fit",
                    inspector="Bo Heath",
                    entered_by=author,
                )
            )
            item.inspected, item.next_due = day, day + timedelta(days=182)
            day += timedelta(days=rng.randrange(150, 210))
    made = _save(rows)
    _save([Finding(inspection=row, point=point, result="good") for row in made for point in _POINTS])
    Item.objects.bulk_update(items, ["inspected", "next_due"], batch_size=500)


def _issues(
    size: Large, rng: random.Random, items: list[Item], people: list[Person], author: Account
) -> None:
    """Two issues a week, each of thirty items with a line in their logs; now and then an event."""
    today = timezone.localdate()
    issues, lines, uses, events = [], [], [], []
    for week in range(52 * size.years):
        for k in range(2):
            day = today - timedelta(days=7 * week + 3 * k + 1)
            given = timezone.now() - timedelta(days=7 * week + 3 * k + 1)
            what, by = f"Training {day}", rng.choice(people)
            issues.append(Issue(what=what, given=given, given_by=author, taken_by=by, closed=given))
    for issue in _save(issues):
        day = issue.given.date()
        for item in rng.sample(items, 30):
            lines.append(IssuedItem(issue=issue, item=item, back=issue.given))
            hours = rng.choice([1, 2, 4])
            uses.append(Use(item=item, day=day, what=issue.what, hours=hours, issue=issue, entered_by=author))
        if rng.random() < 0.02:
            events.append(
                Event(kind="shock", day=day, text="a jerk in training", issue=issue, reported_by=author)
            )
    _save(lines)
    _save(uses)
    _save(events)
    _save(
        [
            StateChange(item=item, before="in-service", after=item.state, reason="found worn", by=author)
            for item in items
            if item.state != Item.State.IN_SERVICE
        ]
    )


def _rigs(size: Large, rng: random.Random, author: Account) -> None:
    """The shipped rigs with other masses and titles, three versions each."""
    texts = list(example_texts(".rig.yaml"))
    for k in range(size.rigs):
        slug, text = texts[k % len(texts)]
        rig = Rig.objects.create(slug=f"large-{k:03d}-{slug}"[:80])
        for version in _versions(text, k, rng):
            rig.save_version(version, author, title=f"{slug.replace('-', ' ').capitalize()}, no. {k + 1}")


def _versions(text: str, k: int, rng: random.Random) -> Iterator[str]:
    for number in range(3):
        mass = rng.randrange(70, 110)
        changed = re.sub(r"(kind: person, mass: )\d+", rf"\g<1>{mass}", text)
        yield f"{changed.rstrip()}\n# rig {k + 1}, version {number + 1}\n"
