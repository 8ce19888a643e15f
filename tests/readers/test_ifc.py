"""IFC models: units, placements, missing semantics, layers, broken shapes, crashes of the library.

Expected values: the invented house as ``tests/data/houses/README.md`` describes it (9 m by 6 m, eaves 3 m, 45 deg).
"""

import math
import sys
from pathlib import Path

import pytest

from ropewright.errors import FileError
from ropewright.readers import ifc, ifc_model, read_roofs
from ropewright.roof.facets import facet_area, facet_azimuth, facet_pitch

TEXT = (Path(__file__).parents[1] / "data" / "houses" / "house.ifc").read_text(encoding="utf-8")
AREA = 9 * math.sqrt(18)
ROOFLESS = TEXT.replace(",.ROOF.)", ",.FLOOR.)").replace("#36=IFCROOF(", "#36=IFCWALL(").replace(".GABLE_ROOF.", "$")


@pytest.fixture
def read(tmp_path, monkeypatch):
    """Read a text in this process: starting another each time takes a second."""
    monkeypatch.setattr(ifc, "_model", lambda path: ifc_model.model_of(path.read_text(encoding="utf-8")))

    def reading(text, **options):
        path = tmp_path / "house.ifc"
        path.write_text(text, encoding="utf-8")
        return read_roofs(path, **options)

    return reading


def only(buildings):
    [building] = buildings
    return building


def assert_is_the_house(building, unit=1.0):
    assert [facet_pitch(f) for f in building.roof.facets] == pytest.approx([45.0, 45.0], abs=1e-4)
    assert [facet_area(f) for f in building.roof.facets] == pytest.approx([AREA * unit**2] * 2, rel=1e-6)
    assert sorted(facet_azimuth(f) % 360 for f in building.roof.facets) == pytest.approx([0.0, 180.0], abs=1e-4)


def note(building, words):
    return next((one for one in building.notes if words in one), None)


def test_slabs_of_a_roof_are_read_with_their_names(read):
    building = only(read(TEXT))
    assert_is_the_house(building)
    assert (building.id, building.status) == ("0Invented0Building0001", "read")
    assert [facet.id for facet in building.roof.facets] == ["south slope", "north slope"]
    assert building.eave_height == pytest.approx(3.0)
    assert building.roof.facets[0].ring.min(axis=0) == pytest.approx([100.0, 50.0, 3.0])


FOOT = (
    "#14=IFCCONVERSIONBASEDUNIT(#17,.LENGTHUNIT.,'MILLIFOOT',#18);#17=IFCDIMENSIONALEXPONENTS(1,0,0,0,0,0,0);"
    "#18=IFCMEASUREWITHUNIT(IFCLENGTHMEASURE(0.0003048),#19);#19=IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.);"
)
MILLI = "#14=IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);"


def test_a_model_in_another_unit_comes_out_in_metres(read):
    """A unit of its own, a thousandth of a foot: the house is then 9 ft by 6 ft."""
    assert_is_the_house(only(read(TEXT.replace(MILLI, FOOT))), 0.3048)


def test_a_model_without_a_unit_is_refused_until_it_is_said(read):
    bare = TEXT.replace(MILLI, "#14=IFCSIUNIT(*,.AREAUNIT.,$,.SQUARE_METRE.);")
    with pytest.raises(FileError, match="IfcUnitAssignment: got 'no unit of length'"):
        read(bare)
    assert_is_the_house(only(read(bare, length_unit="mm")))
    with pytest.raises(FileError, match=r"length unit: got 'ft'; leave it out: the model says 1 unit = 0\.001 m"):
        read(TEXT, length_unit="ft")


def test_without_semantics_the_roof_is_found_by_slope(read):
    building = only(read(ROOFLESS))
    assert_is_the_house(building)
    assert building.status == "mended"
    assert note(building, "no element is called a roof")


def test_slabs_of_type_roof_need_no_roof_over_them(read):
    building = only(read(TEXT.replace("#36=IFCROOF(", "#36=IFCWALL(").replace(".GABLE_ROOF.", "$")))
    assert_is_the_house(building)
    assert building.status == "read"


def test_a_layer_under_the_roof_is_left_out_by_name(read):
    """A covering 0.3 m below the south slope, of the same shape."""
    layer = TEXT[TEXT.index("#40=") : TEXT.index("#60=")]
    for number in range(40, 52):
        layer = layer.replace(f"#{number}", f"#{number + 100}")
    layer = layer.replace("3000.)", "2700.)").replace("south slope", "lining").replace("Slab00000001", "Slab00000009")
    text = TEXT.replace("ENDSEC;\nEND-ISO", f"{layer}ENDSEC;\nEND-ISO").replace("(#51,#71)", "(#51,#71,#151)")
    building = only(read(text))
    assert_is_the_house(building)
    assert note(building, "taken as a layer of it: lining")


def test_a_map_conversion_is_told(read):
    conversion = "#90=IFCMAPCONVERSION(#13,#91,0.,0.,0.,0.5,0.866,1.);#91=IFCPROJECTEDCRS('EPSG:32760',$,$,$,$,$,$);"
    building = only(read(TEXT.replace("ENDSEC;\nEND-ISO", f"{conversion}\nENDSEC;\nEND-ISO")))
    assert note(building, "bearing of its own +y is 300")


def test_the_terrain_that_a_building_gives_is_its_ground(read):
    building = only(read(TEXT.replace("#30,$,$,.ELEMENT.,$,$,$);", "#30,$,$,.ELEMENT.,10000.,9500.,$);")))
    assert building.ground == pytest.approx(-0.5)
    assert building.eave_height == pytest.approx(3.5)


def test_an_element_whose_shape_is_broken_is_named(read):
    broken = TEXT.replace("#68=IFCEXTRUDEDAREASOLID(#67,$,#21", "#68=IFCEXTRUDEDAREASOLID(#67,$,#20000")
    building = only(read(broken))
    assert [facet.id for facet in building.roof.facets] == ["south slope"]
    assert building.status == "mended"
    assert note(building, "shape can't be built left out, the roof has a gap there: north slope")


WRONG = {
    "empty": ("", "give an IFC file"),
    "no ifc": ("ISO-10303-21; hello", "file: got "),
    "cut short": (TEXT[: TEXT.rindex("#")], "file: got 'a file cut short'; give the whole of it"),
    "no elements": (TEXT.replace("IFCSLAB(", "IFCWALL(").replace("IFCROOF(", "IFCWALL("), "no roof, slab"),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_is_no_model_is_told(read, name):
    text, words = WRONG[name]
    with pytest.raises(FileError, match=words):
        read(text)


def test_without_its_library_the_user_is_told_what_to_install(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "ifcopenshell", None)
    monkeypatch.setattr(ifc, "find_spec", lambda name: None)
    with pytest.raises(FileError, match=r"pip install 'ropewright\[ifc\]'"):
        ifc.read_ifc(tmp_path / "house.ifc")


@pytest.mark.parametrize("fault", ["crash", "endless"])
def test_a_library_that_breaks_down_is_an_answer(tmp_path, monkeypatch, fault):
    """A program that crashes, or never ends, stands in for the one that builds shapes."""
    fake = tmp_path / "python"
    fake.write_text("#!/bin/sh\n" + ("kill -SEGV $$\n" if fault == "crash" else "exec sleep 30\n"), encoding="utf-8")
    fake.chmod(0o700)
    monkeypatch.setattr(ifc.sys, "executable", str(fake))
    monkeypatch.setattr(ifc, "_PATIENCE", 1.0)
    path = tmp_path / "house.ifc"
    path.write_text(TEXT, encoding="utf-8")
    with pytest.raises(FileError, match=r"status -11|not built within 1 s"):
        read_roofs(path)
