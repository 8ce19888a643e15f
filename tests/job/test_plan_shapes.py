"""Outlines from a few lengths: area by hand, corners in order, ends that must meet."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ropewright.errors import InputError
from ropewright.job.plan_shapes import outline_by_sides, outline_of_shape


def area(corners):
    pairs = zip(corners, [*corners[1:], corners[0]], strict=True)
    return sum(x * v - u * y for (x, y), (u, v) in pairs) / 2


#: Width 10, depth 8, inner 4 by 3: whole 80; L and U lose 12; T is the bar above (10 x 5) and the stem (4 x 3).
@pytest.mark.parametrize(("shape", "wanted"), [("rectangle", 80), ("L", 68), ("U", 68), ("T", 62)])
def test_area_is_that_of_the_parts(shape, wanted):
    assert area(outline_of_shape(shape, 10, 8, 4, 3)) == pytest.approx(wanted)


@pytest.mark.parametrize("shape", ["L", "T", "U"])
@pytest.mark.parametrize("inner", [(0, 3), (4, 0), (10, 3), (4, 8), (-1, 3), (float("nan"), 3)])
def test_inner_part_must_be_less_than_the_whole(shape, inner):
    with pytest.raises(InputError, match="less than the whole"):
        outline_of_shape(shape, 10, 8, *inner)


def test_walk_that_does_not_close_tells_the_gap():
    with pytest.raises(InputError, match=r"1\.00 m from its start"):
        outline_by_sides([(4, 90), (3, 90), (4, 90), (2, 90)])


@given(st.floats(1, 50), st.floats(1, 50))
def test_walk_round_a_rectangle_is_the_rectangle(width, depth):
    walked = outline_by_sides([(width, 90), (depth, 90), (width, 90), (depth, 90)])
    assert [coordinate for corner in walked for coordinate in corner] == pytest.approx(
        [coordinate for corner in outline_of_shape("rectangle", width, depth) for coordinate in corner], abs=1e-9
    )
