"""Who of 200 people can work each of five rigs: ``python -m tests.bench.who``. The goal is under 1 s."""

from __future__ import annotations

import statistics
import time
from pathlib import Path

import numpy as np

from ropewright.catalogue import load_catalogue
from ropewright.effort import Least, Person, answer, least_rig, prepare
from ropewright.quantity import Range
from ropewright.rig import read_rig

EXAMPLES = Path(__file__).parents[2] / "examples"
RIGS = (
    "self-haul-one-sheave",
    "self-haul-double-and-single",
    "self-haul-one-sheave-crew",
    "self-haul-double-and-single-crew",
    "tower-day-lane",
)
GOAL = 1.0
"""Most time [s] for all five."""


def crowd(count: int = 200) -> tuple[Person, ...]:
    """People of as many different masses, 50 to 139 kg."""
    masses = np.linspace(50.0, 139.0, count)
    return tuple(Person(f"no. {k}", Range.exactly(float(m)), row=k) for k, m in enumerate(masses, 1))


def compare(people: tuple[Person, ...]) -> Least:
    """Everything that `ropewright who` works out for them, the files read anew."""
    catalogue = load_catalogue()
    files = [read_rig(EXAMPLES / f"{name}.rig.yaml", catalogue) for name in RIGS]
    return least_rig([answer(prepare(rig, catalogue), people) for rig in files])


def measure(times: int = 5) -> float:
    """Median time [s] of one comparison, warm."""
    people = crowd()
    compare(people)
    spent = []
    for _ in range(times):
        began = time.perf_counter()
        found = compare(people)
        spent.append(time.perf_counter() - began)
        assert sum(len(a.outlooks) for a, _ in found.fails) == len(RIGS) * len(people)
    return statistics.median(spent)


def main() -> int:
    spent = measure()
    print(f"who: 200 people, {len(RIGS)} rigs: {spent:.2f} s (goal {GOAL:g} s)")
    return 0 if spent < GOAL else 1


if __name__ == "__main__":
    raise SystemExit(main())
