"""Choosing the least or the best set of columns by a mixed-integer program, with its bound.

The solver is HiGHS (MIT licence). It is imported where it is used: it takes 70 ms.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ropewright.field.cover import deciding_rows, greedy_cover, useful_columns
from ropewright.programs import quiet_solver

if TYPE_CHECKING:
    import highspy

__all__ = ["Chosen", "cheapest_cover", "least_cover", "most_covered"]

Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]

#: The solver's numbers are whole to about this much. [-]
_WHOLE = 1e-6
#: Gap at which a cost in metres counts as least. [-]
_GAP = 1e-6


@dataclass(frozen=True, slots=True)
class Chosen:
    """What a program chose."""

    columns: tuple[int, ...]
    value: float  #: count, cost or number of rows covered
    bound: float  #: no choice is better than this
    proven: bool  #: `value` reaches the bound

    @property
    def gap(self) -> float:
        """How far the bound is off. [-]"""
        return abs(self.value - self.bound)


def least_cover(covers: Bools, *, at_most: int | None = None, seconds: float = 60.0) -> Chosen | None:
    """Fewest columns that cover every row.

    Parameters
    ----------
    covers : array of bool, shape (n, m)
        Each row has at least one column.
    at_most : int, optional
        More columns than this are of no use.
    seconds : float
        Time for the solver, above 0. [s]

    Returns
    -------
    Chosen or None
        None: more than `at_most` are needed, proven. Without `at_most` always a choice, at worst the greedy one.

    Raises
    ------
    ValueError
        If a row has no column.

    Examples
    --------
    >>> least_cover(np.array([[1, 1, 0], [0, 1, 1], [1, 0, 1]], bool)).value
    2.0
    """
    if not covers.any(axis=1).all():
        raise ValueError("a row has no column that covers it")
    columns = useful_columns(covers) if len(covers) else np.empty(0, np.int64)
    small = covers[:, columns]
    small = small[deciding_rows(small)] if len(small) else small
    if not len(small):
        return Chosen((), 0.0, 0.0, proven=True)
    start = greedy_cover(small)
    program = _Program(np.ones(len(columns)), seconds)
    program.cover(small)
    program.at_most(np.arange(len(columns)), min(at_most if at_most is not None else len(start), len(start)))
    found = program.solve()
    if found is None and at_most is not None and program.infeasible:
        return None
    if found is None:  # time ran out before anything was found: the greedy choice stands, with the bound there is
        bound = _up(program.bound)
        return Chosen(tuple(columns[start].tolist()), float(len(start)), bound, proven=bound >= len(start))
    bound = _up(program.bound)
    return Chosen(tuple(columns[found].tolist()), float(len(found)), bound, proven=bound >= len(found))


def cheapest_cover(
    covers: Bools, cost: Floats, group: NDArray[np.int64], *, groups: int, free: Bools, seconds: float = 60.0
) -> Chosen | None:
    """Cheapest columns that cover every row, from a limited number of groups.

    Parameters
    ----------
    covers : array of bool, shape (n, m)
    cost : array, shape (m,)
        0 or more.
    group : array of int, shape (m,)
        Which of k groups each column belongs to.
    groups : int
        Columns may be taken from so many groups at most, free ones not counted.
    free : array of bool, shape (k,)
        Groups that don't count.
    seconds : float
        [s]

    Returns
    -------
    Chosen or None
        None: nothing was found in time, or there is nothing to find.

    Examples
    --------
    >>> covers = np.array([[True, True, False], [True, False, True]])
    >>> cheapest_cover(covers, np.array([5.0, 2.0, 2.0]), np.array([0, 1, 2]), groups=2, free=np.zeros(3, bool)).value
    4.0
    >>> cheapest_cover(covers, np.array([5.0, 2.0, 2.0]), np.array([0, 1, 2]), groups=1, free=np.zeros(3, bool)).value
    5.0
    """
    small = covers[deciding_rows(covers)] if len(covers) else covers
    m, k = len(cost), len(free)
    program = _Program(np.append(cost, np.zeros(k)), seconds)
    program.cover(small)
    for at in range(m):  # a column needs its group
        if not free[group[at]]:
            program.row([m + int(group[at]), at], [1.0, -1.0], low=0.0)
    program.at_most(m + np.flatnonzero(~free), groups)
    found = program.solve()
    if found is None:
        return None
    chosen = [at for at in found if at < m]
    value = float(cost[chosen].sum())
    return Chosen(tuple(chosen), value, program.bound, proven=value - program.bound <= _GAP * max(1.0, value) + _WHOLE)


def most_covered(covers: Bools, weight: Floats, *, count: int, free: Bools, seconds: float = 60.0) -> Chosen:
    """Columns, `count` at most, that cover the most.

    Parameters
    ----------
    covers : array of bool, shape (n, m)
    weight : array, shape (n,)
        What covering each row is worth, above 0.
    count : int
        Columns to choose, free ones not counted.
    free : array of bool, shape (m,)
        Columns that are chosen anyhow.
    seconds : float
        [s]

    Returns
    -------
    Chosen
        `value` is the weight covered.

    Examples
    --------
    >>> covers = np.array([[1, 0, 0], [1, 1, 0], [0, 1, 0], [0, 0, 1]], bool)
    >>> most_covered(covers, np.array([1.0, 1.0, 1.0, 5.0]), count=2, free=np.zeros(3, bool)).value
    7.0
    """
    n, m = covers.shape
    program = _Program(np.concatenate([np.zeros(m), -weight]), seconds, whole=m)
    for row in range(n):
        columns = np.flatnonzero(covers[row])
        program.row([*columns.tolist(), m + row], [1.0] * len(columns) + [-1.0], low=0.0)
    for at in np.flatnonzero(free):
        program.row([int(at)], [1.0], low=1.0)
    program.at_most(np.flatnonzero(~free), count)
    found = program.solve() or []
    chosen = sorted({at for at in found if at < m} | set(np.flatnonzero(free).tolist()))
    value = float(weight[covers[:, chosen].any(axis=1)].sum()) if chosen else 0.0
    bound = min(-program.bound, float(weight.sum()))
    return Chosen(tuple(chosen), value, bound, proven=value >= bound - _WHOLE * max(1.0, bound))


def _up(bound: float) -> float:
    """Whole number that a count can't be below."""
    return float(math.ceil(bound - _WHOLE)) if math.isfinite(bound) else 0.0


class _Program:
    """Minimise cost over columns that are taken or left."""

    def __init__(self, cost: Floats, seconds: float, *, whole: int | None = None) -> None:
        self._cost = cost
        self._whole = len(cost) if whole is None else whole  # the rest follow from these without being held to it
        self._solver = quiet_solver()
        self._solver.setOptionValue("time_limit", seconds)
        self._solver.setOptionValue("mip_rel_gap", 0.0)
        self._solver.setOptionValue("mip_abs_gap", _WHOLE)
        self._low: list[float] = []
        self._high: list[float] = []
        self._starts: list[int] = [0]
        self._columns: list[int] = []
        self._values: list[float] = []
        self.bound = -math.inf
        self.infeasible = False

    def row(self, columns: list[int], values: list[float], *, low: float = -math.inf, high: float = math.inf) -> None:
        """Hold a sum of columns between two ends."""
        self._low.append(low)
        self._high.append(high)
        self._columns += columns
        self._values += values
        self._starts.append(len(self._columns))

    def cover(self, covers: Bools) -> None:
        """At least one column of each row."""
        for row in covers:
            columns = np.flatnonzero(row).tolist()
            self.row(columns, [1.0] * len(columns), low=1.0)

    def at_most(self, columns: NDArray[np.int64], count: int) -> None:
        """Take no more than so many of some columns."""
        self.row(columns.tolist(), [1.0] * len(columns), high=float(count))

    def solve(self) -> list[int] | None:
        """Columns taken; None where none were found in time or there are none."""
        import highspy

        self._solver.passModel(self._model())
        # A known choice is not handed over as a start: HiGHS 1.16.0 then gave a value and a bound that no choice had.
        self._solver.run()
        status = self._solver.getModelStatus()
        self.infeasible = status == highspy.HighsModelStatus.kInfeasible
        info = self._solver.getInfo()
        self.bound = float(info.mip_dual_bound)
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return None
        values = np.array(self._solver.getSolution().col_value)
        return [int(at) for at in np.flatnonzero(values > 0.5)]

    def _model(self) -> highspy.HighsLp:
        import highspy

        n, m = len(self._low), len(self._cost)
        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = m, n
        model.col_cost_ = self._cost
        model.col_lower_, model.col_upper_ = np.zeros(m), np.ones(m)
        infinity = highspy.kHighsInf
        model.row_lower_ = np.maximum(np.array(self._low), -infinity)
        model.row_upper_ = np.minimum(np.array(self._high), infinity)
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_ = np.array(self._starts, np.int32)
        model.a_matrix_.index_ = np.array(self._columns, np.int32)
        model.a_matrix_.value_ = np.array(self._values, np.float64)
        kinds = highspy.HighsVarType
        model.integrality_ = [kinds.kInteger] * self._whole + [kinds.kContinuous] * (m - self._whole)
        return model
