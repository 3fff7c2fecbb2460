"""How long a full check of a rig takes, warm, as an editor asks for it after each change.

Run ``python -m tests.bench.live``: read, examined, judged, drawn and reported, for every example and for a
rig of twenty points, loads, pieces of gear and ropes. Beside it what comes first where failures, chains and
the limit are postponed: read, forces, first findings, picture. All on one thread, as a server would: the
matrices are too small for more.
"""

from __future__ import annotations

import gc
import os
import statistics
import time
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy is imported

from ropewright.catalogue import Catalogue, load_catalogue
from ropewright.drawing import draw_rig
from ropewright.judgement.examine import examine
from ropewright.judgement.findings import findings
from ropewright.judgement.report import report
from ropewright.rig import read_rig

from .timing import median

HERE = Path(__file__).parent
EXAMPLES = HERE.parents[1] / "examples"
TWENTY = HERE / "twenty.rig.yaml"
GOAL = 0.11
"""A full check of a rig of twenty points, loads, pieces of gear and ropes [s]."""
TIMES = 9
STAGES = ("read", "examine", "findings", "draw", "report")


@dataclass(frozen=True)
class Check:
    """The median time [s] of each stage of a full check, of all together, and of what comes ``first``;
    ``size`` counts the parts.
    """

    name: str
    size: int
    stages: tuple[float, ...]
    total: float
    first: float


def measure(path: Path, times: int = TIMES) -> Check:
    """A full check of one rig file, time after time, with nothing kept from one to the next."""
    catalogue, text = load_catalogue(), path.read_text(encoding="utf-8")
    rows = list[list[float]]()
    size = 0

    for _ in range(times + 1):
        gc.collect()
        marks = [time.perf_counter()]
        rig = read_rig(text, catalogue)
        marks.append(time.perf_counter())
        found = examine(rig, catalogue)
        marks.append(time.perf_counter())
        told = findings(found, "both")
        marks.append(time.perf_counter())
        draw_rig(rig, catalogue, found)
        marks.append(time.perf_counter())
        report(found, "both", told)
        marks.append(time.perf_counter())
        rows.append([after - before for before, after in pairwise(marks)])
        size = sum(map(len, (rig.points, rig.loads, rig.gear, rig.ropes)))
    warm = rows[1:]
    stages = tuple(statistics.median(column) for column in zip(*warm, strict=True))
    name, total = path.name.removesuffix(".rig.yaml"), statistics.median(map(sum, warm))
    return Check(name, size, stages, total, median(lambda: first_look(text, catalogue), times))


def first_look(text: str, catalogue: Catalogue) -> None:
    """What a page can show before anybody asks what fails."""
    rig = read_rig(text, catalogue)
    found = examine(rig, catalogue, postponed=True)
    findings(found, "both", first=True)
    draw_rig(rig, catalogue, found)


def measured() -> list[Check]:
    """All examples, the slowest last, and then the rig of twenty."""
    found = sorted(map(measure, sorted(EXAMPLES.glob("*.rig.yaml"))), key=lambda check: check.total)
    return [*found, measure(TWENTY)]


def main() -> int:
    """Print the table [ms]."""
    heads = "".join(f"{head:>10}" for head in (*STAGES, "all", "first"))
    print(f"{'a full check, warm [ms]':<38}{'parts':>6}{heads}")
    checks = measured()
    for check in checks:
        spent = "".join(f"{1e3 * each:>10.1f}" for each in (*check.stages, check.total, check.first))
        print(f"{check.name:<38}{check.size:>6}{spent}")
    twenty = checks[-1].total
    verdict = "reached" if twenty <= GOAL else f"missed, {twenty / GOAL:.2f} times the goal"
    print(f"a rig of {checks[-1].size} parts: {1e3 * twenty:.0f} ms; goal {1e3 * GOAL:.0f} ms: {verdict}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
