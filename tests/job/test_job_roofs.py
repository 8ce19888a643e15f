"""Roofs of a job file: outline, measured facets, CityJSON; places keep their meaning.

The Hague house: RelativeEavesHeight 6.148 m and RelativeRidgeHeight 9.508 m are the publisher's own figures, carried as
attributes of the building in the CityJSON file (Gemeente Den Haag, 3D city model).
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

from ropewright.errors import InputErrors
from ropewright.job import changed, job_from_mapping, new_job_text, read_job
from ropewright.roof import EdgeType

EXAMPLES = Path(__file__).parents[2] / "examples"
HAGUE = EXAMPLES / "hague-house.toml"
JOBS = sorted(path for path in EXAMPLES.glob("*.toml") if "\n[job]" in path.read_text(encoding="utf-8"))


def job_with(roof: Mapping[str, object], at: list[str]) -> dict[str, object]:
    """Return the metric job with another roof and its one anchor at another place."""
    raw = tomllib.loads(new_job_text("metric"))
    return changed({**raw, "roof": roof, "site": {}}, "anchor[0].at", at)


def faults(raw: dict[str, object]) -> list[str]:
    with pytest.raises(InputErrors) as caught:
        job_from_mapping(raw, path=HAGUE)
    return [str(error).removeprefix(f"{HAGUE}: ") for error in caught.value.exceptions]


SQUARE = [["0 m", "0 m"], ["6 m", "0 m"], ["6 m", "6 m"], ["0 m", "6 m"]]


def test_sides_count_from_one_in_the_file() -> None:
    """Side 3 of the square is the north one: a shed roof with that high side is 6 m x tan(45) higher there."""
    shed = {"form": "shed", "outline": SQUARE, "eave_height": "3 m", "pitch": "12:12", "high_side": 3}
    roof = job_from_mapping(job_with(shed, ["3 m", "3 m"])).roof
    high = next(edge for edge in roof.edges if edge.type is EdgeType.HIGH_EAVE)
    assert [high.start[1], high.end[1]] == pytest.approx([6, 6])
    assert high.start[2] == pytest.approx(9)


def test_each_side_can_have_its_own_pitch() -> None:
    """Hip of 45 deg on the south and 26.565 deg (6:12) elsewhere: over the middle of the south side it rises 1 in 1."""
    hip = {"form": "hip", "outline": SQUARE, "eave_height": "3 m", "pitches": ["12:12", "6:12", "6:12", "6:12"]}
    job = job_from_mapping(job_with(hip, ["3 m", "1 m"]))
    assert job.anchors[0].point == pytest.approx([3, 1, 4])


def test_a_flat_roof_needs_no_pitch() -> None:
    flat = {"form": "flat", "outline": SQUARE, "eave_height": "3 m"}
    assert job_from_mapping(job_with(flat, ["3 m", "1 m"])).anchors[0].point == pytest.approx([3, 1, 3])


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("form", "shed", "roof.high_side: missing; give the number of the side that the roof rises to, from 1 to 4"),
        ("high_side", 9, "roof.high_side: got 9; give the number of the side"),
        ("high_side", 3, "roof.high_side: got 3; leave it out"),
        ("pitches", ["8:12"] * 3, "one pitch for each of the 4 sides"),
        ("pitches", ["8:12", "8:12", 8, "8:12"], "roof.pitches[2]: got 8; give an angle with its unit"),
        ("gable_sides", "2", "roof.gable_sides: got '2'; give numbers of sides from 1 to 4"),
        ("outline", [*SQUARE[:2], SQUARE[3], SQUARE[2]], "roof.outline: "),
        ("pitch", "0:12", "roof.pitch: got '0:12'; give a pitch above 0"),
        ("gable_sides", [2, 4], "roof.gable_sides: got [2, 4]; leave them out"),
        ("overhang", "5 m", "roof.overhang: got '5 m'; give a length from"),
    ],
)
def test_faults_of_an_outlined_roof_have_their_place(field: str, value: object, says: str) -> None:
    hip = {"form": "hip", "outline": SQUARE, "eave_height": "3 m", "pitch": "8:12"}
    if field == "pitches":
        del hip["pitch"]
    told = faults(job_with({**hip, field: value}, ["3 m", "1 m"]))
    assert any(says in line for line in told), told


def test_two_openings_need_two_names_and_two_places() -> None:
    raw = tomllib.loads(new_job_text("metric"))
    raw["roof"]["opening"] *= 2
    assert any("roof.opening[1].name" in line and "a name of its own" in line for line in faults(raw))
    raw["roof"]["opening"][1] = {**raw["roof"]["opening"][0], "name": "other"}
    assert any("roof.opening[1]" in line and "meets 'skylight'" in line for line in faults(raw))


def test_ground_that_is_not_told_is_said_to_be_taken() -> None:
    flat = {"form": "flat", "outline": SQUARE, "eave_height": "3 m"}
    assert any("ground is taken" in note for note in job_from_mapping(job_with(flat, ["3 m", "1 m"])).notes)


YARD = {"center": ["3 m", "3 m"], "size": ["1 m", "2 m"]}
HIP = {"form": "hip", "outline": SQUARE, "eave_height": "3 m", "pitch": "12:12"}


def test_courtyards_and_single_sides_of_a_job_file() -> None:
    """Sides 5 to 8 are those of the courtyard, from its low corner round; side 2 is a gable, side 4 half-hipped."""
    sides = [
        {"number": 2, "kind": "gable", "overhang": "0.2 m"},
        {"number": 4, "kind": "half-hip", "hip_from": "0.5 m", "pitch": "60 deg"},
        {"number": 5, "pitch": "6:12"},
    ]
    roof = job_from_mapping(job_with({**HIP, "courtyard": [YARD], "side": sides}, ["1 m", "1 m"])).roof
    names = {edge.name: edge for edge in roof.edges}
    assert names["west eave"].start[2] == pytest.approx(3.5)
    assert {"courtyard north eave", "courtyard east eave"} <= names.keys()
    assert names["east rake (south side)"].start[0] == pytest.approx(6.2)
    assert len(roof.inner_walls) == 1


def test_pitch_may_be_told_side_by_side() -> None:
    hip = {key: value for key, value in HIP.items() if key != "pitch"}
    sides = [{"number": n, "pitch": "12:12"} if n != 3 else {"number": 3, "kind": "wall"} for n in (1, 2, 3, 4)]
    roof = job_from_mapping(job_with({**hip, "side": sides}, ["3 m", "1 m"])).roof
    assert [facet.id for facet in roof.facets] == ["south", "east", "west"]


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"side": [{"number": 5}]}, "roof.side[0].number: got 5; give the number of a side, from 1 to 4"),
        ({"side": [{"kind": "gable"}]}, "roof.side[0].number: missing"),
        ({"side": [{"number": 1}, {"number": 1}]}, "roof.side[1].number: got 1; this side has a table already"),
        ({"side": [{"number": 1, "kind": "mansard"}]}, "roof.side[0].kind: got 'mansard'; give 'hip' or 'gable'"),
        ({"side": [{"number": 1, "kind": "half-hip"}]}, "roof.side[0].hip_from: missing"),
        ({"side": [{"number": 1, "hip_from": "1 m"}]}, "roof.side[0].hip_from: got '1 m'; give it only with"),
        ({"side": [{"number": 1, "kind": "wall", "pitch": "9:12"}]}, "nothing slopes over a wall"),
        ({"side": [{"number": 2, "kind": "half-hip", "hip_from": "4 m"}]}, "roof.side: got 'a half-hip that begins"),
        ({"courtyard": [{"center": ["3 m", "3 m"]}]}, "roof.courtyard[0].outline: missing"),
        ({"courtyard": [{**YARD, "center": ["9 m", "9 m"]}]}, "roof.courtyard[0]: got 'a hole at"),
        ({"form": "flat", "side": [{"number": 1, "kind": "hip"}]}, "a flat roof has one slope; form = 'hip'"),
        (
            {"form": "gable", "gable_sides": [2, 4], "side": [{"number": 2, "kind": "wall"}]},
            "roof.side[0].kind: got 'wall'; side 2 stands in 'gable_sides' too",
        ),
        ({"corner": ["1 m", "1 m"]}, "give 'corner' only with 'size'"),
    ],
)
def test_faults_of_sides_and_courtyards_have_their_place(given: dict[str, object], says: str) -> None:
    told = faults(job_with({**HIP, **given}, ["3 m", "1 m"]))
    assert any(says in line for line in told), told


def test_a_rectangle_can_lie_anywhere() -> None:
    flat = {"form": "flat", "size": ["4 m", "3 m"], "corner": ["-2 m", "1 m"], "eave_height": "3 m"}
    ring = job_from_mapping(job_with(flat, ["0 m", "2 m"])).roof.facets[0].ring
    assert ring[:, :2].min(axis=0).tolist() == [-2, 1]


SLOPE = [["0 m", "0 m", "3 m"], ["4 m", "0 m", "3 m"], ["4 m", "3 m", "6 m"], ["0 m", "3 m", "6 m"]]
BACK = [["4 m", "6 m", "3 m"], ["0 m", "6 m", "3 m"], ["0 m", "3 m", "6 m"], ["4 m", "3 m", "6 m"]]


def test_measured_facets_make_a_roof_with_typed_edges() -> None:
    hole = [["1 m", "1 m", "4 m"], ["2 m", "1 m", "4 m"], ["2 m", "2 m", "5 m"], ["1 m", "2 m", "5 m"]]
    roof = job_from_mapping(
        job_with({"facets": [{"id": "front", "ring": SLOPE, "holes": [hole]}, {"ring": BACK}]}, ["3.5 m", "1 m"])
    ).roof
    assert [facet.id for facet in roof.facets] == ["front", "facet 2"]
    assert len(roof.facets[0].holes) == 1 or roof.openings
    assert [edge.length for edge in roof.edges if edge.type is EdgeType.RIDGE] == pytest.approx([4.0])


@pytest.mark.parametrize(
    ("facets", "says"),
    [
        ([], "roof.facets: got 'an empty list'; give at least one facet with its 'ring'"),
        ([{"id": "a"}], "roof.facets[0].ring: missing"),
        ([{"ring": SLOPE[:2]}], "a list of 3 to 1000 places of 3 lengths each"),
        ([{"ring": [*SLOPE[:3], ["0 m", "3 m", "7 m"]]}], "roof.facets[0].ring: got 'a corner 0.175 m off its plane'"),
        ([{"ring": SLOPE, "holes": "none"}], "roof.facets[0].holes: got 'none'; give a list of rings"),
        ([{"ring": SLOPE, "holes": [[1]]}], "roof.facets[0].holes[0]"),
        ([{"ring": SLOPE, "hole": []}], "the nearest is 'holes'"),
    ],
    ids=["none", "no ring", "two corners", "out of plane", "holes", "hole", "key"],
)
def test_faults_of_measured_facets_have_their_place(facets: list[object], says: str) -> None:
    told = faults(job_with({"facets": facets}, ["1 m", "1 m"]))
    assert any(says in line for line in told), told


def test_a_city_model_is_moved_to_the_ground_and_the_origin() -> None:
    job = read_job(HAGUE)
    corners = np.vstack([facet.ring for facet in job.roof.facets])
    assert corners[:, :2].min(axis=0) == pytest.approx([0, 0], abs=1e-6)
    assert corners[:, 2].min() == pytest.approx(6.148, abs=2e-3)
    assert corners[:, 2].max() == pytest.approx(9.508, abs=2e-3)
    assert any("counted from" in note for note in job.notes)
    assert not any("GUID" in facet.id for facet in job.roof.facets)
    assert {name for edge in job.roof.edges for name in edge.facets} == {facet.id for facet in job.roof.facets}


def test_a_told_ground_comes_before_that_of_the_city_model() -> None:
    """The model's ground lies at 5.232 m in its own heights (its lowest corner); telling 4.232 m lifts all by 1 m."""
    raw = tomllib.loads(HAGUE.read_text(encoding="utf-8"))
    lifted = job_from_mapping(changed(raw, "roof.ground", "4.232 m"), path=HAGUE)
    assert max(facet.ring[:, 2].max() for facet in lifted.roof.facets) == pytest.approx(10.508, abs=3e-3)


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("roof.building", "GUID_3D7D60B9", "roof.building: got 'GUID_3D7D60B9'; give an id of the file"),
        ("roof.cityjson", "data/none.json", "roof.cityjson: got 'data/none.json'; no such file"),
        ("roof.cityjson", "hague-house.toml", "roof.cityjson: got 'hague-house.toml'; the file can't be used: "),
        ("roof.ground", "20 m", "the roof's lowest corner would lie at -8.62 m"),
        ("roof.ground", 5.2, "give a length with its unit"),
        ("roof.pitch", "35 deg", "roof.pitch: got '35 deg'; there is no such field here"),
    ],
)
def test_faults_of_a_city_model_have_their_place(field: str, value: object, says: str) -> None:
    told = faults(changed(tomllib.loads(HAGUE.read_text(encoding="utf-8")), field, value))
    assert any(says in line for line in told), told


def test_a_building_without_ground_asks_for_it(tmp_path: Path) -> None:
    """The same house with its ground surfaces renamed: it can be read, but not how far one falls."""
    text = (EXAMPLES / "data" / "denhaag_4b.city.json").read_text(encoding="utf-8")
    (tmp_path / "town.json").write_text(json.dumps(json.loads(text)).replace('"GroundSurface"', '"+Unknown"'))
    raw = changed(tomllib.loads(HAGUE.read_text(encoding="utf-8")), "roof.cityjson", "town.json")
    with pytest.raises(InputErrors) as caught:
        job_from_mapping(raw, path=tmp_path / "job.toml")
    assert "roof.ground: missing; the file has no ground" in str(caught.value.exceptions[0])
    told = job_from_mapping(changed(raw, "roof.ground", "5.232 m"), path=tmp_path / "job.toml")
    assert max(facet.ring[:, 2].max() for facet in told.roof.facets) == pytest.approx(9.508, abs=2e-3)


def test_a_building_without_a_roof_shape_is_refused_with_the_reason(tmp_path: Path) -> None:
    """The same house as a block: level of detail 1 says nothing of its roof."""
    town = json.loads((EXAMPLES / "data" / "denhaag_4b.city.json").read_text(encoding="utf-8"))
    for thing in town["CityObjects"].values():
        for geometry in thing.get("geometry", []):
            geometry["lod"] = "1"
    (tmp_path / "town.json").write_text(json.dumps(town))
    raw = changed(tomllib.loads(HAGUE.read_text(encoding="utf-8")), "roof.cityjson", "town.json")
    with pytest.raises(InputErrors) as caught:
        job_from_mapping(raw, path=tmp_path / "job.toml")
    assert "has no roof that can be used" in str(caught.value.exceptions[0])


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.name)
def test_every_example_reads_and_is_marked_as_invented(path: Path) -> None:
    assert read_job(path).invented


def test_the_first_example_is_the_gable_house() -> None:
    assert JOBS[0].name == "gable-house.toml"


@pytest.mark.parametrize(("kind", "heights"), [("wall", {3.9, 4.5}), ("hip", {3.0})])
def test_a_shaft_cuts_the_slope_and_a_courtyard_has_level_eaves(kind: str, heights: set[float]) -> None:
    """The shaft lies 0.9 m to 1.5 m up a slope of 45 degrees from an eave at 3 m."""
    yard = {"center": ["3 m", "1.2 m"], "size": ["1 m", "0.6 m"], "kind": kind, "overhang": "0 m"}
    roof = job_from_mapping(job_with({**HIP, "courtyard": [yard]}, ["1 m", "1 m"])).roof
    rim = [edge for edge in roof.boundary if edge.name.startswith("courtyard")]
    assert {round(float(edge.start[2]), 6) for edge in rim} == heights


def test_each_of_two_courtyards_is_told_apart() -> None:
    """The first has eaves all round, the second is a shaft; its sides are numbered after those of the first."""
    yards = [
        {"center": ["3 m", "4.9 m"], "size": ["1 m", "0.4 m"]},
        {"center": ["3 m", "1.2 m"], "size": ["1 m", "0.6 m"], "kind": "wall"},
    ]
    roof = job_from_mapping(job_with({**HIP, "courtyard": yards}, ["1 m", "1 m"])).roof
    rim = [edge for edge in roof.boundary if edge.name.startswith("courtyard")]
    assert {edge.type for edge in rim if edge.start[1] > 3} == {EdgeType.EAVE}
    assert EdgeType.RAKE in {edge.type for edge in rim if edge.start[1] < 3}
