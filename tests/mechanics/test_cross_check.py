"""Frictionless tensions and positions against a general physics engine that settles the same rig."""

from __future__ import annotations

from collections.abc import Callable

import mujoco
import numpy as np
import pytest

from ropewright.mechanics.model import GRAVITY, System
from ropewright.mechanics.motion import Motion, move
from ropewright.mechanics.stuck import StuckError

from .builders import Rig, nine_to_one, pulled_from_ground, self_haul, three_to_one
from .engine_model import Engine, geared
from .random_rigs import KINDS, random_rig

AGREES = 1e-3
"""Allowed difference of tensions, as a share of the load's weight or of the tension, whichever is greater."""
NEARBY = 0.05
"""How far [m] from rest each point starts in the engine."""
MEETS = 0.005
"""Allowed difference of positions [m]."""
EACH_KIND = 3


def hauls_of(kind: str) -> list[Motion]:
    """The first few random rigs of a kind that can be hauled with every free point given some mass."""
    out: list[Motion] = []
    for shape in map(random_rig, range(300)):
        if shape.kind == kind and len(out) < EACH_KIND:
            try:
                out.append(move(geared(shape.system), 1))
            except StuckError:
                continue
    return out


def in_engine(motion: Motion) -> Engine:
    rng = np.random.default_rng(4)
    rest = motion.frictionless.position[:, :, 0].T
    away = rng.uniform(-NEARBY, NEARBY, size=rest.shape) * ~motion.system.fixed[:, None]
    return Engine(motion, rest + away)


def check(motion: Motion) -> None:
    found = in_engine(motion).settle()
    assert found.quiet
    weight = float(motion.system.weight[motion.system.load])
    ours = motion.frictionless.tension[:, 0]
    carries = np.isin(
        motion.blocks.member, [b for b, kind in enumerate(motion.blocks.kind) if kind != "idle"]
    )
    room = AGREES * np.maximum(weight, ours)
    assert (np.abs(found.tension - ours) < room)[carries].all(), (found.tension, ours)
    assert found.position == pytest.approx(motion.frictionless.position[:, :, 0].T, abs=MEETS)


@pytest.mark.parametrize("build", [three_to_one, self_haul, pulled_from_ground, nine_to_one])
def test_textbook_rigs_agree_with_the_engine(build: Callable[[], System]) -> None:
    check(move(geared(build()), 1))


@pytest.mark.parametrize("kind", KINDS)
def test_random_rigs_agree_with_the_engine(kind: str) -> None:
    found = hauls_of(kind)
    assert len(found) == EACH_KIND
    for motion in found:
        check(motion)


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6])
def test_a_tackle_balances_the_counterweight_on_a_pulley_tendon(count: int) -> None:
    """An inextensible tendon, its hand branch divided by the count, carries the load with load/count."""
    mass = 120.0
    r = Rig()
    top = r.point("top", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=mass)
    crew = r.point("crew", 1, -2, fixed=True)
    run = [r.tie(load if count % 2 else top)]
    run += [r.through(top if (k + count) % 2 else load) for k in range(count)]
    if run[-1].node == load:
        run.append(r.through(top))
    r.rope(*run, r.hand(crew))
    pull = float(move(r.build("load"), 1).frictionless.hand[0])
    joint = '<joint type="slide" axis="0 0 1" damping="50"/><inertial pos="0 0 0" diaginertia="1 1 1" mass='
    model = mujoco.MjModel.from_xml_string(f"""
      <mujoco><option gravity="0 0 {-GRAVITY}"/><worldbody>
        <site name="top" pos="0 0 10"/><site name="turn" pos="1 0 10"/>
        <body>{joint}"{mass}"/><site name="load"/></body>
        <body pos="1 0 5">{joint}"{pull / GRAVITY}"/><site name="hand"/></body>
      </worldbody><tendon>
        <spatial name="t" limited="true" range="0 {10 + 5 / count}"><site site="load"/><site site="top"/>
          <pulley divisor="{count}"/><site site="turn"/><site site="hand"/></spatial>
      </tendon><sensor><tendonlimitfrc tendon="t"/></sensor></mujoco>""")
    data = mujoco.MjData(model)
    mujoco.mj_step(model, data, 20_000)
    assert np.abs(data.qvel).max() < 1e-3
    assert float(data.sensordata[0]) == pytest.approx(mass * GRAVITY, rel=AGREES)
    assert float(data.sensordata[0]) / count == pytest.approx(pull, rel=AGREES)
