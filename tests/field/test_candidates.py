"""Where anchors could go: along lines, clear of edges, openings and obstacles."""

from __future__ import annotations

import numpy as np
import pytest

from ropewright.field.candidates import along_line, anchor_candidates
from ropewright.roof import Roof
from ropewright.roof.openings import OpeningSpec, with_openings
from ropewright.roof.outline import roof_from_outline

RIDGE = ("ridge", np.array([[0.0, 4.0], [10.0, 4.0]]), 1.0)


def gable() -> Roof:
    return roof_from_outline([(0, 0), (10, 0), (10, 8), (0, 8)], form="gable", pitches=[45], eave_height=3)


def test_places_are_evenly_apart_with_the_rest_at_both_ends() -> None:
    at = along_line(np.array([[0.0, 0.0, 0.0], [0.0, 3.0, 4.0]]), 2.0)  # 5 m long
    assert np.linalg.norm(np.diff(at, axis=0), axis=1) == pytest.approx([2.0, 2.0])
    assert np.linalg.norm(at[0]) == pytest.approx(0.5)


def test_places_follow_a_line_round_its_corners() -> None:
    at = along_line(np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0]]), 1.0)
    assert at.tolist() == [[0, 0], [1, 0], [2, 0], [2, 1], [2, 2]]


def test_a_line_shorter_than_the_spacing_has_one_place_in_its_middle() -> None:
    assert along_line(np.array([[0.0, 0.0], [1.0, 0.0]]), 4.0).tolist() == [[0.5, 0.0]]


def test_no_spacing_is_refused() -> None:
    with pytest.raises(ValueError, match="spacing"):
        along_line(np.zeros((2, 2)), 0.0)


def test_places_lie_on_the_roof_and_off_its_ends() -> None:
    found = anchor_candidates(gable(), [RIDGE], keep_off=0.6)
    assert found.points[:, 2] == pytest.approx(7.0)
    assert found.points[:, 0].tolist() == pytest.approx(list(range(1, 10)))
    assert set(found.on) == {"ridge"}


def test_places_keep_off_openings_obstacles_and_forbidden_parts() -> None:
    roof = with_openings(gable(), [OpeningSpec(name="hatch", center=(3.0, 3.4), size=(0.6, 0.6))])
    chimney = np.array([[6.8, 3.8], [7.2, 3.8], [7.2, 4.2], [6.8, 4.2]])
    panels = np.array([[4.5, 3.0], [5.5, 3.0], [5.5, 5.0], [4.5, 5.0]])
    found = anchor_candidates(roof, [RIDGE], keep_off=0.5, off=[chimney], forbidden=[panels])
    assert found.points[:, 0].tolist() == pytest.approx([1.0, 2.0, 4.0, 6.0, 8.0, 9.0])


def test_a_place_beside_the_roof_is_none() -> None:
    beyond = ("beam", np.array([[8.0, 2.0], [13.0, 2.0]]), 1.0)
    found = anchor_candidates(gable(), [beyond], keep_off=0.0)
    assert found.points[:, 0].max() <= 10.0


def test_where_two_lines_meet_the_place_goes_to_the_first() -> None:
    across = ("beam", np.array([[5.0, 2.0], [5.0, 6.0]]), 1.0)
    found = anchor_candidates(gable(), [RIDGE, across], keep_off=0.0)
    at = np.flatnonzero(np.hypot(found.points[:, 0] - 5.0, found.points[:, 1] - 4.0) < 1e-6)
    assert [found.on[i] for i in at] == ["ridge"]
