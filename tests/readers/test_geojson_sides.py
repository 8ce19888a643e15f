"""Single sides, wings and dormers among a footprint's properties, told in the words of the job file.

Expected values: the roof that a job file makes of the same words; a slope's area is that of its plan over cos(pitch).
"""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from ropewright.job.building import roof_of
from ropewright.job.reading import Faults, Table
from ropewright.readers import read_roofs
from ropewright.roof.facets import facet_area, facet_pitch

PLAN_RING = [[0, 0], [12, 0], [12, 8], [0, 8], [0, 0]]


def roof_of_job(told):
    """Roof that the table ``[roof]`` of a job file makes of these words over the plan."""
    faults = Faults()
    roof = roof_of(Table({"size": ["12 m", "8 m"], **told}, "roof", faults), Path())
    assert not faults.found
    return roof


def feature(properties, *rings, name="house"):
    geometry = {"type": "Polygon", "coordinates": [PLAN_RING, *rings]}
    return {"type": "Feature", "id": name, "properties": properties, "geometry": geometry}


@pytest.fixture
def read(tmp_path):
    def reading(*features, unit="m"):
        path = tmp_path / "houses.geojson"
        document = {"type": "FeatureCollection", "coordinates_unit": unit, "features": list(features)}
        path.write_text(json.dumps(document), encoding="utf-8")
        return read_roofs(path)

    return reading


def summary(roof):
    facets = sorted((facet.id, round(facet_area(facet), 6), round(facet_pitch(facet), 6)) for facet in roof.facets)
    edges = sorted((edge.name, edge.type.value, round(edge.length, 6)) for edge in roof.edges)
    return facets, edges


WING = {
    "name": "kitchen", "form": "gable", "outline": [["8 m", "-4 m"], ["12 m", "-4 m"], ["12 m", "3 m"], ["8 m", "3 m"]],
    "eave_height": "2.6 m", "pitch": "35 deg", "gable_sides": [1, 3],
}  # fmt: skip
DORMER = {"name": "bath", "width": "2 m", "front_height": "1 m", "pitch": "35 deg", "overhang": "0.2 m"}

#: As the job file and a footprint's properties both have them; lengths of outlines alone are plain numbers in GeoJSON.
SAME = {
    "gable at one end": {"side": [{"number": 2, "kind": "gable"}]},
    "half-hip": {"form": "gable", "side": [{"number": 2, "kind": "half-hip", "hip_from": "1.5 m", "pitch": "50 deg"}]},
    "lean-to": {"side": [{"number": 2, "kind": "wall"}, {"number": 3, "kind": "wall"}, {"number": 4, "kind": "wall"}]},
    "shed over one side": {"side": [{"number": n, "kind": k} for n, k in ((1, "shed"), (2, "gable"), (3, "wall"))]},
    "a hip among gables": {"form": "gable", "side": [{"number": 4, "kind": "hip", "pitch": "60 deg"}]},
    "unlike overhangs": {"side": [{"number": 1, "overhang": "0.5 m"}, {"number": 3, "overhang": "0.2 m"}]},
    "steeper on one side": {"side": [{"number": 3, "pitch": "12:12"}]},
    "mansard": {
        "side": [{"number": n, "pitch": "70 deg", "upper_pitch": "25 deg", "break_from": "2 m"} for n in range(1, 5)]
    },
    "gambrel": {
        "form": "gable",
        "side": [{"number": n, "upper_pitch": "20 deg", "break_from": "1 m"} for n in (1, 3)],
    },
    "wing": {"wing": [WING]},
    "dormer by a wall": {"dormer": [{**DORMER, "side": 1, "along": "4 m", "setback": "0.5 m"}]},
    "dormer at a place": {"dormer": [{**DORMER, "at": ["4 m", "0.5 m"], "kind": "hip"}]},
    "flat dormer and a wing": {
        "form": "gable",
        "wing": [WING],
        "dormer": [{"name": "box", "width": "2 m", "front_height": "1 m", "kind": "flat", "at": ["3 m", "1 m"]}],
    },
}


def as_property(told):
    """Places as GeoJSON has them: numbers in the file's unit."""
    text = json.dumps(told)
    return json.loads(text, object_hook=lambda one: {key: _plain(key, value) for key, value in one.items()})


def _plain(key, value):
    if key == "at":
        return [float(one.split()[0]) for one in value]
    return [[float(one.split()[0]) for one in place] for place in value] if key == "outline" else value


@pytest.mark.parametrize("name", SAME)
def test_a_footprint_says_the_same_as_a_job_file_in_the_same_words(read, name):
    told = {"form": "hip", "pitch": "40 deg", "eave_height": "4 m", **SAME[name]}
    [building] = read(feature(as_property(told)))
    assert building.status == "read", building.notes
    assert summary(building.roof) == summary(roof_of_job(told))


@pytest.mark.parametrize("name", ["gable at one end", "dormer by a wall"])
def test_the_form_may_be_left_out(read, name):
    told = {"pitch": "40 deg", "eave_height": "4 m", **SAME[name]}
    [with_form, without] = read(
        feature(as_property({"form": "hip", **told})), feature(as_property(told), name="formless")
    )
    assert summary(without.roof) == summary(with_form.roof)
    assert any("no form given" in note for note in without.notes)


def test_numbers_in_the_unit_of_their_name_say_the_same(read):
    texts = {"pitch": "40 deg", "eave_height": "4 m", **SAME["half-hip"]}
    side = {"number": 2, "kind": "half-hip", "hip_from_m": 1.5, "pitch_deg": 50}
    numbers = {"pitch_deg": 40, "eave_height_m": 4, "form": "gable", "side": [side]}
    one, other = read(feature(texts), feature(numbers, name="numbers"))
    assert summary(one.roof) == summary(other.roof)


def test_an_overhang_of_one_side_adds_its_strip(read):
    [building] = read(feature({"pitch_deg": 40, "eave_height_m": 4, "side": [{"number": 1, "overhang_m": 0.5}]}))
    strip = 12.0 * 0.5
    assert sum(map(facet_area, building.roof.facets)) == pytest.approx((96.0 + strip) / math.cos(math.radians(40)))


def test_a_courtyard_may_be_a_shaft_of_plumb_walls(read):
    """The slopes go on round it, so that no facet is added; the area over its 2 m by 1 m is gone."""
    yard = [[3, 1], [3, 2], [5, 2], [5, 1], [3, 1]]
    told = {"form": "gable", "gable_sides": [2, 4], "pitch_deg": 40, "eave_height_m": 4}
    told |= {"courtyard": [{"kind": "wall", "overhang": "0 m"}]}
    [building] = read(feature(told, yard))
    assert building.roof is not None, building.notes
    assert len(building.roof.facets) == 2
    assert sum(map(facet_area, building.roof.facets)) == pytest.approx((96.0 - 2.0) / math.cos(math.radians(40)))


def test_a_wing_in_degrees_is_laid_into_the_plan_of_its_footprint(tmp_path):
    """11 m of wing to the south of a house at 50 deg N: 0.0001 deg are 11.12 m to the north, 7.17 m to the east."""
    house = [[10.0, 50.0], [10.0002, 50.0], [10.0002, 50.0001], [10.0, 50.0001], [10.0, 50.0]]
    wing = [[10.0, 49.9999], [10.0001, 49.9999], [10.0001, 50.0], [10.0, 50.0]]
    told = {"form": "flat", "eave_height": "6 m"}
    told["wing"] = [{"name": "annex", "form": "flat", "eave_height": "3 m", "outline": wing}]
    one = {"type": "Feature", "properties": told, "geometry": {"type": "Polygon", "coordinates": [house]}}
    (tmp_path / "one.geojson").write_text(json.dumps(one), encoding="utf-8")
    [building] = read_roofs(tmp_path / "one.geojson")
    areas = {facet.id: facet_area(facet) for facet in building.roof.facets}
    assert areas["annex flat"] == pytest.approx(7.17 * 11.12, rel=2e-3)
    corners = np.vstack([facet.ring for facet in building.roof.facets])
    assert np.ptp(corners[:, 1]) == pytest.approx(2 * 11.12, rel=2e-3)


def wrong(properties):
    return {"pitch_deg": 40, "eave_height_m": 4, **properties}


REFUSED = {
    "no list": ({"side": {"number": 1}}, "side: got 'dict'; give a list"),
    "no such side": ({"side": [{"number": 5, "kind": "gable"}]}, "side[0].number: got 5; give the number of a side"),
    "no number": ({"side": [{"kind": "gable"}]}, "side[0].number: missing"),
    "twice": ({"side": [{"number": 2}, {"number": 2}]}, "side[1].number: got 2; give each side once"),
    "odd kind": ({"side": [{"number": 2, "kind": "onion"}]}, "side[0].kind: got 'onion'; give one of hip, gable"),
    "kind of numbers": ({"side": [{"number": 2, "kind": ["gable"]}]}, "side[0].kind: got ['gable']"),
    "misspelt": ({"side": [{"number": 2, "knd": "gable"}]}, "side[0].knd: got 'a member that is not known'"),
    "pitch of a gable": ({"side": [{"number": 2, "kind": "gable", "pitch": "9:12"}]}, "nothing slopes over a gable"),
    "half-hip from where": ({"side": [{"number": 2, "kind": "half-hip"}]}, "side[0].hip_from: missing"),
    "hip from a gable": ({"side": [{"number": 2, "kind": "gable", "hip_from_m": 1}]}, "only with kind = 'half-hip'"),
    "plural": ({"sides": [{"number": 2, "kind": "gable"}]}, "property that is not known'; name it 'side'"),
    "capital": ({"Wing": []}, "Wing: got 'a property that is not known'; name it 'wing'"),
    "half a break": ({"side": [{"number": 1, "upper_pitch": "20 deg"}]}, "side[0].break_from: missing; give it with"),
    "break of a gable": ({"side": [{"number": 2, "kind": "gable", "break_from_m": 1}]}, "side[0].break_from: got 1"),
    "wide overhang": ({"side": [{"number": 2, "overhang_m": 30}]}, "side[0].overhang_m: got 30"),
    "overhang of words": ({"side": [{"number": 2, "overhang": "wide"}]}, "side[0].overhang: got 'wide'"),
    "side of a flat roof": ({"form": "flat", "side": [{"number": 2, "kind": "gable"}]}, "a flat roof has one slope"),
    "gable and hip": ({"gable_sides": [2], "side": [{"number": 2, "kind": "hip"}]}, "gable_sides: got 2"),
    "no roof": ({"side": [{"number": n, "kind": "gable"} for n in (1, 2)]}, "house: "),
    "courtyard without ring": ({"courtyard": [{"kind": "wall"}]}, "courtyard: got '1 courtyards'"),
    "wing without name": ({"wing": [{"outline": [[0, 0], [3, 0], [0, 3]]}]}, "wing[0].name: missing"),
    "wing without outline": ({"wing": [{"name": "a"}]}, "wing[0].outline: got 'NoneType'"),
    "wing of words": ({"wing": [{"name": "a", "outline": [[0, 0], [3, "x"], [0, 3]]}]}, "wing[0].outline[1]: "),
    "wing far away": (
        {"wing": [{"name": "a", "pitch_deg": 30, "outline": [[9000, 0], [9003, 0], [9000, 3]]}]},
        "wing[0].outline: got 'a wing 9003 m away'",
    ),
    "wing without pitch": ({"wing": [{"name": "a", "outline": [[0, 0], [3, 0], [0, 3]]}]}, "wing[0].pitch: missing"),
    "one name": ({"dormer": [{**DORMER, "at": [4, 1]}, {**DORMER, "at": [8, 1]}]}, "dormer[1].name: got 'bath'"),
    "dormer nowhere": ({"dormer": [DORMER]}, "dormer[0].at: missing"),
    "dormer without pitch": ({"dormer": [{"name": "a", "at": [4, 1]}]}, "dormer[0].pitch"),
    "dormer too wide": ({"dormer": [{**DORMER, "width": "90 m", "at": [4, 1]}]}, "dormer[0].width: got '90 m'"),
    "dormer beside the roof": ({"dormer": [{**DORMER, "at": [40, 1]}]}, "dormer[0].at: got"),
    "too many": ({"dormer": [{**DORMER, "at": [4, 1]}] * 25}, "give a list of at most 24 objects"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_can_not_be_used_is_refused_by_the_name_of_the_footprint_and_its_member(read, name):
    properties, words = REFUSED[name]
    bad, good = read(feature(wrong(properties)), feature(wrong({}), name="good"))
    assert (bad.status, good.status) == ("refused", "read")
    assert bad.notes[0].startswith("house: ")
    assert words in bad.notes[0]
