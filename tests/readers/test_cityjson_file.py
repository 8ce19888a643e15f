"""CityJSON files that can't be read as a whole: each is told with the place and what would be right.

Expected values: RFC 8259 (JSON has no NaN and no Infinity; from memory), the CityJSON specifications (from memory).
"""

import json
from itertools import pairwise

import pytest

from ropewright.errors import FileError
from ropewright.readers import cityjson_file, read_cityjson
from ropewright.readers.reference_system import check_reference_system, known_systems

HEAD = {
    "type": "CityJSON",
    "version": "2.0",
    "transform": {"scale": [0.001, 0.001, 0.001], "translate": [0.0, 0.0, 0.0]},
    "CityObjects": {"a": {"type": "Building"}},
    "vertices": [],
}


def text(**more):
    return json.dumps({**HEAD, **more})


def without(key):
    return json.dumps({name: value for name, value in HEAD.items() if name != key})


WRONG = {
    "empty": ("", "type: missing"),
    "no json": ("roof", "line 1, column 1"),
    "half": (text()[:-9], "line 1, column"),
    "a list": ("[1, 2]", "type: missing; give a CityJSON file"),
    "geojson": (json.dumps({"type": "FeatureCollection"}), "type: got 'FeatureCollection'"),
    "version": (text(version="0.9"), "version: got '0.9'; give CityJSON 1.0, 1.1, 2.0"),
    "no version": (without("version"), "version: missing"),
    "no transform": (without("transform"), "transform: missing"),
    "transform of two": (text(transform={"scale": [1, 1], "translate": [0, 0, 0]}), r"transform\.scale: got \[1, 1\]"),
    "scale of zero": (text(transform={"scale": [0, 1, 1], "translate": [0, 0, 0]}), "three numbers above 0"),
    "scale of words": (text(transform={"scale": ["1", 1, 1], "translate": [0, 0, 0]}), r"transform\.scale: got"),
    "no objects": (without("CityObjects"), "CityObjects: got 'NoneType'"),
    "objects of numbers": (text(CityObjects={"a": 1}), "CityObjects: got 'dict'"),
    "no building": (text(CityObjects={"a": {"type": "Road"}}), "CityObjects: got 'no Building'"),
    "no vertices": (without("vertices"), "vertices: got 'NoneType'"),
    "vertex of two": (text(vertices=[[0, 0, 0], [1, 2]]), r"vertices\[1\]: got \[1, 2\]; give three numbers"),
    "vertex of text": (text(vertices=[["0", 0, 0]]), r"vertices\[0\]: got \['0', 0, 0\]"),
    "vertex of truth": (text(vertices=[[True, 0, 0]]), r"vertices\[0\]: got \[True, 0, 0\]"),
    "vertex out of this world": (text(vertices=[[0, 10**12, 0]]), r"vertices\[0\]: .*give coordinates in metres"),
    "vertex of 400 digits": (text(vertices=[[0, 10**400, 0]]), r"vertices\[0\]: got"),
    "vertex of 9000 digits": (text().replace("[]", "[[0, " + "9" * 9000 + ", 0]]"), "give numbers a float can hold"),
    "NaN": (text(vertices=[[float("nan"), 0, 0]]), "number: got 'NaN'"),
    "Infinity": (text(vertices=[[float("inf"), 0, 0]]), "number: got 'Infinity'"),
    "overflow": (text().replace("[]", "[[1e999, 0, 0]]"), r"vertices\[0\]: got \[inf, 0, 0\]"),
    "key twice": ('{"type": "CityJSON", "type": "CityJSON"}', "type: got 'a key that stands twice in one object'"),
    "deep": ("[" * 200_000, "line 1: got 'brackets nested too deep'"),
    "second line broken": (text() + "\n\n{", "line 3, column 2"),
    "second line is no feature": (text() + "\n" + text(), "feature 1: type: got 'CityJSON'"),
    "second line is a number": (text() + "\n5", "feature 1: type: got 'int'"),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_file_that_is_wrong_as_a_whole_is_told_with_its_place(tmp_path, name):
    content, words = WRONG[name]
    path = tmp_path / "city.json"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(FileError, match=words) as caught:
        read_cityjson(path)
    assert str(caught.value).startswith(str(path))


def test_a_file_that_is_not_there_is_told(tmp_path):
    with pytest.raises(FileError, match="No such file"):
        read_cityjson(tmp_path / "gone.city.json")


def test_a_folder_is_no_file(tmp_path):
    with pytest.raises(FileError, match="give a file that can be read"):
        read_cityjson(tmp_path)


def test_bytes_that_are_no_text_are_told_with_their_place(tmp_path):
    path = tmp_path / "city.json"
    path.write_bytes(b'{"type": \xff}')
    with pytest.raises(FileError, match=r"byte 9: .*UTF-8"):
        read_cityjson(path)


def test_a_file_that_is_too_large_is_not_read(tmp_path, monkeypatch):
    monkeypatch.setattr(cityjson_file, "MAX_BYTES", 10)
    path = tmp_path / "city.json"
    path.write_text(text())
    with pytest.raises(FileError, match="at most 10 bytes"):
        read_cityjson(path)


def test_an_unknown_building_is_told_with_its_nearest_neighbours(tmp_path):
    path = tmp_path / "city.json"
    path.write_text(text(CityObjects={"house-1": {"type": "Building"}, "barn": {"type": "Building"}}))
    with pytest.raises(FileError, match=r"building: got 'house1'; give an id of the file, such as house-1"):
        read_cityjson(path, "house1")


# reference systems -------------------------------------------------------------------------------------------------

FORMS = [
    "https://www.opengis.net/def/crs/EPSG/0/{}",
    "http://www.opengis.net/def/crs/EPSG/9.9.1/{}",
    "urn:ogc:def:crs:EPSG::{}",
    "urn:ogc:def:crs:EPSG:9.9:{}",
    "EPSG:{}",
]


@pytest.mark.parametrize("form", FORMS)
def test_all_ways_to_write_a_code_are_understood(form):
    assert check_reference_system(form.format(7415)) == ()
    with pytest.raises(FileError, match="degrees"):
        check_reference_system(form.format(4326))


@pytest.mark.parametrize(
    ("code", "words"),
    [(4979, "degrees"), (3857, "stretched"), (2263, "counts in feet"), (4978, "have no level")],
    ids=["degrees", "web map", "feet", "geocentric"],
)
def test_a_system_that_does_not_count_in_level_metres_is_refused(code, words):
    with pytest.raises(FileError, match=rf"metadata\.referenceSystem: .*{words}.*projected system in metres"):
        check_reference_system(f"EPSG:{code}")


def test_degrees_by_name_are_refused():
    with pytest.raises(FileError, match="degrees"):
        check_reference_system("urn:ogc:def:crs:OGC:1.3:CRS84")


@pytest.mark.parametrize(
    ("value", "words"),
    [(None, "no reference system"), ("local grid", "not understood"), (7, "not understood"), ("EPSG:99", "not known")],
)
def test_a_doubtful_system_is_noted(value, words):
    [note] = check_reference_system(value)
    assert words in note
    assert "taken as metres" in note


def test_the_table_of_systems_is_in_order_and_says_how_it_is_known():
    table = known_systems()
    assert all(one.first <= one.last for one in table)
    assert all(one.last < two.first for one, two in pairwise(table))
    assert {one.kind for one in table} == {"metre", "foot", "degree", "geocentric", "stretched"}
    assert {one.status for one in table} == {"memory"}
