"""Linear equations solved exactly, in fractions: what a count needs, where 2.9999 is no answer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

__all__ = ["ExactSolution", "solve_exactly"]


@dataclass(frozen=True, slots=True)
class ExactSolution:
    """The unknowns, None where the equations leave one open.

    ``clash`` is the first equation at odds with those before, −1 where all of them agree.
    """

    values: tuple[Fraction | None, ...]
    clash: int


def solve_exactly(
    rows: Iterable[Sequence[int | Fraction]], right: Iterable[int | Fraction], unknowns: int
) -> ExactSolution:
    """Solve ``rows`` (m, ``unknowns``) · x = ``right`` (m,) by Gauss-Jordan elimination in fractions.

    Valid for any shape and rank: an unknown gets a value only if every solution gives it that value.
    """
    pivots: dict[int, list[Fraction]] = {}
    clash = -1
    for number, (row, value) in enumerate(zip(rows, right, strict=True)):
        line = [Fraction(v) for v in row] + [Fraction(value)]
        for column, known in pivots.items():
            line = _less(line, line[column], known)
        column = next((k for k in range(unknowns) if line[k]), -1)
        if column < 0:
            if line[-1] and clash < 0:
                clash = number
            continue
        line = [v / line[column] for v in line]
        pivots = {k: _less(known, known[column], line) for k, known in pivots.items()}
        pivots[column] = line
    values = [
        pivots[k][-1] if k in pivots and not any(v for j, v in enumerate(pivots[k][:-1]) if j != k) else None
        for k in range(unknowns)
    ]
    return ExactSolution(tuple(values), clash)


def _less(line: list[Fraction], times: Fraction, other: list[Fraction]) -> list[Fraction]:
    return [a - times * b for a, b in zip(line, other, strict=True)] if times else line
