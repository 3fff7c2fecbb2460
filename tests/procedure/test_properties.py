"""What has to be so of every step: what can't be done changes nothing, opposites undo each other, rope stays.

Asked at every moment of every shipped procedure, with whatever is there at that moment.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.judgement.state import State
from ropewright.procedure.acts import CannotError, do
from ropewright.procedure.forms import FORMS, Form, read_step
from ropewright.procedure.laying import lay_in, take_out
from ropewright.procedure.model import Procedure
from ropewright.procedure.moment import Moment
from ropewright.procedure.prove import play, prove
from ropewright.procedure.world import World
from ropewright.rig import Contact, Gear, Rig, Rope

from .random_steps import SHIPPED, catalogue, made, shipped

Pair = tuple[str, str]
WITH_KIT = {
    "spare-device": Gear("spare-device", "descender-self-braking", None),
    "spare-clamp": Gear("spare-clamp", "chest-clamp", None),
    "spare-pulley": Gear("spare-pulley", "pulley-single", None),
}
SPARE = {"spare-line": Rope("spare-line", "rope-11-low-stretch", 40.0, ())}


def connection(moment: Moment) -> object:
    """What is connected to what, whatever order it was put on in."""
    rig = moment.rig
    gear = {(g.name, g.at if isinstance(g.at, str) else "", g.via, g.state) for g in rig.gear.values()}
    runs = {
        (r.name, tuple((c.verb, c.target, c.sheave, c.reversed) for c in r.run)) for r in rig.ropes.values()
    }
    return gear, runs, moment.unlocked, moment.stands, set(moment.holds), moment.loops


def same(one: Moment, other: Moment) -> list[str]:
    """How two moments differ: connection, rope lengths by 1e-6 m, positions by 1e-4 m."""
    out = [] if connection(one) == connection(other) else ["connection"]
    if set(one.state.laid) != set(other.state.laid):
        out.append(f"rope between {set(one.state.laid) ^ set(other.state.laid)}")
    for key in set(one.state.laid) & set(other.state.laid):
        a, b = one.state.laid[key], other.state.laid[key]
        if abs(a - b) > 1e-6:
            out.append(f"{key}: {a} m and {b} m of rope")
    for name in set(one.state.at) & set(other.state.at):
        away = float(np.linalg.norm(one.state.at[name] - other.state.at[name]))
        if away > 1e-4:
            out.append(f"{name} is {away} m from where it was")
    return out


def moments(procedure: Procedure) -> Iterator[tuple[World, Moment]]:
    """Every different moment of a procedure, with gear at hand for every pair."""
    kit = {**procedure.kit, **{n: g for n, g in WITH_KIT.items() if n not in procedure.kit}}
    procedure = replace(procedure, kit=kit, spare={**procedure.spare, **SPARE})
    world = World(procedure, catalogue())
    proof = prove(procedure, catalogue(), world)
    seen = set()
    for moment in (proof.start, *(played.after for played in proof.steps)):
        if moment.key not in seen:
            seen.add(moment.key)
            yield world, moment


def pairs(world: World, moment: Moment) -> Iterator[tuple[str, str, list[str]]]:
    """A step, its opposite, and what has to be done first for the first of them."""
    rig = moment.rig
    for name, item in rig.gear.items():
        if isinstance(item.at, str):
            locked = name not in moment.unlocked
            gate = [f"unlock the gate of {name}", f"lock the gate of {name}"]
            yield (gate[0], gate[1], []) if locked else (gate[1], gate[0], [])
    load = next(iter(rig.loads))
    for kit in WITH_KIT:
        if kit not in rig.gear:
            yield f"clip {kit} to {load} and lock", f"unclip {kit}", []
    for rope in rig.ropes.values():
        if rope.run[-1].verb == "tail":
            yield f"hand on {rope.name}", f"hand off {rope.name}", []
            if all(c.target != load for c in rope.run):
                yield f"tie {rope.name} to {load} with 2 m slack", f"untie {rope.name} from {load}", []
        first = rope.run[0].target
        if first and not any(c.target == first for c in rope.run[1:]):
            clip = [f"clip spare-device to {load} and lock"]
            put = f"put spare-device on {rope.name} below {first}"
            yield put, "take spare-device off", clip
            clip = [f"clip spare-pulley to {load} and lock"]
            reeve = f"reeve {rope.name} through spare-pulley below {first}"
            yield reeve, f"take {rope.name} out of spare-pulley", clip
    point = next(iter(rig.points))
    yield f"tie spare-line to {point}", f"untie spare-line from {point}", []


def done(world: World, moment: Moment, text: str) -> Moment | None:
    """The moment after a step, before anything comes to rest; None where it can't be done."""
    for doer in world.procedure.people:
        try:
            return do(read_step(doer, text), moment, world).after
        except CannotError:
            continue
    return None


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name.removesuffix(".procedure.yaml"))
def test_a_step_and_its_opposite_give_the_same_moment_back(path: Path) -> None:
    tried: set[str] = set()
    for world, moment in moments(shipped(path)):
        for there, back, first in pairs(world, moment):
            before: Moment | None = moment
            for text in first:
                before = done(world, before, text) if before is not None else None
            between = done(world, before, there) if before is not None else None
            if before is None or between is None:
                continue
            after = done(world, between, back)
            assert after is not None, f"{there}, then: {back}"
            assert same(before, after) == [], f"{there}, then: {back}"
            assert connection(before) != connection(between)
            tried.add(there.split()[0])
    assert tried >= {"clip", "unlock", "tie", "put", "reeve"}


@pytest.mark.parametrize("number", range(24))
def test_a_step_that_cannot_be_done_leaves_the_moment_as_it_was(number: int) -> None:
    procedure = made("properties", number).procedure
    world = World(procedure, catalogue())
    proof = prove(procedure, catalogue(), world)
    for played in proof.steps:
        assert played.done == (not any(f.kind == "cannot" for f in played.faults))
        if not played.done:
            assert played.after is played.before
            assert played.verdict == "refused"
            again = play(world, played.n, played.step, played.before, {})
            assert not again.done
        if played.step.is_call or played.step.verb in ("check", "whistle-test", "critical-point-test"):
            assert played.after is played.before


def test_random_procedures_have_steps_that_cannot_be_done() -> None:
    proofs = [prove(made("properties", n).procedure, catalogue()) for n in range(6)]
    assert any(not played.done for proof in proofs for played in proof.steps)


# --- rope that is laid stays as long as it is


def line(laid: float, apart: float) -> Moment:
    """A rope of some length between two places, and a part that may be laid into it."""
    run = (Contact("tie", "left"), Contact("tie", "right"))
    at = {"left": np.zeros(3), "right": np.array([apart, 0.0, 0.0]), "part": np.zeros(3)}
    rig = Rig("a line", ropes={"line": Rope("line", "rope-11-low-stretch", None, run)})
    return Moment(rig, State(at, {("line", 0): laid}))


@settings(deadline=None)
@given(
    st.floats(0.0, 30.0),
    st.floats(0.0, 30.0),
    st.tuples(st.floats(-20, 20), st.floats(-20, 20), st.floats(-20, 20)),
    st.floats(0.0, 10.0),
)
def test_a_rope_made_fast_at_both_ends_is_as_long_with_something_on_it(
    laid: float, apart: float, where: tuple[float, float, float], slack: float
) -> None:
    before = line(laid, apart)
    before.state.at["part"][:] = where
    on = lay_in(before, "line", 1, Contact("through", "part"), slack)
    assert min(on.state.laid.values()) >= 0.0
    assert sum(on.state.laid.values()) == pytest.approx(laid, abs=1e-9)
    assert take_out(on, "line", 1).state.laid[("line", 0)] == pytest.approx(laid, abs=1e-9)


# --- the words of a step


WORDS = {
    "GEAR.N": "pulley.2", "GEAR": "chest", "ROPE": "working", "PART": "student", "LOAD": "litter",
    "TYPES": "lanyard and screw-link", "NAMES": "chest and upper", "KNOT": "bowline", "LENGTH": "250 mm",
    "SLACK": "0.4 m", "PLACE": "[1, 2, 3]", "BESIDE": "upper", "SIDE": "above", "UPDOWN": "down",
    "WORD": "on belay",
}  # fmt: skip


def example(form: Form, whole: bool) -> str:
    """A line of a form, with all that may be left out or with none of it."""
    text, depth = "", 0
    for sign in form.line:
        depth += (sign == "[") - (sign == "]")
        if sign not in "[]" and (whole or depth == 0):
            text += sign
    pattern = "|".join(sorted(map(re.escape, WORDS), key=len, reverse=True))
    return re.sub(rf"(?<![A-Z])(?:{pattern})(?![A-Z])", lambda found: WORDS[found[0]], text)


@pytest.mark.parametrize("whole", [True, False], ids=["whole", "short"])
@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.line)
def test_every_form_is_read_back_from_its_own_words(form: Form, whole: bool) -> None:
    text = " ".join(example(form, whole).split())
    step = read_step("student", text)
    assert step.verb == form.verb
    assert step.text == text
    for field, value in form.fixed:
        assert getattr(step, field) == value
    assert read_step("student", step.text) == step
    capitals = {"GEAR": step.gear, "ROPE": step.rope, "PART": step.part, "LOAD": step.load}
    short = form.line if whole else form.line.split("[")[0]
    for word, value in capitals.items():
        if word in short.replace("GEAR.N", "").split():
            assert value == WORDS[word]
    if "GEAR.N" in short:
        assert (step.gear, step.sheave) == ("pulley", 2)
    if "LENGTH" in short:
        assert step.by == pytest.approx(0.25)
    if "SLACK" in short:
        assert step.slack == pytest.approx(0.4)


def test_a_hand_off_a_rope_that_is_tied_to_an_open_device_does_not_close_it() -> None:
    procedure = next(shipped(path) for path in SHIPPED if path.name.startswith("pick-off"))
    for world, moment in moments(procedure):
        link = moment.rig.ropes.get("link")
        if ("descender", "rescuer") in moment.holds and link is not None and link.run[-1].verb == "tail":
            on = done(world, moment, "hand on link")
            off = done(world, on, "hand off link") if on is not None else None
            assert off is not None
            assert off.holds == moment.holds
            assert off.rig.gear["descender"].state == "in-hand"
            break
    else:
        pytest.fail("nobody holds the descender open while the link hangs on it")
