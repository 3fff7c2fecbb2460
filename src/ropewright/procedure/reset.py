"""What has to be put back between turns: the last moment of a procedure against the first, in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from ropewright.catalogue import Catalogue
from ropewright.quantity import Units, show_length
from ropewright.rig import Contact, Gear

from .drawn import SHOWN, slack_at
from .laying import place_for
from .moment import Moment

__all__ = ["Todo", "reset"]

LEAST_SLACK = 0.05
"""Difference [m] in slack from which a rope has to be laid again."""
Kind = Literal["bring back", "put back", "take off", "set", "start"]


@dataclass(frozen=True, slots=True)
class Todo:
    """One thing to do before the next turn, in the words that steps are written in where there are any.

    ``kind`` "start" is for when the next turn begins, all others for when nobody is on the rig; ``steps`` are
    the steps that do it, none where only hands can.
    """

    kind: Kind
    text: str
    steps: tuple[str, ...] = ()


def _step(kind: Kind, text: str) -> Todo:
    """A thing that is a step as it is written."""
    return Todo(kind, text, (text,))


def reset(first: Moment, last: Moment, catalogue: Catalogue, units: Units = "both") -> tuple[Todo, ...]:
    """Everything that has to be done so that ``last`` becomes ``first``; nothing where they are the same.

    What is missing is put back before what is left over comes off, so that nobody who still hangs loses a
    connection before its replacement is on.
    """
    on, off = _hands(first, last)
    return (
        *_with_cords(first, last, _back(first, last, catalogue)),
        *_contacts_off(first, last, catalogue),
        *_gear_off(first, last),
        *on,
        *_states(first, last),
        *off,
        *_places(first, last, units),
        *_slack(first, last, units),
    )


def _differs(a: Gear, b: Gear) -> bool:
    """Whether gear is clipped to something else, or by something else."""
    return (a.at if isinstance(a.at, str) else "", a.via) != (b.at if isinstance(b.at, str) else "", b.via)


def _back(first: Moment, last: Moment, catalogue: Catalogue) -> Iterator[Todo]:
    """Gear to be clipped and ropes to be laid again, each once what it is joined to is there."""
    there = {*last.rig.gear, *first.rig.points, *first.rig.loads, *first.rig.crews}
    clips = [g for g in first.rig.gear.values() if isinstance(g.at, str) and _missing(g, last)]
    wrong = {g.name for g in clips} & set(last.rig.gear)
    there -= wrong
    runs = {rope: list(_kept(first, last, rope)[0]) for rope in first.rig.ropes}
    moved = _moved(first, last, catalogue)
    waiting = True
    while waiting:
        waiting = False
        for item in list(clips):
            if item.at in there:
                clips.remove(item)
                there.add(item.name)
                waiting = True
                yield from _clip(first, last, item)
        for rope in first.rig.ropes:
            for contact in _runs(first, rope):
                if any(_same(c, contact) for c in runs[rope]) or not _at_hand(first, contact, there):
                    continue
                waiting = True
                there.add(str(contact.target))
                at, following = _next_to(_runs(first, rope), runs[rope], contact)
                runs[rope].insert(at, contact)
                if contact.verb != "tie" and contact.target in moved:
                    yield _step("put back", moved.pop(contact.target))
                text = _on(first, last, rope, contact, following, catalogue)
                yield Todo("put back", text) if contact.verb == "over" else _step("put back", text)


def _with_cords(first: Moment, last: Moment, todo: Iterator[Todo]) -> Iterator[Todo]:
    """What goes back on with a cord that came away with it, in one row: nobody untied that cord."""
    rows = list(todo)
    for name, rope in first.rig.ropes.items():
        ties = [str(c.target) for c in rope.run if c.verb == "tie" and c.target]
        grab = next((t for t in ties if t in first.rig.gear and t not in last.rig.gear), None)
        if name in last.rig.ropes or grab is None or len(ties) < 2:
            continue
        own = [t for t in rows if t.steps and t.steps[0].startswith(f"tie {name} to ")]
        put = next((t for t in rows if t.steps and t.steps[0].startswith(f"put {grab} on ")), None)
        if put is None or len(own) != len(ties):
            continue
        others = " and ".join(["it", *(t for t in ties if t != grab)])
        whole = Todo(put.kind, f"{put.text}, with {name} tied to {others}", (*put.steps, *_lines(own)))
        rows = [whole if t is put else t for t in rows if t not in own]
    yield from rows


def _lines(rows: list[Todo]) -> tuple[str, ...]:
    return tuple(line for row in rows for line in row.steps)


def _missing(item: Gear, last: Moment) -> bool:
    now = last.rig.gear.get(item.name)
    return now is None or _differs(item, now)


def _at_hand(first: Moment, contact: Contact, there: set[str]) -> bool:
    """Whether a rope can be laid there: the part is on the rig, or rides on the rope by itself."""
    item = first.rig.gear.get(contact.target or "")
    rides = item is not None and not isinstance(item.at, str) and contact.verb == "grip"
    return rides or contact.target in there


def _next_to(wanted: list[Contact], now: list[Contact], contact: Contact) -> tuple[int, str | None]:
    """Where in a run as it is a contact belongs, and what follows it there."""
    k = next(i for i, c in enumerate(wanted) if _same(c, contact))
    before = [i for i, c in enumerate(now) if any(_same(c, w) for w in wanted[:k])]
    at = max(before) + 1 if before else 0
    return at, now[at].target if at < len(now) else None


def _clip(first: Moment, last: Moment, item: Gear) -> Iterator[Todo]:
    now = last.rig.gear.get(item.name)
    if now is not None and isinstance(now.at, str):
        yield _step("put back", f"unclip {item.name}")
    joins = f" with {' and '.join(item.via)}" if item.via else ""
    lock = "" if item.name in first.unlocked else " and lock"
    yield _step("put back", f"clip {item.name} to {item.at}{joins}{lock}")


def _gear_off(first: Moment, last: Moment) -> Iterator[Todo]:
    left = [item for item in last.rig.gear.values() if item.name not in first.rig.gear]
    for item in reversed(left):  # what is clipped to other gear comes off before that
        if isinstance(item.at, str):
            yield _step("take off", f"unclip {item.name}")


# --- what ropes meet


def _same(a: Contact, b: Contact) -> bool:
    return (a.verb, a.target, a.sheave, a.reversed, a.knot) == (
        b.verb,
        b.target,
        b.sheave,
        b.reversed,
        b.knot,
    )


def _runs(moment: Moment, rope: str) -> list[Contact]:
    found = moment.rig.ropes.get(rope)
    return [c for c in found.run if c.verb not in ("tail", "hand")] if found else []


def _turns(moment: Moment, contact: Contact, catalogue: Catalogue) -> bool:
    item = moment.rig.gear.get(contact.target or "")
    return item is not None and catalogue[item.type].family == "pulley"


def _on(
    moment: Moment, last: Moment, rope: str, contact: Contact, following: str | None, catalogue: Catalogue
) -> str:
    """A contact as the step that makes it, beside what follows it on the rope."""
    part = str(contact.target)
    beside = f" {_side(moment, last, rope, part, following)} {following}" if following else ""
    match contact.verb:
        case "tie":
            knot = f" with {contact.knot}" if contact.knot else ""
            return f"tie {rope} to {part}{knot}"
        case "over":
            return f"lay {rope} over {part}"
        case _:
            wrong = " wrong way round" if contact.reversed else ""
            sheave = f".{contact.sheave}" if contact.sheave > 1 else ""
            if _turns(moment, contact, catalogue):
                return f"reeve {rope} through {part}{sheave}{beside}"
            return f"put {part} on {rope}{beside}{wrong}"


def _side(moment: Moment, last: Moment, rope: str, part: str, following: str) -> str:
    """On which side of what follows it a part goes: so that the step's own words mean that place."""
    run = last.rig.ropes[rope].run if rope in last.rig.ropes else ()
    k = next((i for i, c in enumerate(run) if c.target == following), None)
    if k is not None:
        for side in ("above", "below", "in front of", "behind"):
            if place_for(last, rope, following, side) == k:
                return side
    at = moment.state.at
    return "below" if following in at and at[part][2] < at[following][2] else "above"


def _kept(first: Moment, last: Moment, rope: str) -> tuple[list[Contact], list[Contact]]:
    """What a rope meets at the end that it met at the start in the same order, and what is left over."""
    wanted, at = _runs(first, rope), 0
    kept, left = list[Contact](), list[Contact]()
    for contact in _runs(last, rope):
        k = next((i for i in range(at, len(wanted)) if _same(wanted[i], contact)), None)
        if k is None:
            left.append(contact)
        else:
            kept.append(contact)
            at = k + 1
    return kept, left


def _contacts_off(first: Moment, last: Moment, catalogue: Catalogue) -> Iterator[Todo]:
    moved = _moved(first, last, catalogue)
    for rope in sorted(last.rig.ropes, key=first.rig.ropes.__contains__):  # a foot loop before its clamp
        for contact in _kept(first, last, rope)[1]:
            if contact.verb == "tie" or contact.target not in moved:
                text = _off(last, rope, contact, catalogue)
                yield Todo("take off", text) if contact.verb == "over" else _step("take off", text)


def _off(moment: Moment, rope: str, contact: Contact, catalogue: Catalogue) -> str:
    """A contact as the step that undoes it."""
    if contact.verb == "tie":
        return f"untie {rope} from {contact.target}"
    if _turns(moment, contact, catalogue):
        sheave = f".{contact.sheave}" if contact.sheave > 1 else ""
        return f"take {rope} out of {contact.target}{sheave}"
    what, where = (rope, contact.target) if contact.verb == "over" else (contact.target, rope)
    return f"take {what} off {where}"


def _moved(first: Moment, last: Moment, catalogue: Catalogue) -> dict[str, str]:
    """Gear that is on a rope and belongs elsewhere, and the step that takes it off: it can't be on both."""
    missing = set[str]()
    for rope in first.rig.ropes:
        kept = _kept(first, last, rope)[0]
        missing |= {str(c.target) for c in _runs(first, rope) if not any(_same(c, k) for k in kept)}
    return {
        str(c.target): _off(last, rope, c, catalogue)
        for rope in last.rig.ropes
        for c in _kept(first, last, rope)[1]
        if c.target in missing and c.verb in ("grip", "through") and not _turns(last, c, catalogue)
    }


# --- devices, gates, hands


def _states(first: Moment, last: Moment) -> Iterator[Todo]:
    for item in first.rig.gear.values():
        now = last.rig.gear.get(item.name)
        was, state = item.state, "running" if now is None else now.state
        if was != state:
            if state == "locked-off":
                yield _step("set", f"undo the lock-off of {item.name}")
            elif state == "in-hand":
                yield _step("set", f"let {item.name} close")
            if was == "locked-off":
                yield _step("set", f"lock off {item.name}")
            elif was == "in-hand":
                yield _step("start", f"open {item.name}")
        if now is None or _differs(item, now):
            continue  # its gate is told where it is clipped
        if item.name in last.unlocked and item.name not in first.unlocked:
            yield _step("set", f"lock the gate of {item.name}")
        elif item.name in first.unlocked and item.name not in last.unlocked:
            yield _step("set", f"unlock the gate of {item.name}")


def _hands(first: Moment, last: Moment) -> tuple[list[Todo], list[Todo]]:
    """Hands to be put on ropes, before a device is opened, and hands to be taken off, after it is locked.

    The hand of somebody who hung there left with him.
    """
    on, off = list[Todo](), list[Todo]()
    for rope in first.rig.ropes:
        was = first.hand_of(rope)
        now = last.hand_of(rope) if rope in last.rig.ropes else None
        if was == now:
            continue
        if now is not None and now not in last.rig.loads:
            off.append(Todo("set", f"{now}: hand off {rope}"))
        if was is not None:
            on.append(Todo("start", f"{was}: hand on {rope}"))
    return on, off


# --- where things are


def _load(first: Moment, last: Moment, load: str, units: Units) -> Iterator[Todo]:
    """Where a load starts: the next person begins there, anything else is brought there by hand."""
    person = first.rig.loads[load].kind == "person"
    kind: Kind = "start" if person else "bring back"
    stood, stands = first.standing(load), last.standing(load)
    if stood != stands:
        where = f"stands at {stood}" if stood else "hangs as at the start"
        yield Todo(kind, f"{load} {where}" if person else f"{load} {where} again")
    rise = float(first.state.at[load][2] - last.state.at[load][2])
    aside = float(((first.state.at[load][:2] - last.state.at[load][:2]) ** 2).sum() ** 0.5)
    if abs(rise) >= LEAST_SLACK:
        by = show_length(abs(rise), units)
        way = ("higher" if rise > 0 else "lower") if person else ("up" if rise > 0 else "down")
        told = f"{load} {by} {way} than where this turn ended"
        yield Todo(kind, told if person else f"{load} {way} {by}, to where it starts")
    if aside >= 0.2:
        by = show_length(aside, units)
        yield Todo(
            kind, f"{load} {by} beside where this turn ended" if person else f"{load} {by} back sideways"
        )


def _places(first: Moment, last: Moment, units: Units) -> Iterator[Todo]:
    for load in first.rig.loads:
        yield from _load(first, last, load, units)
    for loop in {lp.load: lp for lp in (*first.loops, *last.loops)}.values():
        before, after = first.loop_of(loop.load), last.loop_of(loop.load)
        if before is not None and after is None:
            yield Todo("start", f"{loop.load} stands in {loop.rope}")
    for item in first.rig.gear.values():
        now = last.rig.gear.get(item.name)
        if (
            now is None
            or isinstance(item.at, str)
            or isinstance(now.at, str)
            or item.name not in last.state.at
        ):
            continue
        rise = float(first.state.at[item.name][2] - last.state.at[item.name][2])
        if abs(rise) >= LEAST_SLACK:
            way = "up" if rise > 0 else "down"
            yield Todo("bring back", f"{item.name} {way} {show_length(abs(rise), units)} on its rope")


def _slack(first: Moment, last: Moment, units: Units) -> Iterator[Todo]:
    """Slack that a rope has at the start before what is on it, where it is another one now."""
    for rope in first.rig.ropes.values():
        for k, contact in enumerate(rope.run):
            if contact.target is None or contact.verb in ("hand", "over"):
                continue
            wanted = slack_at(first, rope.name, k)
            now = _slack_now(last, rope.name, contact)
            if now is None and wanted < SHOWN:
                continue
            if now is not None and abs(now - wanted) < LEAST_SLACK:
                continue
            want = f"{show_length(wanted, units)} slack" if wanted >= SHOWN else "no slack"
            hanging = ", once hanging" if len(first.stands) < len(first.rig.loads) else ""
            text = f"{rope.name} before {contact.target}{hanging}: {want}"
            if now is not None:
                text += f" ({show_length(now, units)} now)" if now >= SHOWN else " (none now)"
            yield Todo("start" if hanging else "set", text)


def _slack_now(moment: Moment, rope: str, contact: Contact) -> float | None:
    found = moment.rig.ropes.get(rope)
    for k, other in enumerate(found.run if found else ()):
        if _same(other, contact):
            return slack_at(moment, rope, k)
    return None
