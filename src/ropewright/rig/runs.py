"""What the run of a rope may not say: ends, targets, sheaves, knots, and rope with nowhere to go."""

import math
from collections.abc import Callable, Iterator

from ropewright.rig.draft import Draft, Found, is_unread
from ropewright.rig.faults import article, listed
from ropewright.rig.model import Contact, Gear, Load, Rope, Verb
from ropewright.rig.yamltext import Path

__all__ = ["check_runs"]

# What may open and close a run. A rope that ends in a grab hangs free behind it.
OPENS: tuple[Verb, ...] = ("tie", "grip")
CLOSES: tuple[Verb, ...] = ("tie", "grip", "hand", "tail")
ENDS: tuple[Verb, ...] = ("hand", "tail")
HANDLESS = ("pack", "object")
NEAR = 1e-6  # m; closer than this two places are one


def check_runs(draft: Draft) -> Iterator[Found]:
    """Check every rope: its type and its run."""
    for rope in draft.runs():
        wrong = draft.wrong_type(rope.type, "rope", wanted="a rope's type is a rope")
        if wrong:
            yield Found(("ropes", rope.name, "is"), wrong)
        yield from _ends(rope)
        for index, contact in enumerate(rope.run):
            check = None if is_unread(contact) else _CHECKS.get(contact.verb)
            path: Path = ("ropes", rope.name, "run", index)
            yield from (Found(path, text) for text in (check(draft, contact) if check else ()))
        yield from _strands(draft, rope)


def _ends(rope: Rope) -> Iterator[Found]:
    path: Path = ("ropes", rope.name, "run")
    if len(rope.run) < 2:
        found = f"{len(rope.run)} contact{'s' * (len(rope.run) != 1)}"
        yield Found(
            path,
            f"found {found}; a run has at least two, from the end made fast to the hand or the tail",
            mends="run",
        )
        return
    first, last = rope.run[0], rope.run[-1]
    if first.verb not in (*OPENS, *ENDS) and not is_unread(first):
        yield Found(
            (*path, 0),
            f"the run starts at `{first.verb}`; it starts where the rope is made fast: `tie` or `grip`",
            mends="run",
        )
    if first.slack:
        yield Found(
            (*path, 0), "`slack` belongs to the span that ends at a contact, and none ends at the first"
        )
    for index, contact in enumerate(rope.run[:-1]):
        if contact.verb in ENDS and not is_unread(contact):
            text = f"`{contact.verb}` ends a run, but {_more(len(rope.run) - 1 - index)} behind it"
            yield Found((*path, index), f"{text}; move it to the end", mends="run")
    if last.verb not in CLOSES:
        yield Found(
            (*path, len(rope.run) - 1),
            f"the run ends nowhere, at `{last.verb}`; end it with `hand X`, `tail`, `tie X` or `grip G`",
            mends="run",
        )


def _more(count: int) -> str:
    return "one contact stands" if count == 1 else f"{count} contacts stand"


def _tie(draft: Draft, contact: Contact) -> Iterator[str]:
    name = contact.target or ""
    section = draft.sections.get(name)
    if section is None:
        yield draft.unknown(name, "points", "loads", "gear")
    elif section == "crews":
        yield f"`{name}` is a crew, which holds rope in its hands; write `hand {name}` at the end of the run"
    elif section == "ropes":
        yield f"`{name}` is a rope; tie to a point, a load, or gear such as a grab on it"
    if contact.knot:
        wrong = draft.wrong_type(contact.knot, "knot", wanted="`with` names a knot")
        if wrong:
            yield wrong


def _gear_type(draft: Draft, contact: Contact) -> Iterator[str]:
    """Refuse what is not gear; a part already at fault and an unknown type are told elsewhere."""
    name = contact.target or ""
    section = draft.sections.get(name)
    if section is None:
        yield draft.unknown(name, "gear")
    elif section != "gear":
        right = {
            "points": f"write `over {name}` where rope bends on it, or clip a pulley to it",
            "loads": f"clip gear to it (`at: {name}`) and name the gear",
        }.get(section, "name the gear")
        yield f"`{name}` stands under {section}; `{contact.verb}` wants a piece of gear: {right}"


def _grip(draft: Draft, contact: Contact) -> Iterator[str]:
    yield from _gear_type(draft, contact)
    part = draft.part(contact.target)
    kind = draft.type_of(part.type) if isinstance(part, Gear) else None
    if kind is None:
        return
    if kind.family not in ("grab", "device") or not kind.holding.bites:
        grabs = [word for word, entry in draft.catalogue.items() if entry.family == "grab"]
        passes = f"write `through {contact.target}` or " if _passes(draft, contact) else ""
        right = f"{passes}use a grab"
        found = f"`{contact.target}` is {article(kind.name)}, which does not bite a rope"
        yield f"{found}; {right}, as in {listed(grabs[:3], 'or')}"


def _passes(draft: Draft, contact: Contact) -> int:
    """Count the ways through a piece of gear; a device that has no sheave still has one."""
    part = draft.part(contact.target)
    kind = draft.type_of(part.type) if isinstance(part, Gear) else None
    if kind is None:
        return 0
    bend = kind.family == "device" or "efficiency" in kind.figures
    return max(kind.sheaves, 1 if bend and kind.family != "grab" else 0)


def _through(draft: Draft, contact: Contact) -> Iterator[str]:
    yield from _gear_type(draft, contact)
    part = draft.part(contact.target)
    kind = draft.type_of(part.type) if isinstance(part, Gear) else None
    if kind is None:
        return
    ways = _passes(draft, contact)
    if ways == 0:
        right = (
            f"write `grip {contact.target}`"
            if kind.holding.bites
            else "use a pulley, a device or a carabiner"
        )
        yield f"no rope runs through {article(kind.name)}; {right}"
    elif contact.sheave > ways:
        count = "one way" if ways == 1 else f"{ways} sheaves"
        right = f"`through {contact.target}`" if ways == 1 else f"`through {contact.target}.1` to `.{ways}`"
        found = f"sheave {contact.sheave} of `{contact.target}` does not exist"
        yield f"{found}: {article(kind.name)} has {count}; write {right}"


def _over(draft: Draft, contact: Contact) -> Iterator[str]:
    name = contact.target or ""
    section = draft.sections.get(name)
    if section is None:
        yield draft.unknown(name, "points")
    elif section != "points":
        right = f"write `through {name}`" if section == "gear" else "name an edge under points"
        yield f"`{name}` stands under {section}; rope runs over an edge, which is a point: {right}"


def _hand(draft: Draft, contact: Contact) -> Iterator[str]:
    name = contact.target or ""
    section = draft.sections.get(name)
    part = draft.part(name)
    if section is None:
        yield draft.unknown(name, "crews", "loads")
    elif section not in ("crews", "loads"):
        right = f"write `tie {name}`" if section in ("points", "gear") else "name a crew or a load"
        yield f"`{name}` stands under {section} and has no hands; {right}"
    elif isinstance(part, Load) and part.kind in HANDLESS:
        yield f"`{name}` is {article(part.kind)} and has no hands; name a crew or a person"


_CHECKS: dict[Verb, Callable[[Draft, Contact], Iterator[str]]] = {
    "tie": _tie, "grip": _grip, "through": _through, "over": _over, "hand": _hand,
}  # fmt: skip


def _strands(draft: Draft, rope: Rope) -> Iterator[Found]:
    """Refuse strands of no length and grips that stand on the rope in another order than in the world."""
    for index in range(1, len(rope.run)):
        before, here = rope.run[index - 1], rope.run[index]
        if not before.target or not here.target or here.verb == "hand":
            continue
        if before.target not in draft.sections or here.target not in draft.sections:
            continue
        path: Path = ("ropes", rope.name, "run", index)
        way = f"from `{before.target}` to `{here.target}`"
        if draft.root(before.target) == draft.root(here.target):
            yield Found(path, f"{way}: both are at one place, with no rope between", mends="run")
        elif _gap(draft, before.target, here.target) < NEAR:
            yield Found(path, f"{way} is no distance; move one of them", mends="run")
        elif (
            index > 1
            and before.verb == here.verb == "grip"
            and _crossed(draft, rope.run[index - 2 : index + 1])
        ):
            order = f"along the rope `{before.target}` comes first, in space `{here.target}` does"
            yield Found(
                path, f"the grips cross: {order}; swap them in the run or in their places", mends="run"
            )


def _gap(draft: Draft, one: str, other: str) -> float:
    first, second = draft.position(one), draft.position(other)
    return math.dist(first, second) if first and second else math.inf


def _crossed(draft: Draft, three: tuple[Contact, ...]) -> bool:
    """Whether a rope from the first would have to pass the third before the second, and double back."""
    places = [draft.position(contact.target) for contact in three if contact.target]
    if len(places) < 3 or None in places:
        return False
    start, near, far = (place for place in places if place is not None)
    out = [b - a for a, b in zip(start, near, strict=True)]
    back = [b - a for a, b in zip(near, far, strict=True)]
    lengths = math.hypot(*out) * math.hypot(*back)
    turned = sum(a * b for a, b in zip(out, back, strict=True)) < -0.5 * lengths
    return lengths > 0 and turned and math.dist(start, far) < math.dist(start, near)
