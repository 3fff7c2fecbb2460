"""What would repair a plan, in words, each with the plan's form filled in so."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from ropewright.allotting import Fetch, Item, Left, Repair
from ropewright.quantity import Units, show_force, show_length, show_mass
from ropewright.web.planning.answer import Answer, ratio_of, reserve_of
from ropewright.web.planning.asked import Asked
from ropewright.web.planning.solved import missing
from ropewright.web.planning.telling import LENT, ratio_told, short_of, what_is
from ropewright.web.planning.without import without_people
from ropewright.web.policy.now import TeamRules

__all__ = ["RepairsTold", "Told", "repairs_told"]


@dataclass(frozen=True, slots=True)
class Told:
    """A repair in words: what is done, what then holds, what is to be minded, what can be opened for it.

    ``barred``: something besides missing pieces stands in the way after it too.
    """

    does: tuple[str, ...]
    then: str
    mind: tuple[str, ...] = ()
    inspect: tuple[Item, ...] = ()
    inspect_url: str = ""
    change_url: str = ""
    barred: bool = False


@dataclass(frozen=True, slots=True)
class RepairsTold:
    """``ways``: nothing is in the way after them. ``pieces``: no piece is missing after them, but a rig can't
    be rigged as it is written. ``without``: leaving such rigs out, where others stay. ``lighter``: leaving
    the rigs, and taking off the rope whom they don't take.
    """

    ways: tuple[Told, ...]
    pieces: tuple[Told, ...]
    steps: tuple[Told, ...]
    fetch: tuple[str, ...]
    without: Told | None
    lighter: Told | None

    def __bool__(self) -> bool:
        return bool(self.ways or self.pieces or self.steps or self.fetch or self.without or self.lighter)


def repairs_told(answer: Answer, rules: TeamRules) -> RepairsTold:
    """The ways through, the single steps, and what would have to come from elsewhere."""
    repairs, without = answer.solved.repairs, _without(answer, rules)
    if without in repairs.ways:
        without = None
    ways = [_told(answer, way, rules) for way in repairs.ways]
    return RepairsTold(
        tuple(told for told in ways if not told.barred),
        tuple(told for told in ways if told.barred),
        tuple(_told(answer, step, rules) for step in repairs.steps if step != without),
        tuple(_fetch(one, rules.units) for one in repairs.fetch),
        _told(answer, without, rules) if without else None,
        _lighter(answer, rules),
    )


def _lighter(answer: Answer, rules: TeamRules) -> Told | None:
    """The plan with those off the rope who may not go there, or whom its rigs don't take."""
    found = without_people(answer, rules)
    if found is None:
        return None
    names = ", ".join(person.name for person in found.off)
    still = [one.name for one in answer.asked if not one.rig.within]
    if found.missing:
        short = "; ".join(f"{count} × {what_is(need, rules.units)}" for count, need in found.missing)
        then = f"Still missing: {short}."
    else:
        then = "No piece is then missing"
        if any(person not in found.off for person in answer.unread):
            then += "; what people weigh is not looked at for you."
        else:
            then += "." if still else ", and every rig is within policy at the masses on record."
    mind = tuple(f"{name} can't be rigged as it is written." for name in still)
    asked = urlencode([(f"off-{person.pk}", "yes") for person in found.off])
    url = f"{reverse('planning:change', args=[answer.plan.pk])}?{asked}"
    return Told((f"Another duty, off the rope: {names}",), then, mind, change_url=url)


def _without(answer: Answer, rules: TeamRules) -> Repair | None:
    """The plan without the rigs that can't be rigged as they are written; None where no rig would be left."""
    rigs = [one for one in answer.asked if one.line is not None]
    if not answer.barred or len(answer.barred) == len(rigs):
        return None
    gone = [k for k, one in enumerate(answer.asked) if one in answer.barred]
    counts = [len(answer.asked[k].units) for k in gone]
    leave = tuple(Left(k, count, count) for k, count in zip(gone, counts, strict=True))
    return Repair((), (), leave, _missing_without(answer, gone, rules))


def _missing_without(answer: Answer, gone: Collection[int], rules: TeamRules) -> tuple[int, ...]:
    """How many pieces of each need are missing where some lines are left out."""
    found = answer.solved.allotment
    unmet = [0] * len(found.needs)
    if found.short:
        kept = [n for n, need in enumerate(found.needs) if need.unit.line not in gone]
        needs, plan = [found.needs[n] for n in kept], answer.plan
        short = missing(needs, answer.cache, plan.day, reserve_of(rules), lend=plan.lend)
        for n, count in zip(kept, short, strict=True):
            unmet[n] = count
    return tuple(unmet)


def _told(answer: Answer, repair: Repair, rules: TeamRules) -> Told:
    does, mind, units = [_leaves(answer, left) for left in repair.leave], list[str](), rules.units
    if repair.inspect:
        does.append(
            f"Have {_items(repair.inspect, units)} inspected by a competent person before {answer.plan.day}"
        )
    if repair.lend:
        does.append(f"Lend {_items(repair.lend, units)} from the front line")
        mind.append(LENT)
    mind += _ratio_after(answer, repair, rules)
    left_over = short_of(answer, repair.unmet, units)
    gone = {left.line for left in repair.leave if left.count == left.of}
    barred = [one for k, one in enumerate(answer.asked) if one in answer.barred and k not in gone]
    if not left_over:
        mind += [f"{_why_barred(one)}: it has to be mended or left out first." for one in barred]
        mind += ["Who may not go on rope has to be taken off it first."] if answer.off_rope else []
    in_the_way = bool(barred or answer.off_rope)
    then = f"Still missing: {left_over}." if left_over else _covered(repair, in_the_way)
    keys = [("item", answer.cache.keys[item.mark]) for item in repair.inspect]
    url = f"{reverse('gear:inspect')}?{urlencode(keys)}" if keys else ""
    change = _change_url(answer, repair)
    return Told(tuple(does), then, tuple(mind), repair.inspect, url, change, in_the_way)


def _leaves(answer: Answer, left: Left) -> str:
    """What is left out: a station goes with the gear that stands at it."""
    one = answer.asked[left.line]
    if one.line is None:
        return "Leave out the gear that stands beside the rigs"
    rigged = left.of - left.count
    if rigged:
        turns = " and take turns" if one.rig.people else ""
        return f"Rig {one.name} {_times(rigged)} instead of {_times(left.of)}{turns}"
    why = ""
    if one in answer.barred:
        why = ", whose text can't be used" if one.rig.fault else f", which is outside policy{_with_whom(one)}"
    return f"Leave out {one.name}{why}{', with the gear that goes with it' if one.extras else ''}"


def _why_barred(one: Asked) -> str:
    if one.rig.beyond:
        return f"{one.name} is outside policy{_with_whom(one)}"
    what = "can't be used" if one.rig.fault else "is outside policy"
    return f"{one.name} {what} as it is written"


def _with_whom(one: Asked) -> str:
    return " with somebody whom the plan puts on rope" if one.rig.beyond else ""


def _ratio_after(answer: Answer, repair: Repair, rules: TeamRules) -> list[str]:
    """What the policy holds against the groups that are left where whole stations go."""
    gone = sum(left.count == left.of and answer.asked[left.line].line is not None for left in repair.leave)
    if not gone or answer.plan.groups is not None:
        return []
    groups = sum(one.line is not None for one in answer.asked) - gone
    ratio = ratio_of(answer.plan.work, answer.students, answer.instructors, groups, rules)
    return [f"Then {ratio_told(ratio)}."] if groups and ratio is not None and not ratio.within else []


def _change_url(answer: Answer, repair: Repair) -> str:
    """The plan's form, filled in as the repair has it; nothing where the plan stays as it is.

    With a station goes the gear that stands at it: else it would stay in the plan, beside the rigs.
    """
    asked = [("lend", "yes")] if repair.lend and not answer.plan.lend else []
    for left in repair.leave:
        one, rigged = answer.asked[left.line], left.of - left.count
        if one.line is not None:
            asked.append((f"rig-{one.line.pk}", str(rigged)))
        if not rigged:
            asked += [(f"extra-{extra.pk}", "0") for extra in one.extras]
    address = reverse("planning:change", args=[answer.plan.pk])
    return f"{address}?{urlencode(asked)}" if asked else ""


def _covered(repair: Repair, in_the_way: bool) -> str:
    if in_the_way:
        return "No piece is then missing, but that is not all that is in the way."
    return "All the rest can be rigged." if repair.leave else "All of it can be rigged."


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def _items(items: Iterable[Item], units: Units) -> str:
    return ", ".join(
        f"{item.mark} of {show_length(item.length, units)}" if item.length else item.mark for item in items
    )


def _fetch(one: Fetch, units: Units) -> str:
    need = one.need
    asked = []
    if need.length is not None:
        asked.append(f"{show_length(need.length, units)} or longer")
    if need.strength is not None:
        asked.append(f"bears {show_force(need.strength, units)} or more")
    if need.user_mass is not None:
        asked.append(f"rated for {show_mass(need.user_mass, units)} or more")
    if need.size:
        asked.append(f"size {need.size}")
    return f"{one.count} × {need.type}" + (f": {', '.join(asked)}" if asked else "")
