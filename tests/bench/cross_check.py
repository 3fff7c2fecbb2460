"""One warm solve with friction against the time that a general physics engine takes to settle the same rig.

Run ``python -m tests.bench.cross_check``. Both start from the same points, a few centimetres from the answer;
the engine solves it without friction, having none between rope and sheave. Its damping is the best of a few.
"""

from __future__ import annotations

import statistics
import time

import numpy as np

from ropewright.mechanics.model import Array, System
from ropewright.mechanics.motion import Motion, move
from ropewright.mechanics.moving import friction_of, solve_moving
from tests.mechanics.builders import Rig, nine_to_one, self_haul, three_to_one
from tests.mechanics.engine_model import Engine, geared

from .timing import median

GOAL = 20.0
DAMPINGS = (0.75, 1.5, 3.0, 6.0, 12.0)
NEARBY = 0.05


def over_an_edge() -> System:
    """A 3:1 behind an edge, spread out, with half-kilogram gear."""
    r = Rig(efficiency=0.9)
    load = r.point("load", 0, 0, mass=100.0)
    lip = r.point("lip", 0.3, 6, fixed=True)
    grab = r.point("grab", 2.5, 6.6, mass=0.5)
    anchor = r.point("anchor", 7, 7, fixed=True)
    crew = r.point("crew", 8, 6, y=1.0, fixed=True)
    r.rope(r.tie(load), r.edge(lip, 0.3), r.grab(grab), r.device(anchor), r.through(grab), r.hand(crew))
    return r.build("load")


def ours(motion: Motion, start: Array) -> float:
    friction = friction_of(motion.system, motion.stance)
    height = float(motion.real.position[2, motion.system.load, 0])
    hand = 0.9 * float(motion.real.hand[0])

    def solve() -> None:
        found = solve_moving(motion.system, motion.stance, friction, height, start, hand)
        assert found.residual[0] < 1e-7 * motion.system.moved_weight

    solve()  # the first run does not count
    return median(solve, 30)


def theirs(motion: Motion, start: Array) -> tuple[float, float]:
    """The quickest settling time [s] and the damping [1/s] that gave it, without building the model."""
    found = []
    for damping in DAMPINGS:
        spent = []
        for _ in range(3):
            engine = Engine(motion, start, damping)
            began = time.perf_counter()
            assert engine.settle().quiet
            spent.append(time.perf_counter() - began)
        found.append((statistics.median(spent), damping))
    return min(found)


def measured() -> tuple[float, str]:
    """The least ratio over all rigs, and the table of them."""
    rigs = {
        "3:1": three_to_one(0.9),
        "self-haul": self_haul(0.9),
        "9:1": nine_to_one(0.9),
        "3:1 over an edge": over_an_edge(),
    }
    rng = np.random.default_rng(5)
    ratios = []
    table = [f"{'rig':<18}{'warm solve, friction':>22}{'engine settles':>18}{'damping':>10}{'ratio':>8}"]
    for name, system in rigs.items():
        motion = move(geared(system, 0.5), 1)
        rest = motion.frictionless.position[:, :, 0].T
        start = rest + rng.uniform(-NEARBY, NEARBY, size=rest.shape) * ~motion.system.fixed[:, None]
        solve, (settled, damping) = ours(motion, start), theirs(motion, start)
        ratios.append(settled / solve)
        times = f"{1e3 * solve:>19.2f} ms{1e3 * settled:>15.1f} ms"
        table.append(f"{name:<18}{times}{damping:>10g}{ratios[-1]:>8.0f}")
    return min(ratios), "\n".join(table)


def main() -> int:
    least, table = measured()
    print(table)
    print(f"least ratio {least:.0f}, goal {GOAL:.0f}: {'reached' if least >= GOAL else 'missed'}")
    return 0 if least >= GOAL else 1


if __name__ == "__main__":
    raise SystemExit(main())
