"""Our straight skeleton against CGAL's, through the compas_cgal wrapper, on random outlines.

`tools/skeleton_check.py` does the same on thousands. The two kinds of difference, and how each is shown to be what it
is, stand in `skeleton_oracle.compare`.
"""

from __future__ import annotations

import pytest

pytest.importorskip("compas_cgal")
from skeleton_oracle import KINDS, compare, is_usable, make_case

SEEDS = range(1000, 1007)


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind not in ("square mixed", "square walls")])
def test_heights_equal_cgal_on_random_outlines(kind: str) -> None:
    cases = [make_case(kind, seed) for seed in SEEDS]
    answers = {case.seed: compare(case) for case in cases if is_usable(case)}
    assert len(answers) >= 5
    assert set(answers.values()) <= {"equal", "merged"}
    assert list(answers.values()).count("merged") <= 1


def test_walls_anywhere_on_square_plans_equal_cgal_or_end_where_a_slope_comes_to_lie_in_line_with_them() -> None:
    answers = [compare(make_case("square walls", seed)) for seed in range(1000, 1015)]
    assert set(answers) <= {"equal", "two roofs"}
    assert answers.count("equal") >= 9


def test_unlike_pitches_on_square_plans_equal_cgal_or_leave_two_roofs() -> None:
    answers = [compare(make_case("square mixed", seed)) for seed in range(1000, 1012)]
    assert set(answers) <= {"equal", "two roofs"}
    assert answers.count("equal") >= 9


def test_where_two_roofs_are_possible_ours_is_the_lower() -> None:
    """Sides 4 and 6 face the same way at 30 and 45 degrees; the front of the shallower catches up with the steeper."""
    assert compare(make_case("square mixed", 6)) == "two roofs"
