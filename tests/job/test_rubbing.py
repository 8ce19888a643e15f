"""Where a taut rope bears on the building, on ropes laid by hand."""

from __future__ import annotations

import numpy as np
import pytest
from plain_jobs import plain

from ropewright.job import job_from_mapping
from ropewright.job.ask_rub import rubs_of
from ropewright.job.rig import rigs_of
from ropewright.job.work import Work
from ropewright.roof.path import TautPath

KINDS = {"top": "ridge", "upper eave": "eave", "hatch rim": "opening", "south-west hip": "hip"}


def rope(points, edges, turns):
    points = np.array(points, float)
    return TautPath(points, edges, np.array(turns, float), float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum()))


def far_below(points):
    return np.full(len(points), -99.0)


def told(path, over=far_below):
    return {rub.name: rub for rub in rubs_of(path, KINDS, over)}


@pytest.mark.parametrize(
    ("edge", "sharp"),
    [("top", False), ("south-west hip", False), ("upper eave", True), ("hatch rim", True), (None, True)],
)
def test_only_ridges_and_hips_are_blunt(edge, sharp):
    found = told(rope([[0, 0, 0], [1, 0, 0], [2, 0, -1]], (edge,), [45]))
    (rub,) = found.values()
    assert (rub.turn, rub.sharp) == (45, sharp)


def test_a_rope_that_hardly_turns_does_not_bear():
    assert told(rope([[0, 0, 0], [1, 0, 0], [2, 0, 0]], ("upper eave",), [0.5])) == {}


def test_length_on_roofing_is_told_and_length_in_the_air_is_not():
    """Flat roof at height 0 up to x = 2, nothing beyond."""

    def over(points):
        return np.where(points[:, 0] <= 2.0, 0.0, -99.0)

    found = told(rope([[0, 0, 0], [4, 0, 0]], (), []), over)
    assert found["roofing"].length == pytest.approx(2.0, abs=0.2)
    assert not found["roofing"].sharp
    assert "a wall" not in found


def test_a_rope_along_the_wall_of_a_higher_part_is_told_with_its_length():
    """A part 3 m higher stands at y > 0; the rope runs 1 cm before it, 1 m over the lower roof."""

    def over(points):
        return np.where(points[:, 1] > 0, 3.0, 0.0)

    found = told(rope([[0, -0.01, 1.0], [5, -0.01, 1.0]], (), []), over)
    assert found["a wall"].length == pytest.approx(5.0)
    assert found["a wall"].sharp


def test_over_a_gable_the_rope_bears_on_the_ridge_and_lies_on_the_roofing():
    roof = {"form": "gable", "size": ["12 m", "8 m"], "eave_height": "6 m", "pitch": "35 deg", "gable_sides": [2, 4]}
    job, work = job_from_mapping(plain(roof=roof, anchor_0__at=["6 m", "3 m"])), Work()
    paths = work.paths(job, rigs_of(job)[0])
    kinds = {edge.name: str(edge.type) for edge in job.roof.edges}
    found = {rub.name: rub for rub in rubs_of(paths.path([6.0, 8.0, 6.0]), kinds, paths.solid.heights)}
    (ridge,) = (rub for rub in found.values() if rub.turn > 0)
    assert kinds[ridge.name] == "ridge"
    assert ridge.turn == pytest.approx(70)
    assert found["roofing"].length == pytest.approx(5 / np.cos(np.radians(35)), rel=0.1)
