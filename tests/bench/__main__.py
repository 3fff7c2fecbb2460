"""Every speed that was promised, measured in one go, the goal beside each.

Run ``make bench`` or ``python -m tests.bench``. A goal that is missed is said so and by how much; the exit
status is 0 all the same, since a slow machine is no fault of the code.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from ropewright.catalogue import load_catalogue
from ropewright.judgement.components import components
from ropewright.judgement.examine import examine
from ropewright.judgement.figures import Figures
from ropewright.judgement.letting_go import let_go
from ropewright.judgement.moved import Moved, move_rig, sample_inputs
from ropewright.mechanics import solve_samples
from ropewright.rig import read_rig
from tests.drawing import bench as drawing

from . import card, cross_check, procedures, who
from .timing import median

EXAMPLES = Path(__file__).parents[2] / "examples"
SAMPLES = 100_000
COLD_STARTS = 7


@dataclass(frozen=True)
class Line:
    """One measured figure; ``more`` where more is better, ``goal`` None where it only explains another."""

    what: str
    value: float
    unit: str
    goal: float | None
    more: bool = False
    note: str = ""

    def verdict(self) -> str:
        """Whether the goal is reached, and if not, by how much it is missed."""
        if self.goal is None:
            return ""
        if self.value >= self.goal if self.more else self.value <= self.goal:
            return "reached"
        times = self.goal / self.value if self.more else self.value / self.goal
        return f"MISSED by {times - 1:.0%}" if times < 2 else f"MISSED by a factor of {times:.2g}"

    def shown(self) -> str:
        """The figure as a line of the table."""
        goal = "" if self.goal is None else f"{'≥' if self.more else '≤'} {self.goal:g} {self.unit}"
        text = f"{self.what:<58}{f'{self.value:.3g} {self.unit}':>12}{goal:>12}  {self.verdict()}"
        return f"{text}{'; ' if self.note and self.goal is not None else ''}{self.note}".rstrip()


def samples() -> Line:
    """A hundred thousand samples of the 3:1 over an edge, drawn and solved."""
    rig, catalogue = read_rig(EXAMPLES / "parapet-roller.rig.yaml"), load_catalogue()
    assert rig.haul is not None
    moved = move_rig(rig, catalogue, Figures(rig, catalogue), 1, rig.haul.load, rig.haul.distance, 10)
    assert isinstance(moved, Moved)
    unsolved = 0

    def solve() -> None:
        nonlocal unsolved
        _, _, friction, mass = sample_inputs(moved.assembly, moved.motion, SAMPLES)
        solved = solve_samples(moved.motion, friction, mass)
        unsolved = int((solved.residual > 1e-5 * moved.motion.system.moved_weight).sum())

    spent = median(solve, 3)
    note = f"{unsolved} not solved" if unsolved else ""
    return Line(f"{SAMPLES:,} samples of a 3:1 over an edge", spent, "s", 1.0, note=note)


def single_failures() -> Line:
    """Every single failure of a rig of about twenty components."""
    rig, catalogue = read_rig(EXAMPLES / "self-haul-double-and-single.rig.yaml"), load_catalogue()
    whole = examine(rig, catalogue, samples=10)
    state, parts = whole.assembly.state(whole.assembly.system), components(rig, catalogue)
    figures = Figures(rig, catalogue)

    def fail() -> None:
        for part in parts:
            let_go(rig, catalogue, state, figures=figures, gone=[part], grip=whole.grip)

    fail()
    return Line(f"every single failure of a rig of {len(parts)} components", median(fail, 7), "s", 0.1)


def cold(*command: str) -> float:
    """Median time [s] of a whole process, its bytecode kept from the run before, as is usual."""
    settings = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}

    def start() -> None:
        done = subprocess.run(command, capture_output=True, text=True, check=False, env=settings)
        if done.returncode > 1:  # 1 only says that the rig is outside policy
            raise RuntimeError(f"{' '.join(command)} ended with {done.returncode}: {done.stderr.strip()}")

    start()
    return median(start, COLD_STARTS)


def whole_process() -> list[Line]:
    """The check of one file from cold, beside a bare start of the interpreter."""
    command = Path(sys.executable).with_name("ropewright")
    check = cold(str(command), "check", str(EXAMPLES / "haul-3-1.rig.yaml"))
    bare = cold(sys.executable, "-c", "pass")
    return [
        Line("`ropewright check` of one file, cold, whole process", check, "s", 0.6),
        Line("    times as long as a bare start of the interpreter", check / bare, "×", None),
    ]


def against_the_engine() -> tuple[Line, str]:
    """The least ratio over the rigs, and the table of all of them."""
    least, table = cross_check.measured()
    text = "warm solve with friction against a general physics engine"
    return Line(text, least, "×", cross_check.GOAL, more=True), table


def printed() -> list[Line]:
    """Pictures and cards of all examples, and who of many people can work some rigs."""
    pictures, cards = sorted(drawing.pictures().values()), sorted(t for _, t in card.measured())
    return [
        Line("a picture, warm: median of the examples", statistics.median(pictures), "s", drawing.GOAL),
        Line("    the slowest", pictures[-1], "s", drawing.GOAL),
        Line("a card, warm: median of the examples", statistics.median(cards), "s", card.GOAL),
        Line("    the slowest", cards[-1], "s", card.GOAL),
        Line("`who` of 200 people on 5 rigs", who.measure(), "s", who.GOAL),
    ]


def in_steps() -> list[Line]:
    """Procedures: a proof with all its mistakes, and the searches."""
    steps, spent = procedures.proof_and_mistakes()
    out = [Line(f"a change-over of {steps} steps proved, all its mistakes", spent, "s", procedures.GOAL)]
    out.append(Line("a page of its storyboard", procedures.storyboard_page(), "s", procedures.PAGE_GOAL))
    for what, (start, goal, most) in procedures.SEARCHES.items():
        steps, spent = procedures.search(start, goal)
        out.append(Line(f"`find` {what}: {steps} steps", spent, "s", most))
    return out


def main() -> int:
    """Print the table."""
    lines = [samples(), single_failures(), *whole_process(), *printed(), *in_steps()]
    ratio, table = against_the_engine()
    print(f"{'':<58}{'measured':>12}{'goal':>12}")
    for line in (*lines, ratio):
        print(line.shown())
    missed = [line for line in (*lines, ratio) if line.verdict().startswith("MISSED")]
    print(f"{len(missed)} of the goals missed" if missed else "all goals reached")
    print(f"\nthe engine, rig by rig:\n{table}", end="")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
