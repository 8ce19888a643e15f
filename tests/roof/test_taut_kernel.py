"""The compiled search for taut ropes: the same numbers as in plain Python, and proofs of clearness that hold.

What is known to be clear is checked against segments of the family, one by one.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from path_roofs import ROOFS

from ropewright.roof import taut_compile, taut_reach
from ropewright.roof import taut_rows as r
from ropewright.roof.path import TautPaths
from ropewright.roof.solid import RoofSolid
from ropewright.roof.taut_space import is_blocked, is_hull_open

SOLIDS = {name: RoofSolid(make()) for name, make in ROOFS.items()}


def goals(solid: RoofSolid, seed: int, count: int) -> np.ndarray:
    random = np.random.default_rng(seed)
    low, high = solid.mesh.corners.min(axis=0), solid.mesh.corners.max(axis=0)
    points = random.uniform(low - 1.5, high + np.array([1.5, 1.5, 2.0]), (count, 3))
    points[:, 2] = np.maximum(points[:, 2], solid.heights(points[:, :2]))
    return points


@pytest.mark.parametrize("name", sorted(ROOFS))
def test_compiled_code_gives_the_same_numbers_to_the_last_bit(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    solid, points = SOLIDS[name], goals(SOLIDS[name], 3, 60)
    found = []
    for code_for in (lambda *_: taut_compile.plain(), lambda part, _: taut_compile.compiled(part)):
        monkeypatch.setattr(taut_reach, "code_for", code_for)
        paths = TautPaths(solid, points[0])
        answers = paths.reach(points)
        found.append([*answers, paths._found.d[paths._found.n[r.WINDOWS] : paths._found.n[r.NEXT]]])
    assert len(found[0][2]) == len(found[1][2])
    for plain, compiled in zip(*found, strict=True):
        assert (plain == compiled).all()


@given(st.sampled_from(sorted(ROOFS)), st.integers(0, 2**31))
@settings(deadline=None, max_examples=60)
def test_families_called_clear_or_blocked_are_so_segment_by_segment(name: str, seed: int) -> None:
    solid, random = SOLIDS[name], np.random.default_rng(seed)
    table = solid.taut_table(np.inf)
    d, n = table.d.copy(), table.n
    ends = []
    for edge in random.choice(len(solid.edges), 2):
        e = solid.edges[edge]
        places = np.sort(random.uniform(0.0, min(e.length, 8.0), 2))
        ends.append(e.start + places[:, None] * e.along)
    d[r.HULL : r.HULL + 12] = np.concatenate(ends).ravel()
    share = random.uniform(0.0, 1.0, (2, 200, 1))
    a, b = (end[0] + s * (end[1] - end[0]) for end, s in zip(ends, share, strict=True))
    clear = solid.is_clear(a, b)
    if is_hull_open(d, n):
        assert clear.all()
    if is_blocked(d, n):
        assert not clear.any()


@pytest.mark.parametrize("name", ["hip", "dormer"])
def test_far_below_the_roof_ropes_go_on_as_if_walls_had_no_end(name: str) -> None:
    """Plumb below an eave each metre adds a metre; round a wall's corner the two walls unfold."""
    solid = SOLIDS[name]
    low = solid.mesh.corners.min(axis=0)
    middle = 0.5 * (solid.mesh.corners.min(axis=0) + solid.mesh.corners.max(axis=0))[0]
    anchor = np.array([middle, low[1] + 1.0, 0.0])
    anchor[2] = solid.heights(anchor[None, :2])[0]
    down = np.array([[middle, low[1], low[2] - depth] for depth in (0.0, 5.0, 60.0, 300.0)])
    lengths = TautPaths(solid, anchor).lengths(down)
    assert lengths - lengths[0] == pytest.approx([0.0, 5.0, 60.0, 300.0], abs=1e-9)


def test_more_ways_than_can_be_kept_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(taut_reach, "_MOST", 10)
    monkeypatch.setattr(taut_reach, "_room", lambda _: 4)
    with pytest.raises(taut_reach.RoofError, match="fewer facets"):
        TautPaths(SOLIDS["ell"], (3.0, 3.0, 9.0)).lengths([(3.0, 3.0, 9.0)])


def test_a_search_without_room_starts_again_with_more(monkeypatch: pytest.MonkeyPatch) -> None:
    points = goals(SOLIDS["tee"], 5, 40)
    expected = TautPaths(SOLIDS["tee"], points[0]).lengths(points)
    monkeypatch.setattr(taut_reach, "_room", lambda _: 4)
    assert (TautPaths(SOLIDS["tee"], points[0]).lengths(points) == expected).all()


def test_code_is_compiled_only_once_plain_python_has_taken_long(monkeypatch: pytest.MonkeyPatch) -> None:
    without_kept_code(monkeypatch)
    assert taut_compile.code_for("answer", 0.1) is taut_compile.plain()
    assert taut_compile.code_for("search", 100.0) == {"search": "search"}
    assert taut_compile.code_for("answer", 100.0) == {"answer": "answer"}


def test_process_told_to_stay_plain_never_compiles_and_says_what_would_pay(monkeypatch: pytest.MonkeyPatch) -> None:
    without_kept_code(monkeypatch)
    taut_compile.keep_plain()
    assert taut_compile.code_for("answer", 0.1) is taut_compile.plain()
    assert taut_compile.parts_left_plain() == frozenset()
    assert taut_compile.code_for("answer", 100.0) is taut_compile.plain()
    assert taut_compile.parts_left_plain() == {"answer"}
    monkeypatch.setattr(taut_compile, "is_ready", lambda _: True)  # once another process has kept it
    assert taut_compile.code_for("answer", 0.0) == {"answer": "answer"}


def without_kept_code(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(taut_compile, "_ready", {})
    monkeypatch.setattr(taut_compile, "_left_plain", None)
    monkeypatch.setattr(taut_compile, "_spent", {"search": 0.0, "answer": 0.0})
    monkeypatch.setattr(taut_compile, "is_ready", lambda _: False)
    monkeypatch.setattr(taut_compile, "compiled", lambda part: {part: part})
