"""What is to be put back: played, it brings back every connection; and nothing is asked for without need."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace

import pytest

from ropewright.catalogue import Catalogue, load_catalogue
from ropewright.procedure import Moment, World
from ropewright.procedure.acts import CannotError, do
from ropewright.procedure.forms import read_step
from ropewright.procedure.reset import reset
from ropewright.rig import Gear
from tests.sheets.stories import NAMES, story

CATALOGUE: Catalogue = load_catalogue()


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_put_back_where_nothing_changed(name: str) -> None:
    proof = story(name).proof
    assert reset(proof.start, proof.start, CATALOGUE) == ()
    assert reset(proof.end, proof.end, CATALOGUE) == ()


def _connected(moment: Moment) -> set[tuple[object, ...]]:
    """What is clipped and laid where; not hands, positions or edges: a load is carried back by hand."""
    out: set[tuple[object, ...]] = set()
    for item in moment.rig.gear.values():
        out.add((item.name, item.at if isinstance(item.at, str) else "", item.via, item.state))
    for rope in moment.rig.ropes.values():
        for k, c in enumerate(c for c in rope.run if c.verb not in ("hand", "tail", "over")):
            out.add((rope.name, k, c.verb, c.target, c.sheave, c.reversed, c.knot))
    return out | {("unlocked", name) for name in moment.unlocked}


@pytest.mark.parametrize("name", NAMES)
def test_played_with_nobody_hanging_it_brings_back_every_connection(name: str) -> None:
    proof, world = story(name).proof, story(name).world
    kit: dict[str, Gear] = {n: replace(g, state="running") for n, g in proof.start.rig.gear.items()}
    spare = {**proof.start.rig.ropes, **world.procedure.spare}
    whole = replace(world.procedure, kit={**kit, **world.procedure.kit}, spare=spare)
    world = World(whole, CATALOGUE)
    moment = proof.end
    doer = next(iter(moment.rig.loads))
    for _ in range(4):  # a clamp that comes off its rope takes its loops along: then look again
        with suppress(CannotError):
            for todo in reset(proof.start, moment, CATALOGUE):
                for line in todo.steps:
                    moment = do(read_step(doer, line), moment, world).after
    assert not any(todo.steps for todo in reset(proof.start, moment, CATALOGUE))
    assert _connected(moment) == _connected(proof.start)


def test_a_descent_is_brought_back_up_by_what_it_went_down() -> None:
    proof = story("ascent-to-descent").proof
    down = float(proof.start.state.at["student"][2] - proof.end.state.at["student"][2])
    todo = reset(proof.start, proof.end, CATALOGUE, "metric")
    [text] = [t.text for t in todo if t.kind == "start" and "than where" in t.text]
    assert text.startswith("student ")
    assert text.endswith(" m higher than where this turn ended")
    assert float(text.split()[1]) == pytest.approx(down, abs=0.01)


def test_a_loop_that_came_away_with_its_clamp_goes_on_with_it() -> None:
    proof = story("ascent-to-descent").proof
    todo = reset(proof.start, proof.end, CATALOGUE)
    assert not any(t.text.startswith("tie ") for t in todo)
    [row] = [t for t in todo if t.text == "put upper on working, with foot tied to it and student"]
    assert [line.split()[0] for line in row.steps] == ["put", "tie", "tie"]


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_asked_of_a_person_while_nobody_is_on_the_rig(name: str) -> None:
    proof = story(name).proof
    people = {n for n, load in proof.start.rig.loads.items() if load.kind == "person"}
    for todo in reset(proof.start, proof.end, CATALOGUE):
        assert todo.kind == "start" or todo.text.split()[0].rstrip(":") not in people
        assert "once hanging" not in todo.text or todo.kind == "start"


def test_a_gate_left_open_and_a_hand_are_told() -> None:
    start = story("ascent-to-descent").proof.start
    open_ = replace(start, unlocked=frozenset({"backup"}))
    assert [t.text for t in reset(start, open_, CATALOGUE)] == ["lock the gate of backup"]
    assert [t.text for t in reset(open_, start, CATALOGUE)] == ["unlock the gate of backup"]


def test_what_is_missing_goes_on_before_what_is_left_over_comes_off() -> None:
    proof = story("ascent-to-descent").proof
    kinds = [t.kind for t in reset(proof.start, proof.end, CATALOGUE) if t.kind in ("put back", "take off")]
    assert kinds == sorted(kinds)
    assert set(kinds) == {"put back", "take off"}
