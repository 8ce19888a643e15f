"""Slides down a roof: energy balance by hand; one facet against the speed of a body on an inclined plane.

A body on an inclined plane: v^2 = 2 g s (sin q - mu cos q), every text on mechanics.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ropewright.arrest.slide import roof_friction, slide_height, slide_speed

G = 9.80665
heights = st.floats(0.0, 12.0)


@pytest.mark.parametrize("pitch", [10, 35, 60])
def test_speed_is_that_on_an_inclined_plane(pitch):
    q, s, mu = math.radians(pitch), 5.0, 0.1
    height = slide_height([[s * math.sin(q)]], [[s * math.cos(q)]], mu)
    assert slide_speed(height)[0, 0] ** 2 == pytest.approx(2 * G * s * (math.sin(q) - mu * math.cos(q)))


def test_nobody_slides_where_friction_holds():
    assert slide_height([[1.0]], [[4.0]], 0.25).tolist() == [[0.0]]
    assert slide_height([[1.0]], [[4.0]], 0.3).tolist() == [[0.0]]


@given(drop=heights, run=heights, more=st.floats(0, 3), friction=st.floats(0, 1))
def test_steeper_or_smoother_is_never_slower(drop, run, more, friction):
    one = slide_height([[drop]], [[run]], friction)
    assert slide_height([[drop + more]], [[run]], friction) >= one
    assert slide_height([[drop]], [[run]], friction / (1 + more)) >= one


@given(st.lists(st.tuples(heights, heights), min_size=2, max_size=6))
def test_a_start_further_up_is_never_better(steps):
    drop, run = np.cumsum(np.array(steps), axis=0).T
    assert (np.diff(slide_height(drop[None], run[None], 0.3)) >= 0).all()


def test_the_judged_range_is_lower_than_what_was_read_of_shoes():
    """Rubber sole on dry asphalt: 0.6 to 0.7, trade article of 2003."""
    assert roof_friction().value.low < roof_friction().value.likely < 0.6
    assert not roof_friction().settles
