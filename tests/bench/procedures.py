"""Procedures: ``python -m tests.bench.procedures``. Proof with all mistakes, its storyboard, two searches."""

from __future__ import annotations

from pathlib import Path

from ropewright.catalogue import load_catalogue
from ropewright.procedure import World, prove, read_procedure
from ropewright.procedure.find import find, pair
from ropewright.procedure.mistakes import mistakes
from ropewright.rig import read_rig
from ropewright.sheets.leaf_press import print_leaf
from ropewright.sheets.storyboard import storyboard
from tests.sheets.stories import story

from .timing import median

FOLDER = Path(__file__).parents[2] / "examples" / "procedures"
CHANGE_OVER = "descent-to-ascent"
"""A change-over of twenty steps."""
GOAL, PAGE_GOAL, SELF_HAUL_GOAL, RAISE_GOAL = 2.0, 0.5, 5.0, 20.0
"""Most time [s]: proof and all mistakes; a page of the storyboard; the two searches."""
SEARCHES = {
    "self-haul to descent": ("self-haul-on-tower", "self-haul-stripped", SELF_HAUL_GOAL),
    "lower to raise": ("device-lower", "device-raise", RAISE_GOAL),
}


def proof_and_mistakes(name: str = CHANGE_OVER) -> tuple[int, float]:
    """Steps of a shipped procedure, and the time [s] to prove it and make all its mistakes."""
    catalogue = load_catalogue()
    procedure = read_procedure(FOLDER / f"{name}.procedure.yaml", catalogue)

    def both() -> None:
        world = World(procedure, catalogue)
        prove(procedure, catalogue, world)
        mistakes(procedure, catalogue, world)

    return len(procedure.steps), median(both, 3)


def storyboard_page(name: str = CHANGE_OVER) -> float:
    """The time [s] that a page of a storyboard takes once everything is warm."""
    told = story(name)
    pages = print_leaf(storyboard(told)).pages
    return median(lambda: print_leaf(storyboard(told)), 3) / pages


def search(start: str, goal: str) -> tuple[int, float]:
    """Steps of the way found, and the time [s] that it takes; an error where none is."""
    catalogue = load_catalogue()
    first = read_rig(FOLDER / f"{start}.rig.yaml", catalogue)
    last = read_rig(FOLDER / f"{goal}.rig.yaml", catalogue)
    found = find(pair(first, last), last, catalogue)
    if found.procedure is None:
        raise RuntimeError(f"no way from {start} to {goal}: left {', '.join(found.left)}")
    return len(found.procedure.steps), median(lambda: find(pair(first, last), last, catalogue), 1)


if __name__ == "__main__":
    steps, spent = proof_and_mistakes()
    print(f"{CHANGE_OVER}: {steps} steps proved with all mistakes in {spent:.2f} s (goal {GOAL:g} s)")
    print(f"a page of its storyboard: {storyboard_page():.2f} s (goal {PAGE_GOAL:g} s)")
    for what, (start, goal, most) in SEARCHES.items():
        steps, spent = search(start, goal)
        print(f"{what}: a way of {steps} steps in {spent:.2f} s (goal {most:g} s)")
