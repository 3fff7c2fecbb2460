"""What a plan's page says, in words: why it can't be rigged, what is to be minded, who is over a limit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Literal

from ropewright.allotting import Item, Need, Over, Row
from ropewright.quantity import Units, show_length, show_mass
from ropewright.web.planning.answer import Answer, RatioAsked
from ropewright.web.planning.asked import Asked
from ropewright.web.planning.gaps import gaps_told
from ropewright.web.planning.lots import Gone, Lot
from ropewright.web.planning.needs import AtMass
from ropewright.web.planning.sameday import SameDay
from ropewright.web.planning.verdict import people_told
from ropewright.web.policy.now import TeamRules
from ropewright.web.workings.engine import own_rules_told

__all__ = [
    "LENT",
    "Said",
    "cautions",
    "day_words",
    "lot_told",
    "over_told",
    "ratio_told",
    "short_of",
    "turns_told",
    "what_is",
    "why_not",
]


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence, how grave it is, and the name of the part of the page that says more."""

    level: Literal["stop", "caution", "note"]
    text: str
    more: str = ""


def what_is(piece: Row | Need, units: Units) -> str:
    """A piece by its type, its length and its size: `rope-12.5-low-stretch, 61 m (200 ft)`."""
    long = [show_length(piece.length, units)] if piece.length is not None else []
    return ", ".join([piece.type, *long, *([f"size {piece.size}"] if piece.size else [])])


def short_of(answer: Answer, unmet: Iterable[int], units: Units) -> str:
    """What is missing, row by row: `2 × pulley-single; 1 × sling`."""
    missing = list(unmet)
    found = [(sum(missing[n] for n in row.needs), row) for row in answer.rows]
    return "; ".join(f"{count} × {what_is(row, units)}" for count, row in found if count)


def why_not(answer: Answer, units: Units, *, public: bool = False) -> Iterator[Said]:
    """Why it can't be rigged, all reasons together. ``public``: without anybody's name or mass, for paper."""
    if not answer.asked:
        yield Said("stop", "The plan names no rig yet.")
    for one in answer.unusable:
        yield Said(
            "stop",
            f"{one.name}: the text of {one.version and one.version.file} can't be used. {one.rig.fault}",
        )
    for one in answer.outside:
        yield Said(
            "stop", f"{one.name}: {one.version and one.version.file} is outside policy as it is written."
        )
    for one in answer.beyond:
        if public:
            yield Said("stop", f"{_file(one)} is outside policy with somebody whom the plan puts on rope.")
        else:
            yield from (Said("stop", _beyond_told(answer, one, at, units)) for at in one.rig.beyond)
    if answer.off_rope:
        names = f": {', '.join(p.name for p in answer.off_rope)}"
        count = "" if not public else f": {len(answer.off_rope)} of those whom the plan puts there"
        yield Said("stop", f"May not go on rope by the roster{count or names}.", "people")
    found = answer.solved.allotment
    if found.short:
        yield Said("stop", f"Missing: {short_of(answer, found.unmet, units)}.", "demand")


_MOST_WRONG = 3


def _file(one: Asked) -> str:
    return f"{one.name}: {one.version and one.version.file}"


def _beyond_told(answer: Answer, one: Asked, at: AtMass, units: Units) -> str:
    """At which mass a rig is outside policy, whose it is, and by which rules: for those who read the mass."""
    names = ", ".join(person.name for person in answer.at(at.mass))
    whose = f", the mass of {names}" if names else ""
    wrong = " ".join(_ended(text) for text in at.wrong[:_MOST_WRONG])
    more = len(at.wrong) - _MOST_WRONG
    rest = f" And {more} more." if more > 0 else ""
    return (
        f"At {show_mass(at.mass, units)}{whose}, {_file(one)} is outside policy. {wrong}{rest} Another "
        "duty for whoever it does not take, or a rig written for that mass."
    )


def _ended(text: str) -> str:
    return text if text.endswith((".", "?", "!")) else f"{text}."


def lot_told(lot: Lot, gone: Gone) -> str:
    """What of a lot may no longer be used, since when and by which event."""
    count = len(gone.marks)
    since = f" since {gone.since}" if gone.since else ""
    why = f"by the event “{gone.event}”" if gone.event else f"for this reason: {gone.reason}"
    are = " is" if count == 1 else "s are"
    return (
        f"{count} item{are} {gone.state} that went out for “{lot.issue}”,{since} {why}: "
        f"{', '.join(gone.marks)}. Other items are proposed in their place as far as there are any."
    )


def cautions(answer: Answer, rules: TeamRules) -> Iterator[Said]:
    """What else has to be known before anybody says yes."""
    for lot in answer.lots:
        yield from (Said("stop", lot_told(lot, gone), "lots") for gone in lot.gone)
    ratio = answer.ratio
    if ratio is not None and not ratio.within:
        yield Said("stop", f"Students and instructors: {ratio_told(ratio)}.", "people")
    if 0 < answer.places < answer.students:
        yield Said("caution", turns_told(answer), "people")
    for one in answer.asked:
        own = "" if one.version is None or one.rig.fault else own_rules_told(one.version.text, rules)
        if own:
            yield Said(
                "caution",
                f"{one.name}: {one.version and one.version.file} is judged by rules of its own: {own}.",
            )
    found, cache = answer.solved.allotment, answer.cache
    if found.lent:
        marks = _marks(found.lent)
        yield Said("caution", f"Lent from the front line: {marks}. {LENT}", "reserve")
    for kept in answer.kept:
        if kept.short:
            yield Said(
                "caution",
                f"The front line holds {kept.holds} of the {kept.reserve.count} × {kept.reserve.type} that "
                "the policy keeps there.",
                "reserve",
            )
    back = sorted(mark for mark in {given.item.mark for given in found.given} if mark in cache.back)
    if back:
        yield Said(
            "caution",
            f"Counted though they are out now, as they are wanted back before the day: {', '.join(back)}.",
        )
    yield from (Said("caution", text, "items") for text in gaps_told(answer))
    if not found.proven:
        yield Said(
            "note",
            "Which rig has which of these items was not searched to the end: kits may be spread over more "
            "rigs than need be.",
        )
    if answer.beside is not None:
        yield _beside(answer.beside, rules.units)


def turns_told(answer: Answer) -> str:
    """That more people are named than the rigs hold at once."""
    places = f"{answer.places} place{'' if answer.places == 1 else 's'}"
    return (
        f"{people_told(answer.students)} for {places}: they take turns; each needs a harness of their own or "
        "changes in turn. What is worn or carried on the body is planned for the places, not for everybody."
    )


_HOLD = "Only what is given out is held: look again once the other has its gear."
LENT = "Training wear then goes back onto the rig: inspect it first."


def _beside(beside: SameDay, units: Units) -> Said:
    """What the other plans of the day change."""
    names = ", ".join(f"“{plan.title}”" for plan in beside.plans)
    names += f" and {beside.more} more, which were not looked at" if beside.more else ""
    if not beside.missing:
        text = (
            f"There is enough for {names} that day too, but the same items may be proposed for both. {_HOLD}"
        )
        return Said("note" if not beside.more else "caution", text)
    short = "; ".join(f"{count} × {what_is(need, units)}" for count, need in beside.missing)
    return Said("caution", f"Together with {names} that day, pieces are missing: {short}. {_HOLD}")


def ratio_told(ratio: RatioAsked) -> str:
    """The fullest group against what the policy allows."""
    worst = ratio.worst
    who = (
        f"{worst.instructors} instructor{'' if worst.instructors == 1 else 's'}"
        if worst.instructors
        else "no instructor"
    )
    groups = f"of {worst.groups} groups one has" if worst.groups > 1 else "there are"
    return (
        f"{groups} {worst.students} students and {who}; the policy allows {ratio.most:g} for one instructor"
    )


def _marks(items: Iterable[Item]) -> str:
    return ", ".join(item.mark for item in items)


# --- people


def over_told(answer: Answer, over: Over, units: Units) -> str:
    """Who is over a limit of the gear, by name and mass: for those alone who may read that mass."""
    person = answer.people[int(over.name)]
    return f"{person.name}, {show_mass(over.mass, units)} with gear: {_limit(answer, over, units)}"


def _limit(answer: Answer, over: Over, units: Units) -> str:
    station = answer.asked[over.line].name
    said = []
    for limit in over.limits:
        what = f"{limit.part}{f' ({limit.mark})' if limit.mark else ''}"
        if limit.most is None:
            said.append(f"nobody has said how many kilograms {what} is rated for")
        else:
            besides = f" with {show_mass(limit.others, units)} more on it" if limit.others else ""
            said.append(f"{what} is rated for {show_mass(limit.most, units)}{besides}")
    word = "equipment limit" if over.known else "not known"
    may = f"; may go on {', '.join(unit.name for unit in over.may)}" if over.may else ""
    return f"{word} at {station}: {'; '.join(said)}{may}"


def day_words(day: date, today: date) -> str:
    """How far off a day is."""
    days = (day - today).days
    return (
        "today"
        if days == 0
        else f"in {days} days"
        if days > 1
        else "tomorrow"
        if days == 1
        else f"{-days} days ago"
    )
