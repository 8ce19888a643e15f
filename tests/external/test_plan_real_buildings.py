"""Two real houses of The Hague planned whole, with an invented line from the middle of the ridge.

Expected values: RelativeEavesHeight and RelativeRidgeHeight of each house's pitched part as its publisher gives them in
``tests/data/roofs/denhaag_4b.city.json`` (Gemeente Den Haag, 3D city model; CC BY 4.0). The rest follows from the
geometry alone: an edge is covered when no two neighbours on it stand further apart than the spacing, a straight line is
never longer than a taut rope, and a body at rest hangs below its edge by the rope that is left.
"""

from __future__ import annotations

import json
import tomllib
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from ropewright.job import assess, job_from_mapping
from ropewright.job.work import Work
from ropewright.roof import EdgeType

FILE = Path(__file__).parents[1] / "data" / "roofs" / "denhaag_4b.city.json"
SPACING, LANYARD, STOP = 0.25, 0.8, 7.0

#: Building, and the object of the file that tells of its pitched part.
HOUSES = {
    "gable house": ("GUID_3D7D60B9-8F3A-4D3B-A3E5-CD9B5565A5B2", "GUID_3D7D60B9-8F3A-4D3B-A3E5-CD9B5565A5B2"),
    "half-hipped house with two flat annexes": (
        "GUID_13974D93-CB4F-4B5A-AB1E-577DD9928CF2",
        "GUID_13974D93-CB4F-4B5A-AB1E-577DD9928CF2_1",
    ),
}
JOB = """
[job]
name = "real roof, invented job"
units = "metric"
rules = "eu-uk"
invented = true
[plan]
spacing = "0.25 m"
[roof]
cityjson = "denhaag_4b.city.json"
building = "BUILDING"
[[anchor]]
name = "ridge"
at = ["0 m", "0 m", "90 m"]
strength = "13 kN"
basis = "ultimate"
[rope.r]
fibre = "nylon"
construction = "sheathed core"
stretch = "low-stretch"
diameter = "11 mm"
strength = "29 kN"
strength_basis = "maker's minimum"
condition = "good, dry"
[lanyard.l]
length = "0.8 m"
strength = "22 kN"
absorber = { force = "4 kN", length = "1.4 m" }
[grab.g]
lock = "0.1 m"
slip = "0 m"
[[line]]
name = "one"
anchor = "ridge"
rope = "r"
lanyard = "l"
grab = "g"
length = "7 m"
termination = "sewn eye"
[[crew]]
name = "w"
mass = "90 kg"
d_ring = "1.4 m"
line = "one"
"""


def heights(name):
    """Height of eave and ridge over the ground, from the file."""
    objects = json.loads(FILE.read_text(encoding="utf-8"))["CityObjects"]
    told = objects[HOUSES[name][1]]["attributes"]
    return told["RelativeEavesHeight"], told["RelativeRidgeHeight"]


def read(name, at=None):
    raw = tomllib.loads(JOB.replace("BUILDING", HOUSES[name][0]))
    if at is not None:
        raw["anchor"][0]["at"] = [f"{metres} m" for metres in at]
    return job_from_mapping(raw, path=FILE.with_name("job.toml"))


@cache
def planned(name):
    ridges = [edge for edge in read(name).roof.edges if edge.type is EdgeType.RIDGE]
    ridge = max(ridges, key=lambda edge: edge.length)
    return assess(read(name, (ridge.start + ridge.end) / 2 + np.array([0.0, 0.0, 0.01])))


@pytest.fixture(params=HOUSES)
def house(request):
    return request.param


def test_the_assessment_answers_every_question_about_its_falls(house):
    kinds = {one.id.split("/")[0] for one in planned(house).findings}
    assert kinds >= {"reach", "free-fall", "arrest-force", "clearance-book", "clearance-simulated", "swing"}


def test_every_fall_edge_is_covered_from_end_to_end_at_the_spacing(house):
    assessment = planned(house)
    field = assessment.fields[0]
    for edge in assessment.job.roof.boundary:
        points = field.points[[name == edge.name for name in field.edge]]
        assert np.linalg.norm(points[0] - edge.start) < 1e-9
        assert np.linalg.norm(points[-1] - edge.end) < 1e-9
        assert np.linalg.norm(np.diff(points, axis=0), axis=1).max() <= SPACING + 1e-9


def test_eaves_and_ridge_lie_as_high_as_the_publisher_says(house):
    """The gable house has its eaves where the file says; of the other the pitched part's."""
    eave, ridge = heights(house)
    assessment = planned(house)
    z = assessment.fields[0].points[:, 2]
    pitched = z[z > eave - 0.05]
    assert pitched.min() == pytest.approx(eave, abs=0.01)
    assert assessment.job.anchors[0].point[2] == pytest.approx(ridge + 0.01, abs=0.02)


def test_ropes_are_no_shorter_than_straight_lines_and_reach_as_far_as_they_are_long(house):
    assessment = planned(house)
    field, anchor = assessment.fields[0], assessment.job.anchors[0].point
    assert (field.taut >= np.linalg.norm(field.points - anchor, axis=1) - 1e-6).all()
    is_step = Work().mere_steps(assessment.job)  # to a lower part of the roof, which nobody falls over
    assert field.reached[(field.taut <= STOP + LANYARD) & ~is_step].all()
    assert not field.reached[is_step].any()


def test_free_fall_is_slack_and_d_ring_height_where_the_rope_meets_an_eave_square(house):
    """Held at the edge it is h + L - l + lock; a rope that slides along it can only let the worker fall further."""
    assessment = planned(house)
    field = assessment.fields[0]
    held = 1.4 + STOP + LANYARD - field.taut + 0.1
    near = field.reached & (field.taut < STOP + LANYARD - 1.5)
    near &= field.needed_book > 0  # over a step to a lower roof the fall is free to its foot at most
    assert near.any()
    assert (field.free_fall[near] >= held[near] - 1e-3).all()
    eaves = {edge.name for edge in assessment.job.roof.edges if edge.type is EdgeType.EAVE}
    on_eave = np.flatnonzero(near & np.array([name in eaves for name in field.edge]))
    square = on_eave[field.taut[on_eave].argmin()]
    assert field.free_fall[square] == pytest.approx(held[square], abs=0.02)


def test_a_body_at_rest_hangs_from_its_edge_by_the_rope_that_is_left(house):
    """And no lower than absorber and rope can give: 1.4 m, and a tenth of the rope."""
    field = planned(house).fields[0]
    for i in np.flatnonzero(field.reached & (field.taut < STOP + LANYARD)):
        over = np.flatnonzero(np.linalg.norm(field.points[:, :2] - field.hang[i, :2], axis=1) < 1e-9)
        left = field.points[over, 2] - (STOP + LANYARD - field.taut[over])
        given = left - field.hang[i, 2]
        assert ((given > -1e-6) & (given < 1.4 + 0.1 * STOP)).any()
        start = field.points[i, 2] - (STOP + LANYARD - field.taut[i])
        assert field.hang[i, 2] <= start + 1e-6
        assert field.swing_drop[i] >= 0


def test_what_lies_below_is_the_ground_or_a_lower_roof_of_the_same_house(house):
    field = planned(house).fields[0]
    assert set(field.below) == ({"ground"} if house == "gable house" else {"ground", "lower roof"})
    on_ground = np.array([name == "ground" for name in field.below])
    assert field.available[on_ground] == pytest.approx(field.points[on_ground, 2])
    assert (field.available[~on_ground] < field.points[~on_ground, 2]).all()


def test_zones_cover_the_whole_roof(house):
    assessment = planned(house)
    zones = assessment.zones[0]
    area = sum(_plan_area(facet.ring) for facet in assessment.job.roof.facets)
    assert len(zones.points) * zones.step**2 == pytest.approx(area, rel=0.05)


def _plan_area(ring):
    x, y = ring[:, 0], ring[:, 1]
    return abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))) / 2
