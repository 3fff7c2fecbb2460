"""A whole-number programme with objectives in an order: the first is settled before the next is looked at."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import highspy
import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RopewrightError
from ropewright.solver import QuietSolver

__all__ = ["Programme", "SolverError"]

Terms = Sequence[tuple[int, float]]
Values = NDArray[np.float64]


class SolverError(RopewrightError):
    """The solver gave no answer where there is always one."""


class Programme:
    """Whole variables from 0 up, rows over them, and sums to be made small one after another.

    Deterministic: one thread, a fixed seed and a limit on nodes, never on time.
    """

    def __init__(self) -> None:
        self.upper: list[float] = []
        self._start: list[int] = [0]
        self._index: list[int] = []
        self._value: list[float] = []
        self._low: list[float] = []
        self._high: list[float] = []
        self.proven = True

    def variable(self, most: int) -> int:
        """A new variable from 0 to ``most``; its number."""
        self.upper.append(float(most))
        return len(self.upper) - 1

    def row(self, terms: Terms, low: float, high: float) -> None:
        """A sum that has to lie between two bounds."""
        for column, value in terms:
            self._index.append(column)
            self._value.append(value)
        self._start.append(len(self._index))
        self._low.append(low)
        self._high.append(high)

    def at_most(self, terms: Terms, most: float) -> None:
        """A sum with an upper bound."""
        self.row(terms, -highspy.kHighsInf, most)

    def least(self, objectives: Sequence[Mapping[int, float]], nodes: int = 2000) -> list[int]:
        """The variables with which the first objective is least, among those the second, and so on.

        objectives: whole weights by variable. nodes: how many nodes the search may look at for each
            objective; where that was not enough, ``proven`` is False. Errors: SolverError.
        """
        if not self.upper:
            return []
        solver = self._solver(nodes)
        values: Values | None = None
        for weights in [goal for goal in objectives if goal] or [{}]:
            cost = np.zeros(len(self.upper))
            cost[list(weights)] = list(weights.values())
            solver.changeColsCost(len(cost), np.arange(len(cost), dtype=np.int32), cost)
            solver.clearSolver()  # given a start, the solver has answered with it in place of what it found
            solver.solve_quietly()
            values = self._answer(solver, cost)
            columns = np.array(sorted(weights), dtype=np.int32)
            best = round(float(cost @ values))
            solver.addRow(-highspy.kHighsInf, best + 0.5, len(columns), columns, cost[columns])
        assert values is not None
        return [round(float(v)) for v in values]

    def _answer(self, solver: QuietSolver, cost: Values) -> Values:
        status = solver.getModelStatus()
        if status not in (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kSolutionLimit):
            raise SolverError(f"the allotment was not solved: {solver.modelStatusToString(status)}")
        self.proven &= status == highspy.HighsModelStatus.kOptimal
        values = np.array(solver.getSolution().col_value, dtype=np.float64)
        told, found = solver.getInfo().objective_function_value, float(cost @ values)
        if abs(told - found) > 0.5:
            raise SolverError(f"the solver contradicts itself: told {told:g}, its answer is worth {found:g}")
        return values

    def _solver(self, nodes: int) -> QuietSolver:
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(self.upper), len(self._low)
        lp.col_cost_ = np.zeros(lp.num_col_)
        lp.col_lower_, lp.col_upper_ = np.zeros(lp.num_col_), np.array(self.upper)
        lp.row_lower_, lp.row_upper_ = np.array(self._low), np.array(self._high)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.array(self._start, dtype=np.int32)
        lp.a_matrix_.index_ = np.array(self._index, dtype=np.int32)
        lp.a_matrix_.value_ = np.array(self._value)
        lp.integrality_ = [highspy.HighsVarType.kInteger] * lp.num_col_
        solver = QuietSolver()
        solver.setOptionValue("threads", 1)
        solver.setOptionValue("random_seed", 7)
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.setOptionValue("mip_abs_gap", 0.5)
        solver.setOptionValue("mip_max_nodes", nodes)
        solver.passModel(lp)
        return solver
