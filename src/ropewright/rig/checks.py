"""What a rig file may not say although its shape is right: names, types, clips, loads and motions."""

from collections.abc import Iterator, Mapping
from typing import Any

from ropewright.catalogue import Family
from ropewright.rig.draft import Draft, Found
from ropewright.rig.faults import article, shown
from ropewright.rig.fields import is_name
from ropewright.rig.model import Gear, Motion

__all__ = ["check_gear", "check_loads", "check_motions", "check_names", "check_places"]

GEAR_FAMILIES: tuple[Family, ...] = ("pulley", "grab", "device", "join", "body")
# The least and the most that a mass can be [kg]; beyond it the file says something else than was meant.
MASSES = {"person": (2.0, 400.0), "litter": (1.0, 1000.0), "pack": (0.01, 500.0), "object": (0.01, 20_000.0)}
MOST_STRENGTH = 2e6  # N; nothing that a team hangs on is rated for 200 t


def check_places(draft: Draft) -> Iterator[Found]:
    """Check the points: strengths that can be, surfaces and protections that the catalogue knows."""
    for name, place in draft.rig.points.items():
        if place.strength and place.strength.high > MOST_STRENGTH:
            found, most = (f"{value / 1000:,.0f} kN" for value in (place.strength.high, MOST_STRENGTH))
            yield Found(("points", name, "strength"), f"found {found}; a strength is at most {most}")
        for key, family in (("surface", "surface"), ("protection", "protection")):
            word = getattr(place, key)
            wrong = word and draft.wrong_type(word, family, wanted=f"`{key}` names {article(family)}")
            if wrong:
                yield Found(("points", name, key), wrong)


def check_loads(draft: Draft) -> Iterator[Found]:
    """Check the loads: masses that can be, what is worn, and that a rope touches each."""
    touched = {draft.root(contact.target) for rope in draft.runs() for contact in rope.run if contact.target}
    for name, load in draft.rig.loads.items():
        least, most = MASSES[load.kind]
        if not least <= load.mass.low <= load.mass.high <= most:
            found = (
                f"{load.mass.low:g} kg"
                if load.mass.is_single
                else f"{load.mass.low:g}..{load.mass.high:g} kg"
            )
            text = f"found {found}; the mass of {article(load.kind)} is between {least:g} and {most:,.0f} kg"
            yield Found(("loads", name, "mass"), text)
        if load.wears:
            wrong = draft.wrong_type(load.wears, "body", wanted="`wears` names what goes round a body")
            if wrong:
                yield Found(("loads", name, "wears"), wrong)
        if name not in touched and draft.all_read:
            text = f"no rope touches `{name}`, nor gear clipped to it"
            right = "tie it in, clip a device to it or remove it"
            yield Found(("loads", name), f"{text}; {right}", key=True, mends="more")


def check_gear(draft: Draft) -> Iterator[Found]:
    """Check the gear: its type, what joins it, what it is clipped to, and that it is somewhere at all."""
    used = {
        name for rope in draft.runs() for contact in rope.run for name in draft.chain(contact.target or "")
    }
    for name, gear in draft.rig.gear.items():
        wrong = draft.wrong_type(gear.type, *GEAR_FAMILIES, wanted=_gear_wanted(draft, gear))
        if wrong:
            yield Found(("gear", name, "is"), wrong)
        yield from _joins(draft, gear)
        if isinstance(gear.at, str):
            yield from _clip(draft, gear)
        elif name not in used and draft.all_read:
            text = (
                f"`{name}` rides on no rope and is clipped to nothing; name what it is clipped to under `at`"
            )
            yield Found(("gear", name), text, key=True, mends="more")
    yield from _states(draft)


def _gear_wanted(draft: Draft, gear: Gear) -> str:
    kind = draft.type_of(gear.type)
    places = {
        "rope": "a rope stands under `ropes`, and gear is",
        "knot": "a knot stands in a run (`tie X with KNOT`), and gear is",
        "surface": "a surface stands at an edge (`surface:`), and gear is",
        "protection": "protection stands at an edge (`protection:`), and gear is",
    }
    return f"{places.get(kind.family if kind else '', 'gear is')} something clipped or riding on rope"


def _joins(draft: Draft, gear: Gear) -> Iterator[Found]:
    if gear.via and not isinstance(gear.at, str):
        text = (
            f"`{gear.name}` rides on its rope, so nothing joins it to a place; leave `via` out or name `at`"
        )
        yield Found(("gear", gear.name, "via"), text, key=True)
        return
    for index, word in enumerate(gear.over):
        place = draft.rig.points.get(word)
        if place is None:
            yield Found(("gear", gear.name, "over", index), draft.unknown(word, "points"))
        elif place.kind != "edge" or not gear.via:
            text = f"`over` names edges that what joins the gear lies on; `{word}` is no edge"
            if place.kind == "edge":
                text = f"nothing joins `{gear.name}` to its place, so nothing of it lies over `{word}`"
            yield Found(("gear", gear.name, "over", index), text)
    for index, word in enumerate(gear.via):
        wrong = draft.wrong_type(word, "join", wanted="`via` lists what joins gear to its place")
        if wrong and (draft.type_of(word) or gear.via != ("carabiner-locking",)):
            yield Found(("gear", gear.name, "via", index), wrong)


def _clip(draft: Draft, gear: Gear) -> Iterator[Found]:
    at, path = str(gear.at), ("gear", gear.name, "at")
    section = draft.sections.get(at)
    if section is None:
        yield Found(path, draft.unknown(at, "points", "loads", "gear"))
    elif section in ("ropes", "crews"):
        noun = {"ropes": "a rope", "crews": "a crew"}[section]
        right = (
            f"write `grip {gear.name}` or `through {gear.name}` in its run"
            if section == "ropes"
            else "name a point"
        )
        yield Found(path, f"`{at}` is {noun}, and gear is clipped to a point, a load or gear; {right}")
    else:
        chain = list(draft.chain(gear.name))
        last = draft.part(chain[-1])
        if isinstance(last, Gear) and last.at == gear.name:
            ring = " to ".join(f"`{word}`" for word in [*chain, gear.name])
            yield Found(path, f"clipped in a ring: {ring}; one of them has to hang on something else")


def _states(draft: Draft) -> Iterator[Found]:
    for name, gear in draft.rig.gear.items():
        kind = draft.type_of(gear.type)
        if kind is None or kind.family not in GEAR_FAMILIES or gear.state == "running":
            continue
        if kind.family != "device":
            text = f"`{gear.state}` is how a device stands. Leave `state` out"
            text = f"{article(kind.family)} has no state; {text}"
            yield Found(("gear", name, "state"), text)
        elif gear.state == "locked-off" and not kind.holding.locks_off:
            text = "it is `running`, or `in-hand` when somebody holds it"
            text = f"{article(kind.name)} can't be locked off; {text}"
            yield Found(("gear", name, "state"), text)


def check_motions(draft: Draft) -> Iterator[Found]:
    """Check that what is hauled or lowered is a load."""
    motions: tuple[tuple[str, Motion | None], ...] = (("haul", draft.rig.haul), ("lower", draft.rig.lower))
    for word, motion in motions:
        if motion is None:
            continue
        section = draft.sections.get(motion.load)
        if section is None:
            yield Found((word, "load"), draft.unknown(motion.load, "loads"))
        elif section != "loads":
            text = f"`{motion.load}` stands under {section}; what is moved is a load"
            yield Found((word, "load"), text)


def check_names(sections: Mapping[str, Mapping[str, Any]]) -> Iterator[Found]:
    """Check that every name is one word and stands once in the whole file."""
    first: dict[str, str] = {}
    for section, parts in sections.items():
        for name in parts:
            if not is_name(name):
                text = "a name is one word of at most 60 letters, digits, - and _, as in `edge-line`"
                yield Found((section, name), f"found {shown(name)} as a name; {text}", key=True)
            elif name in first:
                text = (
                    f"`{name}` stands under {first[name]} already; names are told apart across the whole file"
                )
                yield Found((section, name), text, key=True)
            else:
                first[name] = section
