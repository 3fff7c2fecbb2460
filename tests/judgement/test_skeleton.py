"""Who is held by connection alone: the same answers as from rigs put together anew each time."""

import random
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from ropewright.judgement.assemble import assemble
from ropewright.judgement.components import Component, components
from ropewright.judgement.figures import Figures
from ropewright.judgement.skeleton import Skeleton
from ropewright.mechanics import held
from ropewright.rig import Rig, read_rig

from .breakage import EXAMPLES, broken
from .small import CATALOGUE, TWO_LINES, descent, part, put, rig

BREAKS = 12
SETS = 6
"""How many sets of components go, for each rig and for hands on and off."""


def anew(one: Rig, figures: Figures, gone: list[Component], hands_off: bool) -> dict[str, bool]:
    """What the mechanics says of the rig put together without what is gone."""
    left = assemble(one, CATALOGUE, figures=figures, gone=gone, hands_off=hands_off)
    keeps = held(left.system)
    return {load: bool(keeps[left.node[load]]) for load in one.loads}


def some_gone(parts: tuple[Component, ...], rng: random.Random) -> Iterator[list[Component]]:
    """Nothing, a few components, half of them, nearly all."""
    yield []
    for _ in range(SETS - 1):
        most = rng.choice((3, 3, len(parts) // 2, len(parts)))
        yield rng.sample(parts, rng.randint(0, min(most, len(parts))))


def differing(one: Rig, gone: list[Component], hands_off: bool, asked: Skeleton, figures: Figures) -> str:
    """What is wrong with the skeleton's answer, in words; nothing if nothing is."""
    says = asked.held_loads([c.key for c in gone], hands_off)
    truth = anew(one, figures, gone, hands_off)
    return "" if says == truth else f"{[c.label for c in gone]}, {hands_off=}: {says}, in truth {truth}"


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name.removesuffix(".rig.yaml"))
def test_a_skeleton_says_of_every_example_what_the_mechanics_says(path: Path) -> None:
    one = read_rig(path, CATALOGUE)
    asked, figures, parts = Skeleton(one, CATALOGUE), Figures(one, CATALOGUE), components(one, CATALOGUE)
    singly = [[c] for c in parts]
    rng = random.Random(path.name)
    without_one = [[c for c in parts if c is not kept] for kept in rng.sample(parts, min(5, len(parts)))]
    for hands_off in (False, True):
        for gone in (*singly, *without_one, *some_gone(parts, rng)):
            assert not differing(one, gone, hands_off, asked, figures)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name.removesuffix(".rig.yaml"))
def test_a_skeleton_says_of_broken_rigs_what_the_mechanics_says(path: Path) -> None:
    answers: set[bool] = set()
    for case in broken(path, BREAKS):
        one, rng = case.rig, random.Random(case.name)
        asked, figures, parts = Skeleton(one, CATALOGUE), Figures(one, CATALOGUE), components(one, CATALOGUE)
        for hands_off in (False, True):
            for gone in (list(case.gone), *some_gone(parts, rng)):
                assert not differing(one, gone, hands_off, asked, figures), str(case)
                answers |= set(asked.held_loads([c.key for c in gone], hands_off).values())
    assert answers == {False, True}


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name.removesuffix(".rig.yaml"))
def test_the_ropes_at_a_load_are_those_that_meet_its_point(path: Path) -> None:
    one = read_rig(path, CATALOGUE)
    whole = put(one)
    asked = Skeleton(one, CATALOGUE)
    for load in one.loads:
        here = whole.node[load]
        meet = [w.rope for w in whole.wires if w.contact.target and whole.node[w.contact.target] == here]
        assert asked.ropes_at(load) == list(dict.fromkeys(meet))
        assert meet


def test_what_a_skeleton_was_asked_before_changes_nothing() -> None:
    one = descent("bar-rack", "in-hand")
    asked = Skeleton(one, CATALOGUE)
    rope = part(one, "rope", "main").key
    first = [asked.holds("person", [], off) for off in (False, True)]
    assert first == [True, False]
    assert not asked.holds("person", [rope], False)
    assert [asked.holds("person", [], off) for off in (False, True)] == first


def test_one_hand_gone_closes_a_device_that_it_held_open() -> None:
    one = descent("descender-self-braking", "in-hand")
    asked = Skeleton(one, CATALOGUE)
    assert asked.holds("person", [part(one, "hand", "main").key], False)
    turned = descent("descender-self-braking", "in-hand", turned="reversed")
    asked = Skeleton(turned, CATALOGUE)
    assert not asked.holds("person", [part(turned, "hand", "main").key], False)


def test_a_component_that_the_rig_does_not_have_takes_nothing_away() -> None:
    asked = Skeleton(rig(TWO_LINES), CATALOGUE)
    assert asked.holds("person", [("gear", "elsewhere", 0), ("tie", "main", 7)], True)


def test_gear_listed_before_what_it_is_clipped_to_is_told_where_it_hangs() -> None:
    text = TWO_LINES.replace("tie person with figure-eight-bight]", "tie lower]", 1)
    text = text.replace(
        "ropes:",
        "gear:\n  lower: {is: plate, at: upper}\n  upper: {is: plate, at: person}\nropes:",
    )
    one = rig(text)
    asked = Skeleton(one, CATALOGUE)
    second = part(one, "rope", "second").key
    assert asked.holds("person", [second], True)
    for gone in (part(one, "join", "lower"), part(one, "join", "upper"), part(one, "gear", "upper")):
        assert not asked.holds("person", [second, gone.key], True)


def test_gear_clipped_round_in_a_circle_is_refused() -> None:
    text = TWO_LINES.replace("ropes:", "gear:\n  a: {is: plate, at: b}\n  b: {is: plate, at: person}\nropes:")
    one = rig(text)
    round_about = replace(one, gear={**one.gear, "b": replace(one.gear["b"], at="a")})
    with pytest.raises(ValueError, match="circle: a, b"):
        Skeleton(round_about, CATALOGUE)
