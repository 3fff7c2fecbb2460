"""How long a picture takes, given an examination: the time that was promised is 50 ms.

Run ``python -m tests.drawing.bench``.
"""

from __future__ import annotations

import statistics
import sys
import time

from ropewright.catalogue import load_catalogue
from ropewright.drawing import draw_rig
from ropewright.judgement.examine import examine
from tests.drawing.subjects import EXAMPLES, rig_of

GOAL = 0.05
TIMES = 9


def pictures() -> dict[str, float]:
    """Median time [s] of the picture of each example, its examination not counted."""
    catalogue = load_catalogue()
    out = {}
    for path in EXAMPLES:
        rig = rig_of(path)
        found = examine(rig, catalogue, samples=10)
        spent = []
        for _ in range(TIMES):
            began = time.perf_counter()
            draw_rig(rig, catalogue, found)
            spent.append(time.perf_counter() - began)
        out[path.name] = statistics.median(spent)
    return out


def main() -> int:
    """Print the slowest and the median."""
    found = pictures()
    slowest = max(found, key=lambda name: found[name])
    middle = statistics.median(found.values())
    sys.stdout.write(
        f"a picture: median {1e3 * middle:.0f} ms, slowest {1e3 * found[slowest]:.0f} ms ({slowest}); "
        f"promised {1e3 * GOAL:.0f} ms\n"
    )
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
