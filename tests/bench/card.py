"""How long a card takes: drawn, worded and printed, once the rig has been examined.

Run ``python -m tests.bench.card``. The first card pays for starting the typesetter and reading the fonts.
"""

from __future__ import annotations

import statistics
import time
from pathlib import Path

from ropewright.catalogue import load_catalogue
from ropewright.drawing import draw_rig
from ropewright.judgement.examine import Examination, examine
from ropewright.rig import read_rig
from ropewright.sheets import card_of, print_card

EXAMPLES = Path(__file__).parents[2] / "examples"
GOAL = 0.5
"""A warm card, from the examined rig to the bytes of its PDF [s]."""
TIMES = 5


def one(examination: Examination, stamp: str) -> None:
    """One card; another time each run, so that no result can be remembered."""
    catalogue = examination.assembly.figures.catalogue
    picture = draw_rig(examination.rig, catalogue, examination, framed=False)
    print_card(card_of(examination, picture, file="bench", time=stamp))


def measured() -> list[tuple[str, float]]:
    """The median time [s] of each example's card, warm; the slowest last."""
    catalogue, out = load_catalogue(), list[tuple[str, float]]()
    for path in sorted(EXAMPLES.glob("*.rig.yaml")):
        examination = examine(read_rig(path, catalogue), catalogue)
        spent = list[float]()
        one(examination, "first")
        for k in range(TIMES):
            began = time.perf_counter()
            one(examination, f"run {k}")
            spent.append(time.perf_counter() - began)
        out.append((path.name.removesuffix(".rig.yaml"), statistics.median(spent)))
    return sorted(out, key=lambda found: found[1])


def main() -> int:
    found = measured()
    middle = statistics.median(seconds for _, seconds in found)
    name, worst = found[-1]
    verdict = "reached" if worst <= GOAL else "missed"
    print(f"a warm card: median {middle:.3f} s, slowest {worst:.3f} s ({name}); goal {GOAL} s: {verdict}")
    return 0 if worst <= GOAL else 1


if __name__ == "__main__":
    raise SystemExit(main())
