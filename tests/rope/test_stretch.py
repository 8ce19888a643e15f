"""Stretch over the length out: what holds for any rope."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.quantity import Range
from ropewright.rope.stretch import ARREST_LIMIT, StretchTable, stretch_table


def table(length: float = 10.0, mass: float = 100.0, force: float = 6000.0) -> StretchTable:
    return stretch_table(
        fibre="polyester", construction="sheathed core", gives="static", diameter=0.011, length=length, mass=mass,
        force=force, condition="new, dry",
    )  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(st.floats(0.5, 100.0), st.floats(40.0, 160.0), st.floats(500.0, 20e3), st.floats(1.01, 3.0))
def test_stretch_grows_with_length_mass_and_force(length: float, mass: float, force: float, more: float) -> None:
    one, longer = table(length, mass, force).rows[-1], table(length * more, mass, force).rows[-1]
    assert longer.catch.high > one.catch.high
    assert longer.hang.low > one.hang.low
    assert table(length, mass * more, force).rows[-1].hang.likely > one.hang.likely
    assert table(length, mass, force * more).rows[-1].catch.likely > one.catch.likely


@settings(max_examples=20, deadline=None)
@given(st.floats(0.5, 100.0))
def test_stretch_is_in_proportion_to_the_length(length: float) -> None:
    rows = table(length).rows
    assert [row.length for row in rows] == pytest.approx([length * k / 5 for k in range(1, 6)])
    for row in rows:
        assert row.catch.likely / row.length == pytest.approx(rows[0].catch.likely / rows[0].length)
        assert row.hang.low <= row.hang.likely <= row.hang.high


def test_stiffness_of_the_maker_is_what_counts() -> None:
    told = stretch_table(
        fibre="polyester", construction="sheathed core", gives="static", diameter=0.011, length=10.0, mass=100.0,
        force=5000.0, given=Range(40e3, 50e3, 60e3),
    )  # fmt: skip
    assert told.rows[-1].catch == Range(10 * 5000 / 60e3, 1.0, 10 * 5000 / 40e3)


def test_rule_limit_is_1800_pounds() -> None:
    assert pytest.approx(8006.8, abs=0.05) == ARREST_LIMIT  # 1 lbf = 4.4482216152605 N, exact


@pytest.mark.parametrize("wrong", [{"length": 0.0}, {"mass": -1.0}, {"force": 0.0}])
def test_what_means_nothing_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="above 0"):
        table(**wrong)
