"""How long something takes."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

__all__ = ["median"]


def median(action: Callable[[], object], times: int) -> float:
    """Median time [s] of some runs."""
    spent = []
    for _ in range(times):
        began = time.perf_counter()
        action()
        spent.append(time.perf_counter() - began)
    return statistics.median(spent)
