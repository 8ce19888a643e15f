"""The format of a file is told by its name or its content; the made houses are what their script makes."""

import runpy
import sys
from pathlib import Path

import pytest

from ropewright.errors import FileError
from ropewright.readers import read_roofs
from ropewright.roof.facets import facet_area, facet_pitch

DATA = Path(__file__).parents[1] / "data"
HOUSES = DATA / "houses"
CITY = DATA / "roofs" / "denhaag_4b.city.json"


def shape(path):
    [building] = read_roofs(path)
    return [(round(facet_pitch(f), 4), round(facet_area(f), 4)) for f in building.roof.facets], building.eave_height


def test_the_script_makes_the_same_houses_again(tmp_path):
    runpy.run_path(str(HOUSES / "make.py"))["write_all"](tmp_path)
    for name in ("house.csv", "house.geojson", "house.ifc"):
        assert (tmp_path / name).read_text(encoding="utf-8") == (HOUSES / name).read_text(encoding="utf-8")
    assert shape(tmp_path / "house.dxf") == shape(HOUSES / "house.dxf")  # its writer stamps the time


def test_the_house_is_the_same_in_every_format():
    shapes = [shape(HOUSES / f"house.{ending}") for ending in ("csv", "dxf", "geojson", "ifc")]
    for facets, eave in shapes:
        assert facets == [pytest.approx((45.0, 38.1838), abs=2e-3)] * 2
        assert eave == pytest.approx(3.0)


CONTENT = [(CITY, "city", 4), (CITY, "town.json", 4), (HOUSES / "house.geojson", "house.json", 1)]
CONTENT += [(HOUSES / "house.dxf", "house.txt", 1), (HOUSES / "house.ifc", "house.step", 1)]


@pytest.mark.parametrize(("path", "name", "count"), CONTENT, ids=[name for _, name, _ in CONTENT])
def test_content_tells_what_the_name_does_not(tmp_path, path, name, count):
    (tmp_path / name).write_bytes(path.read_bytes())
    assert len(read_roofs(tmp_path / name)) == count


def test_one_building_of_any_file_can_be_asked_for():
    buildings = read_roofs(DATA / "roofs" / "osm_kirchberg_iller_32b.geojson", "way/275436099")
    assert [one.id for one in buildings] == ["way/275436099"]
    with pytest.raises(FileError, match="building: got 'barn'; give an id of the file, such as house"):
        read_roofs(HOUSES / "house.csv", "barn")


@pytest.mark.parametrize("name", ["roof.pdf", "gone.ifc", "gone.dxf", "gone.csv", "gone.geojson", "folder.csv"])
def test_what_can_not_be_read_is_told_with_its_name(tmp_path, name):
    (tmp_path / "folder.csv").mkdir()
    (tmp_path / "roof.pdf").write_bytes(b"%PDF")
    with pytest.raises(FileError) as caught:
        read_roofs(tmp_path / name)
    assert str(caught.value).startswith(str(tmp_path / name))


@pytest.mark.skipif(sys.platform == "win32", reason="has no such device")
def test_a_device_that_never_ends_is_not_read(tmp_path):
    (tmp_path / "zeros.csv").symlink_to("/dev/zero")
    with pytest.raises(FileError, match="no plain file"):
        read_roofs(tmp_path / "zeros.csv")


def test_a_format_that_says_its_unit_takes_no_other():
    with pytest.raises(FileError, match="length unit: got 'ft'; leave it out"):
        read_roofs(CITY, length_unit="ft")
