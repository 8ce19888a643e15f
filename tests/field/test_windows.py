"""Greatest of a stretch and length of a run, against Python's own max and a plain walk."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.field.windows import Windows

rows = st.lists(st.integers(0, 5), min_size=1, max_size=40)


@settings(deadline=None, max_examples=100)
@given(row=rows, data=st.data())
def test_the_greatest_of_a_stretch_is_the_first_of_the_largest(row, data):
    first = data.draw(st.integers(0, len(row) - 1))
    count = data.draw(st.integers(1, len(row) - first))
    stretch = row[first : first + count]
    found = Windows(np.array(row, float)).greatest(np.array([first]), np.array([count]))[0]
    assert found == first + stretch.index(max(stretch))


@settings(deadline=None, max_examples=100)
@given(row=rows, most=st.integers(0, 5), data=st.data())
def test_a_run_ends_before_the_first_that_is_too_large(row, most, data):
    first = data.draw(st.integers(0, len(row)))
    end = data.draw(st.integers(first, len(row)))
    walked = next((i for i in range(first, end) if row[i] > most), end) - first
    found = Windows(np.array(row, float)).run(np.array([first]), np.array([float(most)]), np.array([end]))[0]
    assert found == walked
