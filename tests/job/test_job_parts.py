"""Wings and dormers of a job file: where they stand, and how their faults are told."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

from ropewright.errors import InputErrors
from ropewright.job import changed, job_from_mapping, new_job_text, read_job
from ropewright.roof import EdgeType, Roof

EXAMPLE = Path(__file__).parents[2] / "examples" / "wing-and-dormer.toml"

HOUSE = {"form": "gable", "size": ["12 m", "8 m"], "eave_height": "5 m", "pitch": "45 deg"}
GARAGE = {
    "name": "garage",
    "form": "flat",
    "size": ["4 m", "5 m"],
    "corner": ["12 m", "1 m"],
    "eave_height": "2.6 m",
    "overhang": "0.2 m",
}
DORMER = {"name": "dormer", "at": ["5 m", "1 m"], "width": "2 m", "front_height": "1 m", "pitch": "45 deg"}


def job_with(roof: Mapping[str, object]) -> dict[str, object]:
    """Return the metric job with another roof and its one anchor on the ridge."""
    raw = tomllib.loads(new_job_text("metric"))
    return changed({**raw, "roof": roof, "site": {}}, "anchor[0].at", ["1 m", "4 m"])


def roof_with(**given: object) -> Roof:
    return job_from_mapping(job_with({**HOUSE, **given})).roof


def faults(**given: object) -> list[str]:
    with pytest.raises(InputErrors) as caught:
        job_from_mapping(job_with({**HOUSE, **given}))
    return [str(error) for error in caught.value.exceptions]


def test_a_wing_has_its_own_form_height_and_overhang() -> None:
    names = {edge.name: edge for edge in roof_with(wing=[GARAGE]).edges}
    eave = names["garage east eave"]
    assert [eave.start.tolist(), eave.end.tolist()] == [[16.2, 0.8, 2.6], [16.2, 6.2, 2.6]]
    assert names["east wall"].type is EdgeType.WALL


def test_a_dormer_can_be_placed_from_a_wall() -> None:
    """Side 1 runs along the south wall from the west: 5 m along it and 1 m in is (5, 1)."""
    placed = {key: value for key, value in DORMER.items() if key != "at"}
    by_wall = roof_with(dormer=[{**placed, "side": 1, "along": "5 m", "setback": "1 m"}])
    by_place = roof_with(dormer=[DORMER])
    for one, other in zip(by_wall.edges, by_place.edges, strict=True):
        assert one.name == other.name
        np.testing.assert_allclose([one.start, one.end], [other.start, other.end], atol=1e-12)


def test_from_a_wall_is_inward_whichever_way_the_outline_runs() -> None:
    """Given clockwise from the origin, side 4 runs along the south wall from the east: 7 m along it is x = 5."""
    clockwise = [["0 m", "0 m"], ["0 m", "8 m"], ["12 m", "8 m"], ["12 m", "0 m"]]
    house = {key: value for key, value in HOUSE.items() if key != "size"} | {"outline": clockwise}
    placed = {key: value for key, value in DORMER.items() if key != "at"}
    dormer = {**placed, "side": 4, "along": "7 m", "setback": "1 m"}
    roof = job_from_mapping(job_with({**house, "dormer": [dormer]})).roof
    ridge = next(edge for edge in roof.edges if edge.name == "dormer ridge")
    assert sorted([ridge.start[1], ridge.end[1]]) == pytest.approx([1, 3])
    assert ridge.start[0] == pytest.approx(5)


def test_a_dormer_can_stand_on_a_wing() -> None:
    wing = {**GARAGE, "form": "shed", "pitch": "40 deg", "high_side": 4, "size": ["4 m", "6 m"]}
    dormer = {**DORMER, "kind": "flat", "at": ["15.5 m", "4 m"], "width": "1 m", "front_height": "0.5 m"}
    del dormer["pitch"]
    roof = roof_with(wing=[wing], dormer=[dormer])
    assert "dormer east eave" in {edge.name for edge in roof.edges}


def test_faults_of_all_wings_and_dormers_are_told_at_once() -> None:
    told = faults(
        wing=[{**GARAGE, "eave_height": "2.6"}, {**GARAGE, "form": "dome"}],
        dormer=[{**DORMER, "name": "garage"}, {**DORMER, "name": "other", "width": "0 m"}],
    )
    assert [line.split(":")[0] for line in told] == [
        "roof.wing[0].eave_height",
        "roof.wing[1].name",
        "roof.wing[1].form",
        "roof.dormer[0].name",
        "roof.dormer[1].width",
    ]


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"wing": [{**GARAGE, "name": ""}]}, "roof.wing[0].name: got ''; give the wing a name, such as 'garage'"),
        ({"wing": [{**GARAGE, "form": "hip"}]}, "roof.wing[0].pitch: missing"),
        ({"wing": [{**GARAGE, "wing": []}]}, "roof.wing[0].wing: got 'a list'; there is no such field here"),
        (
            {"wing": [{**GARAGE, "form": "gable", "pitch": "45 deg", "gable_sides": [1, 2]}]},
            "roof.wing[0].gable_sides:",
        ),
        ({"wing": [{**GARAGE, "corner": ["12 m"]}]}, "roof.wing[0].corner: "),
        ({"dormer": [{**DORMER, "pitch": None}]}, "roof.dormer[0].pitch: missing"),
        ({"dormer": [{**DORMER, "kind": "flat"}]}, "roof.dormer[0].pitch: got '45 deg'; leave it out"),
        ({"dormer": [{**DORMER, "kind": "eyebrow"}]}, "roof.dormer[0].kind: got 'eyebrow'; give 'gable' or 'hip'"),
        ({"dormer": [{**DORMER, "at": None}]}, "roof.dormer[0].at: missing; give the middle of its front as 'at', or"),
        ({"dormer": [{**DORMER, "side": 1}]}, "roof.dormer[0].at: got 'both'"),
        ({"dormer": [{**DORMER, "at": ["5 m", "9 m"]}]}, "there is none under it"),
        ({"dormer": [{**DORMER, "front_height": "2.5 m"}]}, "roof.dormer[0].at: got \"'dormer', whose ridge"),
        (
            {"dormer": [{**DORMER, "at": None, "side": 1, "along": "30 m", "setback": "1 m"}]},
            "roof.dormer[0].along: got '(30, 1) m'",
        ),
        (
            {"dormer": [{**DORMER, "at": None, "side": 5, "along": "3 m", "setback": "1 m"}]},
            "roof.dormer[0].side: got 5; give the number of the wall it is measured from, 1 to 4",
        ),
        ({"dormer": [{**DORMER, "at": None, "side": 1, "setback": "1 m"}]}, "roof.dormer[0].along: missing"),
    ],
)
def test_faults_of_wings_and_dormers_have_their_place(given: dict[str, list[dict[str, object]]], says: str) -> None:
    plain = {
        key: [{name: value for name, value in one.items() if value is not None} for one in tables]
        for key, tables in given.items()
    }
    told = faults(**plain)
    assert any(says in line for line in told), told


def test_wings_go_with_an_outline_only() -> None:
    ring = [["0 m", "0 m", "3 m"], ["9 m", "0 m", "3 m"], ["9 m", "9 m", "3 m"], ["0 m", "9 m", "3 m"]]
    with pytest.raises(InputErrors) as caught:
        job_from_mapping(job_with({"facets": [{"ring": ring}], "wing": [GARAGE]}))
    assert any("roof.wing: " in str(error) for error in caught.value.exceptions)


def test_the_example_has_wing_dormer_half_hip_shaft_and_skylight() -> None:
    roof = read_job(EXAMPLE).roof
    names = {edge.name for edge in roof.edges}
    assert {"kitchen wing ridge", "bath dormer ridge", "courtyard north eave", "east eave"} <= names
    assert [opening.facet for opening in roof.openings] == ["south"]
    assert len(roof.by_id["south"].holes) == 1
    assert len(roof.by_id["north"].holes) == 1
