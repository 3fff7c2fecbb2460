"""The demo's cache: what a small team owns, inspected and used, and with what is wrong in such a cache."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from datetime import date, datetime, time, timedelta
from importlib.resources import files
from typing import Any

from django.utils import timezone

from ropewright.web.accounts.models import Account
from ropewright.web.gear import inspections, issues, states
from ropewright.web.gear.intervals import interval_for
from ropewright.web.gear.kinds import TEXTILES, checklist_of, kind_of
from ropewright.web.gear.models import Inspection, Item, Kit, Place, StateChange
from ropewright.web.gear.uses import UseLine, log
from ropewright.web.people.models import Person

__all__ = ["fill"]

_KEEPER = "Ravi Marchetti"
_LONGEST = 182
"""Days between inspections where the policy states none."""
_DAYS = ("made", "bought")
_SINCE = 40
"""Days since the round of inspections that most of the cache went through."""


def fill() -> None:
    """Make the cache and its story."""
    by = Account.objects.filter(person__name=_KEEPER).first() or Account.objects.order_by("pk")[0]
    table = tomllib.loads((files("ropewright.web.demo") / "gear_stock.toml").read_text(encoding="utf-8"))
    for name, about in table["places"].items():
        Place.objects.create(name=name, about=about)
    for name, kit in table["kits"].items():
        Kit.objects.create(name=name, **(kit | {"place": Place.objects.get(name=kit["place"])}))
    items = {item.mark: item for entry in table["stock"] for item in _stock(entry, by)}
    _inspect_all(items, by)
    _troubles(items, by)
    _uses(items, by)
    _out(items, by)
    _date_back()


def _date_back() -> None:
    """Let the history stand on the days on which it is said to have happened."""
    for made in Inspection.objects.all():
        at = datetime.combine(made.day, time(18), tzinfo=timezone.get_current_timezone())
        Inspection.objects.filter(pk=made.pk).update(entered=at)
        StateChange.objects.filter(inspection=made).update(at=at)
    entered = timezone.now() - timedelta(days=400)
    StateChange.objects.filter(before="").update(at=entered)
    Item.objects.update(entered=entered)


def _stock(entry: Mapping[str, Any], by: Account) -> Iterator[Item]:
    """The items of one stretch of marks."""
    today = timezone.localdate()
    known = {k: v for k, v in entry.items() if k not in ("mark", "count", "doubt", "colour", *_DAYS)}
    known |= {name: today - timedelta(days=entry[name]) for name in _DAYS if name in entry}
    kit = Kit.objects.get(name=entry["kit"]) if "kit" in entry else None
    place = Place.objects.get(name=entry["place"]) if "place" in entry else kit.place if kit else None
    colours = entry.get("colour", [""])
    textile = entry.get("textile", False) or kind_of(entry["type"]).checklist in TEXTILES
    doubt = entry.get("doubt", "")
    for n in range(entry["count"]):
        item = Item(
            mark=f"{entry['mark']}-{n + 1:02d}",
            **(known | {"kit": kit, "place": place, "textile": textile, "colour": colours[n % len(colours)]}),
        )
        yield states.enter(item, by, doubt or "entered from the paper cards", quarantined=bool(doubt))


def _inspect_all(items: Mapping[str, Item], by: Account) -> None:
    """The last round of inspections, a few kinds some weeks apart."""
    today = timezone.localdate()
    for mark, item in items.items():
        if item.state == Item.State.QUARANTINED or mark in ("R60-06", "H-06"):
            continue
        since = {"R45-04": _days(item) + 20, "H-01": _days(item) - 9, "CORD-01": 100}.get(
            mark, _SINCE + (sum(map(ord, mark[:2])) % 5) * 12
        )
        _record(item, "periodic", today - timedelta(days=since), "fit", by)


def _days(item: Item) -> int:
    interval = interval_for(item.type)
    return interval.days if interval else _LONGEST


def _record(
    item: Item,
    level: str,
    day: date,
    verdict: str,
    by: Account,
    found: Mapping[str, tuple[str, str]] | None = None,
    note: str = "",
) -> None:
    """An inspection; ``found`` says what was seen at points that were not good."""
    seen = [
        inspections.Seen(point.point, *(found or {}).get(point.point, ("good", "")))
        for point in checklist_of(item.type)
    ]
    due = day + timedelta(days=_days(item)) if verdict in ("fit", "watch") else None
    inspections.record(item.pk, inspections.Look(level, day, verdict, _KEEPER, seen, note, due), by)


def _troubles(items: Mapping[str, Item], by: Account) -> None:
    """What is wrong: a rope with heat glaze, one without history, a harness that is watched, an old sling."""
    today = timezone.localdate()
    glaze = {"Heat": ("bad", "glazed and hard for 1.5 m, 22 m from the end with the red tape")}
    _record(
        items["R60-05"], "after", today - timedelta(days=12), "quarantine", by, glaze, "fast lower, dry rope"
    )
    states.quarantine(items["R60-06"].pk, "history unknown: found in the trailer without its log", by)
    fluff = {"Webbing": ("watch", "left leg loop a little fluffy under the buckle")}
    _record(
        items["H-02"],
        "detailed",
        today - timedelta(days=20),
        "watch",
        by,
        fluff,
        "look again at the next round",
    )
    Item.objects.filter(mark__in=("R60-05", "R60-06")).update(place=Place.objects.get(name="Quarantine bin"))
    worn = states.enter(
        Item(mark="S-OLD", type="sling", name="1.5 m sling", textile=True, made=today - timedelta(days=4000)),
        by,
    )
    states.retire(worn.pk, "past its ten years; cut up", by)


def _uses(items: Mapping[str, Item], by: Account) -> None:
    """A few lines of the log: a class, and a call by the water."""
    today = timezone.localdate()
    ropes = [item.pk for mark, item in items.items() if mark.startswith(("R60", "D-", "P-0"))]
    log(
        ropes,
        UseLine(today - timedelta(days=33), "lower and raise class", "Harbor tower", 6.0, load=2600.0),
        by,
    )
    day = today - timedelta(days=12)
    rinsed = "salt spray; rinsed and dried"
    wet = UseLine(
        day, "litter lower, night drill", "Breakwater stairs", 3.0, 0, 2400.0, True, exposure=rinsed
    )
    log([items[mark].pk for mark in ("R60-01", "R60-05", "D-01", "D-02", "ED-01")], wet, by)


def _out(items: Mapping[str, Item], by: Account) -> None:
    """Two harnesses are out, and wanted back."""
    issue = issues.give_out(
        issues.Purpose("fitting evening", Person.objects.filter(name="Bram Oduya").first()),
        [issues.Line(items[mark].pk) for mark in ("H-03", "H-04")],
        by,
    )
    issue.until = timezone.localdate() - timedelta(days=1)
    issue.given = timezone.now() - timedelta(days=3)
    issue.save(update_fields=["until", "given"])
