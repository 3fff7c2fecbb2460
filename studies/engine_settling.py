"""How quiet the cross-check's engine must be, and how short its time step, for tensions good to a tenth of a promille.

Run ``python -m studies.engine_settling`` from the root of the repository. Prints the worst tension error as a share of
the load's weight over four rigs, the steps taken and the time, for each time step and each threshold.

Found: the step hardly matters for the answer, 1e-3 gives up to 1e-4, 1e-4 up to 1e-5, a hundredth of what the
cross-check allows. At 10 ms two of the rigs diverge (left out: the engine then writes a log file), 5 ms is half as
dear as 2 ms but within a factor of two of that; STEP is 2 ms, the engine's own default, and QUIET 1e-4.
"""

from __future__ import annotations

import time

import numpy as np

from ropewright.mechanics.motion import move
from tests.bench.cross_check import over_an_edge
from tests.mechanics import engine_model
from tests.mechanics.builders import nine_to_one, self_haul, three_to_one

NEARBY = 0.05


def main() -> None:
    motions = [
        move(engine_model.geared(rig), 1)
        for rig in (three_to_one(), self_haul(), nine_to_one(), over_an_edge())
    ]
    print(f"{'step [ms]':>10}{'quiet':>10}{'worst error':>14}{'steps':>10}{'time [ms]':>12}")
    for step in (0.0005, 0.001, 0.002, 0.005):
        for quiet in (1e-3, 1e-4, 1e-5):
            engine_model.STEP, engine_model.QUIET = step, quiet
            rng = np.random.default_rng(5)
            worst, steps, began = 0.0, 0, time.perf_counter()
            for motion in motions:
                rest = motion.frictionless.position[:, :, 0].T
                away = rng.uniform(-NEARBY, NEARBY, size=rest.shape) * ~motion.system.fixed[:, None]
                found = engine_model.Engine(motion, rest + away).settle()
                weight = float(motion.system.weight[motion.system.load])
                off = np.abs(found.tension - motion.frictionless.tension[:, 0]).max() / weight
                worst, steps = max(worst, float(off)), steps + found.steps
            spent = 1e3 * (time.perf_counter() - began)
            print(f"{1e3 * step:>10g}{quiet:>10g}{worst:>14.1e}{steps:>10}{spent:>12.0f}")


if __name__ == "__main__":
    main()
