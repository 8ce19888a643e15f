"""Machine code made of plain Python does what plain Python does, to the last bit."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.native import code, compiled, is_kept

HERE = [Path(__file__)]
USED = 16
LEVEL = 0.25


def settle(a, b, c):
    """Law of some kernel: choices, least and greatest, a square and a root."""
    d = max(0.0, a - b) if a < c else min(b, c)
    return math.sqrt(abs(d)) + b**2 / (1.0 + c * c)


def side_by_side(rows, out):
    """Loop over falls that works on several at once."""
    for j in range(USED):
        a, b = rows[j], rows[16 + j]
        on = 1.0 if (a > LEVEL) & (b != 1.0) else 0.0
        found, both = pair(a, b)
        out[j], out[16 + j] = found, on * both
        out[32 + j] += -on if a <= b else 2


def pair(a: float, b: float) -> tuple[float, float]:
    return max(a, b) - LEVEL, settle_wide(a, b)


def settle_wide(a: float, b: float) -> float:
    return math.copysign(math.sqrt(a * a + b * b), a)


def branches(table, whole, out, count, share):
    """All that stands alone: nested loops, ways out of them, `and`, `or`, whole numbers, rows."""
    total, found, k = 0.0, False, 0
    for i in range(count):
        row = table[i]
        if row[0] < 0.0 or (row[1] > share and not row[2] < 0.0):
            continue
        if row[0] > 4.0:
            found |= 0.0 < row[1] <= 9.0
            break
        for _ in range(whole[i]):
            total += row[1] * share
    while k < count and table[k, 2] != 0.0:
        k += 1
    out[0], out[1], out[2], out[3] = total, k, len(whole), 1.0 if found else -np.inf
    out[4] = int(share) + first_above(table, count, share)


def first_above(table, count: int, share: float) -> int:
    for i in range(1, count):
        if table[i, 1] > share:
            return i
    return -1


def of_the_system(values):
    values[0], values[1] = math.exp(values[0]), math.acos(values[1])
    values[2] = math.hypot(values[2], values[0])


def with_a_list(values):
    values[0] = max([1.0], [2.0])


def with_a_try(values):
    try:
        values[0] = 1.0
    except ValueError:
        values[0] = 2.0


def on_a_number(values):
    if values[0]:
        values[0] = 1.0


numbers = st.floats(-10, 10)


@pytest.fixture(scope="module")
def wide():
    return compiled(side_by_side, "float[1] float[1]", HERE)


@settings(deadline=None, max_examples=50)
@given(rows=st.lists(numbers, min_size=32, max_size=32))
def test_falls_side_by_side_are_as_one_by_one(wide, rows):
    rows = np.array(rows)
    mine, theirs = np.ones(48), np.ones(48)
    wide(rows, mine)
    side_by_side(rows, theirs)
    assert mine.tobytes() == theirs.tobytes()


@settings(deadline=None, max_examples=50)
@given(data=st.data())
def test_branches_and_loops_lead_where_they_do_in_python(data):
    count = data.draw(st.integers(1, 6))
    table = np.array(data.draw(st.lists(st.lists(numbers, min_size=3, max_size=3), min_size=count, max_size=count)))
    whole = np.array(data.draw(st.lists(st.integers(0, 3), min_size=count, max_size=count)), np.int64)
    share = data.draw(st.floats(-5, 5))
    mine, theirs = np.zeros(5), np.zeros(5)
    compiled(branches, "float[2] int[1] float[1] int float", HERE)(table, whole, mine, count, share)
    branches(table, whole, theirs, count, share)
    assert mine.tobytes() == theirs.tobytes()


def test_functions_of_the_system_are_found():
    mine, theirs = np.array([0.5, 0.3, -2.0]), np.array([0.5, 0.3, -2.0])
    compiled(of_the_system, "float[1]", HERE)(mine)
    of_the_system(theirs)
    assert mine == pytest.approx(theirs, rel=1e-15)


@pytest.mark.parametrize("function", [with_a_list, with_a_try, on_a_number])
def test_what_is_not_translated_is_refused(function):
    with pytest.raises(TypeError, match=r"is not translated|a branch on"):
        code._made(function, "float[1]", "none")


@pytest.mark.parametrize(
    "array", [np.zeros(3, np.float32), np.zeros((3, 1)), np.zeros(6)[::2]], ids=["kind", "dimensions", "order"]
)
def test_arrays_must_be_as_declared(array):
    with pytest.raises(TypeError, match="an array of float with 1 dimensions in C order is due"):
        compiled(of_the_system, "float[1]", HERE)(array)


def test_what_is_kept_is_of_this_source_and_this_processor(tmp_path, monkeypatch):
    monkeypatch.setattr(code, "_places", lambda mark: [tmp_path / "a" / f"{mark}.o"])
    source = tmp_path / "kernel.py"
    source.write_text("one")
    assert not is_kept("of_the_system", "float[1]", [source])
    compiled(of_the_system, "float[1]", [source])
    assert is_kept("of_the_system", "float[1]", [source])
    monkeypatch.setattr(code, "_made", lambda *_: pytest.fail("made again"))
    compiled(of_the_system, "float[1]", [source])
    source.write_text("another")
    assert not is_kept("of_the_system", "float[1]", [source])


def test_where_nothing_can_be_written_it_is_made_anew(tmp_path, monkeypatch):
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    monkeypatch.setattr(code, "_places", lambda mark: [blocked / mark, blocked / "also" / mark])
    values = np.array([0.0, 1.0, 0.0])
    compiled(of_the_system, "float[1]", HERE)(values)
    assert values.tolist() == [1.0, 0.0, 1.0]
    assert not is_kept("of_the_system", "float[1]", HERE)


@pytest.mark.parametrize(("features", "width"), [({"avx512f": True}, 8), ({"avx": True}, 4), ({}, 2)])
def test_width_is_the_processors(features, width, monkeypatch):
    import llvmlite.binding as llvm

    monkeypatch.setattr(llvm, "get_host_cpu_features", lambda: features)
    assert code._width() == width
