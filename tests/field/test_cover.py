"""Choosing columns that cover rows: brute force on small cases, and what more columns or rows can do.

The number is also held against another solver's program over the whole table, unreduced (scipy.optimize.milp).
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp

from ropewright.field.cover import deciding_rows, greedy_cover, merged_rows, useful_columns
from ropewright.field.cover_program import cheapest_cover, least_cover, most_covered

Bools = NDArray[np.bool_]

#: Small tables in which every row has a column.
TABLES = (
    arrays(bool, st.tuples(st.integers(1, 9), st.integers(1, 7)), elements=st.booleans())
    .map(lambda table: table[table.any(axis=1)])
    .filter(lambda table: len(table) > 0)
)


def least_by_trying(covers: Bools) -> int:
    columns = range(covers.shape[1])
    return next(
        k for k in range(covers.shape[1] + 1) for few in combinations(columns, k) if covers[:, few].any(axis=1).all()
    )


def most_by_trying(covers: Bools, count: int) -> int:
    return max(
        int(covers[:, few].any(axis=1).sum())
        for k in range(min(count, covers.shape[1]) + 1)
        for few in combinations(range(covers.shape[1]), k)
    )


@settings(max_examples=150, deadline=None)
@given(TABLES)
def test_the_number_is_the_least_of_all_choices(covers: Bools) -> None:
    found = least_cover(covers)
    assert found is not None
    assert covers[:, found.columns].any(axis=1).all()
    assert found.value == found.bound == len(found.columns) == least_by_trying(covers)
    assert found.proven


@settings(max_examples=60, deadline=None)
@given(TABLES)
def test_one_less_than_the_least_is_proven_impossible(covers: Bools) -> None:
    assert least_cover(covers, at_most=least_by_trying(covers) - 1) is None


@settings(max_examples=80, deadline=None)
@given(TABLES, st.integers(0, 4))
def test_the_best_cover_is_the_best_of_all_choices(covers: Bools, count: int) -> None:
    weight, free = np.ones(len(covers)), np.zeros(covers.shape[1], bool)
    found = most_covered(covers, weight, count=count, free=free)
    assert len(found.columns) <= count
    assert found.value == most_by_trying(covers, count)
    assert found.proven


@settings(max_examples=60, deadline=None)
@given(TABLES, st.data())
def test_more_columns_never_raise_the_number_and_more_rows_never_lower_it(covers: Bools, data: st.DataObject) -> None:
    more = data.draw(arrays(bool, (len(covers), 1), elements=st.booleans()))
    row = data.draw(arrays(bool, (1, covers.shape[1]), elements=st.booleans()).filter(np.any))
    plain, wider, taller = (
        least_cover(table) for table in (covers, np.hstack([covers, more]), np.vstack([covers, row]))
    )
    assert plain is not None
    assert wider is not None
    assert taller is not None
    assert wider.value <= plain.value <= taller.value


@settings(max_examples=60, deadline=None)
@given(TABLES)
def test_what_is_left_out_decides_nothing(covers: Bools) -> None:
    rows, columns = deciding_rows(covers), useful_columns(covers)
    assert least_by_trying(covers[rows]) == least_by_trying(covers)
    assert least_by_trying(covers[:, columns]) == least_by_trying(covers)


def test_alike_rows_are_one() -> None:
    first, kind = merged_rows(np.array([[1, 0], [0, 1], [1, 0]], bool))
    assert first.tolist() == [0, 1]
    assert kind.tolist() == [0, 1, 0]


def test_nothing_to_cover_takes_nothing() -> None:
    found = least_cover(np.zeros((0, 5), bool))
    assert found is not None
    assert found.columns == ()
    assert found.proven


@pytest.mark.parametrize("choose", [least_cover, greedy_cover])
def test_a_row_without_a_column_is_a_mistake(choose: object) -> None:
    with pytest.raises(ValueError, match="no column"):
        choose(np.zeros((1, 2), bool))  # type: ignore[operator]


def test_the_greedy_choice_can_take_more_than_needed() -> None:
    """Two columns of four cover all eight rows; the greedy one begins with five in the middle and then needs both."""
    covers = np.zeros((8, 3), bool)
    covers[:4, 0] = covers[4:, 1] = covers[[1, 2, 3, 4, 5], 2] = True
    found = least_cover(covers)
    assert len(greedy_cover(covers)) == 3
    assert found is not None
    assert found.value == 2


def test_the_cheapest_choice_counts_groups_not_columns() -> None:
    """Two columns of one group count once; a free group does not count."""
    covers = np.array([[1, 0, 0], [0, 1, 0], [0, 0, 1]], bool)
    group, cost = np.array([0, 0, 1]), np.array([3.0, 4.0, 5.0])
    one = cheapest_cover(covers, cost, group, groups=1, free=np.array([False, False]))
    freed = cheapest_cover(covers, cost, group, groups=1, free=np.array([True, False]))
    assert one is None
    assert freed is not None
    assert freed.value == pytest.approx(12.0)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_number_is_that_of_another_solver(seed: int) -> None:
    """Discs on a long roof: 400 places, 60 columns."""
    random = np.random.default_rng(seed)
    places, at = random.uniform((0, 0), (40, 9), (400, 2)), random.uniform((0, 3), (40, 6), (60, 2))
    covers = np.hypot(*(places[:, None] - at).transpose(2, 0, 1)) <= random.uniform(4.0, 6.5, 60)
    covers = covers[covers.any(axis=1)]
    other = milp(
        np.ones(60),
        integrality=np.ones(60, int),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(covers.astype(float), 1),
    )
    found = least_cover(covers)
    assert found is not None
    assert found.value == pytest.approx(other.fun)
    assert found.proven
