"""`ropewright roof`: exit status, the document for programs, the text for people, the drawing.

Expected values: the house of 8 m by 6 m that is worked by hand below (eaves 3 m, ridge 6 m, so 45 deg and 4.243 m up
the slope), and the command's contract: exit 0 when the file as a whole could be read, 2 when it could not.
"""

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from click.testing import CliRunner

from ropewright.cli.roof import roof

DATA = Path(__file__).parents[1] / "data" / "roofs"
HOUSES = str(DATA / "denhaag_4b.city.json")
GABLE = "GUID_3D7D60B9-8F3A-4D3B-A3E5-CD9B5565A5B2"

CORNERS = [[0, 0, 0], [8, 0, 0], [8, 6, 0], [0, 6, 0], [0, 0, 3], [8, 0, 3], [8, 6, 3], [0, 6, 3], [0, 3, 6], [8, 3, 6]]
HOUSE = {
    "type": "MultiSurface",
    "lod": "2",
    "boundaries": [[[0, 3, 2, 1]], [[4, 5, 9, 8]], [[6, 7, 8, 9]]],
    "semantics": {"surfaces": [{"type": "GroundSurface"}, {"type": "RoofSurface"}], "values": [0, 1, 1]},
}


@pytest.fixture
def file(tmp_path):
    def writing(objects):
        path = tmp_path / "house.city.json"
        document = {"type": "CityJSON", "version": "1.0", "CityObjects": objects, "vertices": CORNERS}
        path.write_text(json.dumps(document), encoding="utf-8")
        return str(path)

    return writing


def run(*arguments):
    return CliRunner().invoke(roof, list(arguments))


def document(*arguments):
    result = run(*arguments, "--json")
    assert result.exit_code == 0
    return json.loads(result.stdout)


def test_the_document_has_what_its_contract_names(file):
    [house] = document(file({"house": {"type": "Building", "geometry": [HOUSE]}}))["buildings"]
    assert {"id", "status", "notes", "facets", "edges", "eave_height_m"} <= house.keys()
    assert (house["id"], house["status"], house["eave_height_m"], house["ground_m"]) == ("house", "read", 3.0, 0.0)
    assert house["facets"][0] == {
        "id": "house/1",
        "pitch_deg": 45.0,
        "azimuth_deg": 180.0,
        "area_m2": pytest.approx(33.9411, abs=1e-4),
        "z_min_m": 3.0,
        "z_max_m": 6.0,
    }
    edges = {edge["name"]: (edge["type"], edge["length_m"]) for edge in house["edges"]}
    assert edges["ridge"] == ("ridge", 8.0)
    assert edges["east rake"] == ("rake", pytest.approx(4.2426, abs=1e-4))


def test_a_level_facet_has_no_azimuth_in_the_document():
    houses = document(HOUSES)["buildings"]
    level = [facet for house in houses for facet in house["facets"] if facet["pitch_deg"] < 0.5]
    assert level
    assert all(facet["azimuth_deg"] is None for facet in level)


def test_an_opening_is_listed_and_its_area_is_no_roof(file):
    flat = {
        "type": "MultiSurface",
        "lod": "2",
        "boundaries": [[[0, 1, 2, 3], [10, 13, 12, 11]]],
        "semantics": {"surfaces": [{"type": "RoofSurface"}], "values": [0]},
    }
    CORNERS_WITH_HOLE = [*CORNERS, [2, 2, 0], [4, 2, 0], [4, 3, 0], [2, 3, 0]]
    path = Path(file({"flat": {"type": "Building", "geometry": [flat]}}))
    path.write_text(json.dumps({**json.loads(path.read_text()), "vertices": CORNERS_WITH_HOLE}))
    [building] = document(str(path))["buildings"]
    assert building["openings"] == [{"name": "opening", "facet": "flat/0", "area_m2": 2.0}]
    assert building["facets"][0]["area_m2"] == 46.0
    assert "opening: unguarded, 2.00 m2" in run(str(path)).stdout


def test_refused_buildings_are_no_fault_of_the_file():
    result = document(str(DATA / "delft_lod1_nosemantics.city.json"))
    assert result["counts"] == {"read": 0, "mended": 0, "refused": 1}
    assert result["buildings"][0]["facets"] == []
    assert result["buildings"][0]["eave_height_m"] is None


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("nowhere.city.json",), "nowhere.city.json: file: got 'No such file or directory'"),
        ((str(DATA / "README.md"),), "got 'README.md'; give a file whose name ends in .json (CityJSON or GeoJSON)"),
        (
            (HOUSES, "--building", "GUID_3D7D60B9"),
            f"building: got 'GUID_3D7D60B9'; give an id of the file, such as {GABLE}",
        ),
        ((HOUSES, "--svg", "out.svg"), "--svg: got '4 buildings with a usable roof'; give --building"),
        ((HOUSES, "--building", GABLE, "--svg", "no/such/folder/out.svg"), "--svg: got 'no/such/folder/out.svg'"),
    ],
    ids=["missing", "no json", "no building", "many to draw", "no folder"],
)
def test_what_the_user_can_mend_goes_to_stderr_with_exit_2(arguments, words):
    result = run(*arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert words in result.stderr


def test_the_text_tells_pitch_in_degrees_and_rise_in_twelve(file):
    text = run(file({"house": {"type": "Building", "geometry": [HOUSE]}})).stdout
    assert "1 building: 1 read, 0 mended, 0 refused" in text
    assert "eave 3.00 m above the ground" in text
    assert "45.0 deg (12.0 in 12)  facing 180 deg     33.9 m2  house/1" in text
    assert "rake          4  together 16.97 m" in text


def test_the_text_speaks_feet_when_asked(file):
    text = run(file({"house": {"type": "Building", "geometry": [HOUSE]}}), "--units", "us").stdout
    assert "eave 9.8 ft above the ground" in text
    assert " m2" not in text


def test_a_note_that_all_buildings_have_stands_once():
    text = run(HOUSES).stdout
    assert text.count("no reference system in the file") == 1
    assert text.count("For every building:") == 1


def test_a_strangers_id_can_not_write_over_the_terminal(file):
    text = run(file({"a\x1b[2Jb\ud800": {"type": "Building", "geometry": [HOUSE]}})).stdout
    assert "\x1b" not in text
    assert "a\ufffd[2Jb\ufffd: read" in text


def test_a_church_of_many_facets_is_told_by_its_largest(file):
    strips = [[[i, i + 1, i + 101, i + 100]] for i in range(50)]
    vertices = [[i, 5 * j, 3] for j in (0, 1) for i in range(100)]
    semantics = {"surfaces": [{"type": "RoofSurface"}], "values": [0] * 50}
    thing = {"type": "MultiSurface", "lod": "2", "boundaries": strips, "semantics": semantics}
    path = Path(file({"church": {"type": "Building", "geometry": [thing]}}))
    path.write_text(json.dumps({**json.loads(path.read_text()), "vertices": vertices}))
    text = run(str(path)).stdout
    assert "50 facets:" in text
    assert "and 10 smaller ones, together 50.0 m2" in text


def test_the_plan_of_one_building_is_drawn_to_scale_with_its_edges_named(tmp_path):
    drawing = tmp_path / "house.svg"
    result = run(HOUSES, "--building", GABLE, "--svg", str(drawing))
    assert result.exit_code == 0
    assert f"Wrote {drawing}." in result.stdout
    root = ET.fromstring(drawing.read_text(encoding="utf-8"))
    texts = ["".join(element.itertext()) for element in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "ridge  5.62 m" in texts
    assert "1:75" in texts
    assert "N" in texts
    assert GABLE in texts


def test_the_same_roof_is_drawn_the_same(tmp_path):
    for name in ("one.svg", "two.svg"):
        run(HOUSES, "--building", GABLE, "--svg", str(tmp_path / name))
    assert (tmp_path / "one.svg").read_bytes() == (tmp_path / "two.svg").read_bytes()
