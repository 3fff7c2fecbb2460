"""Files to start from: they read, they are commented, and what is rigged makes sense."""

import math
from itertools import pairwise

import pytest

from ropewright.quantity import Range, System
from ropewright.rig import (
    STARTER_KINDS,
    Answers,
    Rig,
    Rope,
    StarterError,
    StarterKind,
    read_rig,
    starter_text,
)

SITES: list[tuple[str | None, str | None]] = [(None, None), ("concrete", None), ("steel", "roller")]


@pytest.mark.parametrize("kind", STARTER_KINDS)
@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize(("surface", "protection"), SITES)
@pytest.mark.parametrize("height", [None, 4.0, 30.0, 300.0])
def test_every_start_reads_and_is_sensible(
    kind: StarterKind, units: System, surface: str | None, protection: str | None, height: float | None
) -> None:
    if kind == "anchor-legs" and surface:
        pytest.skip("legs of an anchor start without an edge")
    rig = read_rig(starter_text(Answers(kind, None, height, units, surface, protection)))
    assert rig.units == units
    assert all(load.at[2] > 0 for load in rig.loads.values())
    assert all(place.strength is None for place in rig.points.values())
    edges = [place for place in rig.points.values() if place.kind == "edge"]
    assert {(edge.surface, edge.protection) for edge in edges} == (
        {(surface, protection)} if surface else set()
    )
    used = {contact.target for rope in rig.ropes.values() for contact in rope.run}
    assert {edge.name for edge in edges} <= used
    anchors = {place.name for place in rig.points.values() if place.kind == "anchor"}
    assert anchors <= used | {gear.at for gear in rig.gear.values()}, "an anchor that nothing uses"
    for rope in rig.ropes.values():
        assert rope.length is not None
        assert rope.length >= drawn_length(rig, rope.name)


def drawn_length(rig: Rig, name: str) -> float:
    """The length of a rope along its run as drawn [m]."""
    places = []
    for contact in rig.ropes[name].run:
        here = contact.target or ""
        while here in rig.gear and isinstance(at := rig.gear[here].at, str):
            here = at
        if contact.target:
            at = {part.name: part for part in rig.parts() if not isinstance(part, Rope)}[here].at
            assert isinstance(at, tuple)
            places.append(at)
    gaps = (math.dist(one, other) for one, other in pairwise(places))
    return sum(gaps) + sum(contact.slack for contact in rig.ropes[name].run)


def test_the_same_answers_give_the_same_bytes() -> None:
    answers = Answers("haul-9-1", Range.exactly(180.0), 20.0)
    assert starter_text(answers) == starter_text(answers)


def test_every_section_has_a_comment_before_it() -> None:
    lines = starter_text(Answers("haul-3-1")).splitlines()
    sections = [
        at for at, line in enumerate(lines) if line.partition(":")[0] in ("points", "loads", "gear", "ropes")
    ]
    assert len(sections) == 4
    assert all(lines[at - 1].startswith("# ") for at in sections)


def test_answers_stand_in_the_file() -> None:
    text = starter_text(
        Answers(
            "haul-5-1",
            Range.exactly(150.0),
            20.0,
            "metric",
            "rock",
            "pad",
            people=6,
            strength=Range.exactly(3e4),
        )
    )
    rig = read_rig(text)
    assert rig.loads["litter"].mass == Range.exactly(150.0)
    assert rig.points["lip-1"].protection == "pad"
    assert rig.crews["haulers"].people == 6
    assert rig.points["anchor-1"].strength == Range.exactly(3e4)
    assert max(place.at[2] for place in rig.points.values()) == 20.0


def test_us_files_hold_round_us_numbers() -> None:
    text = starter_text(Answers("two-tensioned", units="us"))
    assert "at: [0, 40]" in text
    assert "mass: 220 lb" in text


def test_three_legs() -> None:
    rig = read_rig(starter_text(Answers("anchor-legs", legs=3)))
    assert [name for name in rig.ropes if name.startswith("leg-")] == ["leg-1", "leg-2", "leg-3"]


def test_a_rig_on_one_line_starts_with_a_weight_and_says_why() -> None:
    text = starter_text(Answers("lower"))
    assert [load.kind for load in read_rig(text).loads.values()] == ["object"]
    assert "# One line holds it, so it starts as a weight to train with." in text


@pytest.mark.parametrize("kind", STARTER_KINDS)
def test_what_stands_on_labels_has_room_and_no_figure(kind: StarterKind) -> None:
    text = starter_text(Answers(kind))
    lines = text[text.index("# assume:") : text.index("# Your own rules")].splitlines()
    assert lines[1:]
    filled = "\n".join(line.removeprefix("# ") for line in lines)
    filled = filled.replace("… kN", "25 kN").replace("… kg", "150 kg")
    assert "…" not in filled
    rig = read_rig(text + filled)
    assert set(rig.assume) <= {
        *(load.wears for load in rig.loads.values()),
        *(word for gear in rig.gear.values() for word in (gear.type, *gear.via)),
        *(rope.type for rope in rig.ropes.values()),
    }


@pytest.mark.parametrize(("kind", "grab"), [("self-haul", "handled"), ("ascent-clamps", "upper")])
@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("height", [4.0, 12.0, 300.0])
def test_what_somebody_on_a_rope_works_with_starts_within_his_reach(
    kind: StarterKind, grab: str, units: System, height: float
) -> None:
    rig = read_rig(starter_text(Answers(kind, height=height, units=units)))
    above, below = rig.gear[grab].at, rig.loads["climber"].at
    assert isinstance(above, tuple)
    assert 0.3 < above[2] - below[2] <= 0.8


@pytest.mark.parametrize(
    ("answers", "text"),
    [
        (Answers("haul-33-1"), "no rig to start from is called `haul-33-1`. Did you mean `haul-3-1`?"),  # type: ignore[arg-type]
        (Answers("lower", height=2.0), "a height of 2 m (6.6 ft); a rig to start from is between 4 m"),
        (Answers("lower", mass=Range.exactly(4000.0)), "a mass of 4000 kg"),
        (Answers("anchor-legs", legs=7), "7 legs; an anchor to start from has 2 or 3"),
        (Answers("haul-3-1", people=0), "0 people; a crew is between 1 and 100"),
        (Answers("lower", protection="roller"), "a protection without an edge; name the edge's surface too"),
        (Answers("lower", surface="conrete"), "no surface is called `conrete`. Did you mean `concrete`?"),
        (Answers("lower", surface="rock", protection="rock"), "no protection is called `rock`. "),
        (Answers("anchor-legs", surface="rock"), "an edge on an anchor's legs; start from another rig"),
    ],
)
def test_answers_that_make_no_rig_are_refused(answers: Answers, text: str) -> None:
    with pytest.raises(StarterError) as refused:
        starter_text(answers)
    assert str(refused.value).startswith(text)


@pytest.mark.parametrize("kind", STARTER_KINDS)
def test_a_starter_leaves_what_people_are_counted_on_for_to_the_policy(kind: StarterKind) -> None:
    assert "pull:" not in starter_text(Answers(kind))
    assert all(crew.pull is None for crew in read_rig(starter_text(Answers(kind))).crews.values())


@pytest.mark.parametrize("kind", STARTER_KINDS)
def test_no_starter_has_a_count_in_its_prose(kind: StarterKind) -> None:
    """The reeving is changed later by tables, and prose stays as it is."""
    assert ":1" not in read_rig(starter_text(Answers(kind))).about
