"""Rigs made at random that a rig file can hold."""

import math
from typing import Any

from hypothesis import assume
from hypothesis import strategies as st

from ropewright.catalogue.profiles import profile, pulls
from ropewright.quantity import Range
from ropewright.rig import (
    Contact,
    Crew,
    Gear,
    GearState,
    Load,
    Motion,
    Place,
    Rig,
    RigFileError,
    Rope,
    read_rig,
    write_rig,
)
from ropewright.rig.yamltext import hidden_character, is_blank

__all__ = ["rigs", "words"]

_NAME = st.from_regex(r"[A-Za-z0-9_äøßעλ][A-Za-z0-9_\-äøßעλ]{0,11}", fullmatch=True)
_ODD_NAMES = st.sampled_from(
    ["yes", "null", "true", "12", "1e5", "0x1F", "slack", "with", "tail", "-".join("ab")]
)


def words(longest: int) -> st.SearchStrategy[str]:
    """Make words as a title holds them: one line, single blanks, nothing hidden."""
    visible = st.characters(categories=["L", "N", "P", "S", "M"], include_characters=" ")
    written = st.text(visible, min_size=1, max_size=longest).map(lambda text: " ".join(text.split()))
    return written.map(lambda text: "x" if is_blank(text) or hidden_character(text) else text)


def _notes() -> st.SearchStrategy[str]:
    lines = st.lists(words(20), min_size=1, max_size=3).map("\n".join)
    return st.one_of(st.just(""), words(40), lines)


def _number(least: float, most: float) -> st.SearchStrategy[float]:
    round_ones = st.integers(math.ceil(least * 100), math.floor(min(most, 1e7) * 100)).map(lambda n: n / 100)
    return st.one_of(round_ones, st.floats(least, most)).map(lambda x: x + 0.0)


@st.composite
def _ranges(draw: st.DrawFn, least: float, most: float) -> Range:
    low, likely, high = sorted(draw(st.tuples(*[_number(least, most)] * 3)))
    return draw(st.sampled_from([Range.exactly(likely), Range.between(low, high), Range(low, likely, high)]))


STATES: tuple[GearState, ...] = ("running", "locked-off", "in-hand")
_COORDINATE = _number(-2000, 2000)
_POINT = st.tuples(_COORDINATE, st.one_of(st.just(0.0), _COORDINATE), _COORDINATE)


@st.composite
def _contacts(draw: st.DrawFn, names: dict[str, list[str]], *, first: bool = False) -> Contact:
    slack = 0.0 if first else draw(st.one_of(st.just(0.0), _number(0.01, 900)))
    back = draw(st.booleans())
    verbs = ["tie", "grip"] if first else ["tie", "grip", "through", "double", "over"]
    verb = draw(st.sampled_from([verb for verb in verbs if names[verb]]))
    target = draw(st.sampled_from(names[verb]))
    if verb == "tie":
        return Contact(
            "tie", target, knot=draw(st.sampled_from([None, "bowline", "figure-eight-bight"])), slack=slack
        )
    if verb == "grip":
        return Contact("grip", target, slack=slack, reversed=back)
    if verb == "over":
        return Contact("over", target, slack=slack)
    sheave = draw(st.sampled_from([1, 2])) if verb == "double" else 1
    return Contact("through", target, sheave=sheave, slack=slack, reversed=back)


@st.composite
def _ropes(
    draw: st.DrawFn, name: str, names: dict[str, list[str]], roots: dict[str | None, str], must: list[str]
) -> Rope:
    run = [draw(_contacts(names, first=True)), *(Contact("tie", load) for load in must)]
    run += draw(st.lists(_contacts(names), max_size=5))
    end = draw(st.sampled_from(["tail", "hand"]))
    run.append(Contact("tail") if end == "tail" else Contact("hand", draw(st.sampled_from(names["hand"]))))
    # What shares a place has no rope between; the reader says so, and that is tested elsewhere.
    kept = run[:1]
    for contact in run[1:]:
        if roots.get(contact.target, contact.target) != roots.get(kept[-1].target, kept[-1].target):
            kept.append(contact)
    run = kept
    if len(run) < 2 or run[-1].verb in ("through", "over"):
        run.append(Contact("tail"))
    kind = draw(st.sampled_from(["rope-11-low-stretch", "cord-8"]))
    length = draw(st.one_of(st.none(), _number(0.5, 2000)))
    return Rope(name, kind, length, tuple(run), draw(_notes()))


@st.composite
def _assumed(draw: st.DrawFn, rig: Rig) -> dict[str, dict[str, Range]]:
    figures: dict[str, dict[str, st.SearchStrategy[Any]]] = {
        "pulley-single": {
            "efficiency": _ranges(0.01, 1),
            "strength": _ranges(1, 1e6),
            "mass": _ranges(0, 50),
        },
        "cord-8": {"stiffness": _ranges(1, 1e12), "mass": _ranges(0, 5), "diameter": _ranges(0.002, 0.1)},
        "concrete": {"friction": _ranges(0, 3)},
        "butterfly": {"keeps": _ranges(0.01, 1)},
        **{name: {"mass": _ranges(0, 5)} for name in rig.ropes},
    }
    chosen = draw(st.sets(st.sampled_from(sorted(figures))))
    own_names = {part.name for part in rig.parts()}
    return {
        name: {key: draw(figure) for key, figure in figures[name].items()}
        for name in sorted(chosen)
        if name in rig.ropes or name not in own_names
    }


@st.composite
def rigs(draw: st.DrawFn) -> Rig:
    """Make a rig; whether it could stand is another matter."""
    pool = draw(st.lists(st.one_of(_NAME, _ODD_NAMES), min_size=12, max_size=12, unique=True))
    a, b, edge, w, p, crew, grab, single, double, device, r1, r2 = pool
    points = {
        a: Place(
            a, "anchor", draw(_POINT), draw(st.one_of(st.none(), _ranges(1, 1e6))), about=draw(_notes())
        ),
        b: Place(b, draw(st.sampled_from(["stand", "ground", "anchor"])), draw(_POINT)),
        edge: Place(
            edge, "edge", draw(_POINT), None, "concrete", draw(st.sampled_from([None, "roller", "pad"]))
        ),
    }
    loads = {
        w: Load(w, "litter", draw(_ranges(1, 1000)), draw(_POINT)),
        p: Load(p, "person", draw(_ranges(2, 400)), draw(_POINT), "harness", draw(_notes())),
    }
    effort = draw(st.sampled_from([None, *pulls()]))
    pull = profile(effort) if effort else draw(st.one_of(st.none(), _ranges(1, 2000)))
    crews = {crew: Crew(crew, draw(_POINT), draw(st.integers(1, 100)), pull, effort)}
    via = st.sampled_from([("carabiner-locking",), (), ("sling", "swivel")])
    gear = {
        grab: Gear(grab, "cam-grab", w, draw(via)),
        single: Gear(single, "pulley-single", a, draw(via), about=draw(_notes())),
        double: Gear(double, "pulley-double", single, draw(via)),
        device: Gear(device, "lower-raise-device", p, draw(via), draw(st.sampled_from(STATES))),
    }  # fmt: skip
    names = {
        "tie": [a, b, w, p, single],
        "grip": [grab, device], "through": [single, device], "double": [double],
        "over": [edge], "hand": [crew, p],
    }  # fmt: skip
    roots: dict[str | None, str] = {grab: w, single: a, double: a, device: p}
    ropes = {r1: draw(_ropes(r1, names, roots, [w, p])), r2: draw(_ropes(r2, names, roots, []))}
    rig = Rig(
        draw(words(60)), draw(_notes()), draw(st.sampled_from(["metric", "us"])),
        points, loads, crews, gear, ropes,
        draw(st.one_of(st.none(), _number(0.01, 2000).map(lambda up: Motion(w, up)))),
        draw(st.one_of(st.none(), _number(0.01, 2000).map(lambda down: Motion(p, down)))),
    )  # fmt: skip
    policy: dict[str, Any] = draw(
        st.fixed_dictionaries(
            {},
            optional={
                "name": words(30), "static-factor": _number(1, 100), "chains": st.integers(1, 4),
                "protect-edges": st.booleans(), "brake-hand": _number(0, 2000), "most-drop": _number(0, 1000),
                "most-leg-angle": _number(0, 3),
            },
        )
    )  # fmt: skip
    return Rig(
        rig.rig, rig.about, rig.units, points, loads, crews, gear, ropes, rig.haul, rig.lower,
        draw(_assumed(rig)), policy,
    )  # fmt: skip


@st.composite
def written_rigs(draw: st.DrawFn) -> tuple[Rig, str]:
    """A rig with the text that the writer makes of it, and that reads back to the same."""
    rig = draw(rigs())
    text = write_rig(rig)
    try:
        assume(read_rig(text) == rig)
    except RigFileError:  # ropes of no length, and the like
        assume(False)
    return rig, text
