"""GeoJSON footprints: projection, courtyards, properties, local plans, and what is refused by name.

Expected values: RFC 7946 (from memory); roofs by the slope's own geometry (area in plan over cos of the pitch).
"""

import json
import math

import numpy as np
import pytest

from ropewright.errors import FileError
from ropewright.readers import read_roofs
from ropewright.roof.facets import facet_area, facet_pitch

#: A plan of 12 m by 8 m as lengths.
PLAN = [[0, 0], [12, 0], [12, 8], [0, 8], [0, 0]]
YARD = [[4, 3], [4, 5], [8, 5], [8, 3], [4, 3]]


def feature(properties, *rings, name="house"):
    geometry = {"type": "Polygon", "coordinates": list(rings) or [PLAN]}
    return {"type": "Feature", "id": name, "properties": properties, "geometry": geometry}


def collection(*features, **members):
    return {"type": "FeatureCollection", "coordinates_unit": "m", "features": list(features), **members}


@pytest.fixture
def read(tmp_path):
    def reading(document):
        path = tmp_path / "houses.geojson"
        path.write_text(json.dumps(document), encoding="utf-8")
        return read_roofs(path)

    return reading


def only(buildings):
    [building] = buildings
    return building


FORMS = {
    "hip": ({"pitch": "35 deg"}, 4),
    "hip in degrees": ({"form": "hip", "pitch_deg": 35}, 4),
    "gable": ({"form": "gable", "pitch": "35 deg"}, 2),
    "map's own tags": ({"roof:shape": "gabled", "roof:angle": "35"}, 2),
    "shed": ({"form": "shed", "pitch_deg": 35, "high_side": 1}, 1),
    "gables chosen": ({"form": "gable", "pitch_deg": 35, "gable_sides": [1, 3]}, 2),
    "a pitch a side": ({"form": "hip", "pitches_deg": [35, 35, 35, 35]}, 4),
}


@pytest.mark.parametrize("name", FORMS)
def test_properties_make_the_roof(read, name):
    properties, facets = FORMS[name]
    building = only(read(collection(feature({**properties, "eave_height_m": 3.5}))))
    assert building.status == "read"
    assert len(building.roof.facets) == facets
    assert all(facet_pitch(facet) == pytest.approx(35.0) for facet in building.roof.facets)
    assert sum(map(facet_area, building.roof.facets)) == pytest.approx(96.0 / math.cos(math.radians(35.0)))
    assert building.eave_height == pytest.approx(3.5)


def test_a_courtyard_is_cut_out(read):
    roof = only(read(collection(feature({"pitch_deg": 30, "eave_height": "10 ft"}, PLAN, YARD)))).roof
    area = (96.0 - 8.0) / math.cos(math.radians(30.0))
    assert sum(map(facet_area, roof.facets)) == pytest.approx(area)
    assert min(facet.ring[:, 2].min() for facet in roof.facets) == pytest.approx(3.048)


def test_without_an_eave_height_the_ground_stays_open(read):
    building = only(read(collection(feature({"pitch_deg": 30}))))
    assert building.ground is None
    assert any("no eave height" in note for note in building.notes)


def test_degrees_become_metres_and_small_faults_are_mended(read):
    """A rectangle rounded to seven decimals, with a corner twice and one on a straight side."""
    ring = [[10.0, 50.0], [10.0001, 50.0000002], [10.0002, 50.0], [10.0002, 50.0001], [10.0002, 50.0001]]
    ring += [[10.0000001, 50.0001]]
    document = collection(feature({"form": "gable", "pitch_deg": 40}, ring))
    del document["coordinates_unit"]
    building = only(read(document))
    assert building.status == "mended"
    told = " ".join(building.notes)
    for words in ("stood twice", "straight side", "not closed", "to make them square", "WGS 84"):
        assert words in told
    assert len(building.roof.facets) == 2
    corners = np.vstack([facet.ring for facet in building.roof.facets])
    assert np.ptp(corners[:, 0]) == pytest.approx(14.34, abs=0.02)  # 0.0002 deg of longitude at 50 deg N
    assert np.ptp(corners[:, 1]) == pytest.approx(11.12, abs=0.02)


def test_many_polygons_are_many_buildings(read):
    far = [[[x + 50, y] for x, y in PLAN]]
    one = feature({"pitch_deg": 30})
    one["geometry"] = {"type": "MultiPolygon", "coordinates": [[PLAN], far]}
    assert [building.id for building in read(collection(one))] == ["house/1", "house/2"]


REFUSED = {
    "no pitch": (feature({}), "pitch: missing"),
    "pitch without unit": (feature({"pitch": 30}), "pitch: got 30; give a text with its unit"),
    "pitch of words": (feature({"pitch": "steep"}), "pitch: got 'steep'"),
    "odd form": (feature({"form": "onion", "pitch_deg": 3}), "form: got 'onion'"),
    "shed without side": (feature({"form": "shed", "pitch_deg": 3}), "high_side: missing"),
    "crossing": (feature({"pitch_deg": 30}, [[0, 0], [9, 6], [9, 0], [0, 6], [0, 0]]), "house: outline"),
    "no area": (feature({"pitch_deg": 30}, [[0, 0], [9, 0], [4, 0], [0, 0]]), "house: "),
    "two corners": (feature({"pitch_deg": 30}, [[0, 0], [9, 0], [0, 0]]), "house: "),
    "words": (feature({"pitch_deg": 30}, [["a", 0], [9, 0], [4, 5], ["a", 0]]), "something that is no number"),
    "whole town": (feature({"pitch_deg": 30}, [[0, 0], [9000, 0], [9000, 9], [0, 0]]), "9000 m across"),
    "a point": ({"type": "Feature", "id": "house", "geometry": {"type": "Point", "coordinates": [1, 2]}}, "'Point'"),
    "nothing": ({"type": "Feature", "id": "house", "geometry": None, "properties": None}, "give a Polygon"),
    "sides lost": (
        feature({"pitches_deg": [30] * 5}, [[0, 0], [9, 0], [9, 0], [9, 6], [0, 6], [0, 0]]),
        "so that 'pitches_deg' can count",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_footprint_that_can_not_be_used_is_refused_by_name_and_others_come_out(read, name):
    broken, words = REFUSED[name]
    bad, good = read(collection(broken, feature({"pitch_deg": 30}, name="good")))
    assert (bad.id, bad.status, good.status) == ("house", "refused", "read")
    assert bad.notes[0].startswith("house: ")
    assert words in bad.notes[0]


def test_lengths_that_nobody_called_lengths_are_refused(read):
    document = collection(feature({"pitch_deg": 30}, [[500, 0], [512, 0], [512, 8], [500, 8], [500, 0]]))
    del document["coordinates_unit"]
    assert "for lengths in a plan say so with 'coordinates_unit'" in only(read(document)).notes[0]


def test_an_id_that_stands_twice_is_refused_the_second_time(read):
    again = feature({"pitch_deg": 30})
    assert [one.status for one in read(collection(again, again))] == ["read", "refused"]


WRONG = {
    "other system": (
        {"type": "FeatureCollection", "features": [], "crs": {"properties": {"name": "EPSG:28992"}}},
        "crs: got 'EPSG:28992'",
    ),
    "odd unit": (collection(coordinates_unit="kg"), "coordinates_unit: got 'kg'"),
    "no features": (collection(), "features: got 'no footprint'"),
    "features of numbers": (collection(3), r"features\[0\]: got 'int'"),
    "topology": ({"type": "Topology"}, "type: got 'Topology'"),
    "a list": ([], "type: missing"),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_file_that_is_wrong_as_a_whole_is_told(read, name):
    document, words = WRONG[name]
    with pytest.raises(FileError, match=words):
        read(document)
