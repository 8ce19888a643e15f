"""DXF drawings written with ezdxf and read back: faces, meshes, polylines, blocks, units, and what is refused.

Expected values: the house worked by hand (8 by 6, eaves at 3, ridge at 6: 45 deg, area 8 sqrt(18) each); inch and foot
as 25.4 mm and 304.8 mm; numbers of ``$INSUNITS`` against ezdxf's own table of units.
"""

import math
import sys

import pytest
from ezdxf import new
from ezdxf.render import MeshBuilder
from ezdxf.units import conversion_factor

from ropewright.errors import FileError
from ropewright.readers import dxf, dxf_faces, read_roofs, roof_surfaces
from ropewright.roof.facets import facet_area, facet_azimuth, facet_pitch

SOUTH = [(0, 0, 3), (8, 0, 3), (8, 3, 6), (0, 3, 6)]
NORTH = [(8, 6, 3), (0, 6, 3), (0, 3, 6), (8, 3, 6)]


def document(unit=6, version="R2010"):
    made = new(version)
    made.header["$INSUNITS"] = unit
    return made


@pytest.fixture
def read(tmp_path):
    def reading(drawing, **options):
        path = tmp_path / "house.dxf"
        if isinstance(drawing, bytes):
            path.write_bytes(drawing)
        else:
            drawing.saveas(path)
        return read_roofs(path, **options)

    return reading


def faces(space, *rings, **attributes):
    for ring in rings:
        space.add_3dface(ring, dxfattribs=attributes)


def assert_is_the_house(building, unit=1.0):
    assert building.status in ("read", "mended")
    assert [facet_pitch(f) for f in building.roof.facets] == pytest.approx([45.0, 45.0], abs=1e-6)
    assert [facet_area(f) for f in building.roof.facets] == pytest.approx([8 * math.sqrt(18) * unit**2] * 2, rel=1e-6)
    types = sorted(edge.type.value for edge in building.roof.edges)
    assert types == ["eave", "eave", "rake", "rake", "rake", "rake", "ridge"]


def only(buildings):
    [building] = buildings
    return building


def as_3dfaces(space):
    faces(space, SOUTH, NORTH)


def as_triangles(space):
    for a, b, c, d in (SOUTH, NORTH):
        faces(space, (a, b, c, c), (a, c, d, d))


def as_polylines(space):
    space.add_polyline3d(SOUTH, close=True)
    space.add_polyline3d([*NORTH, NORTH[0]])


def mesh():
    builder = MeshBuilder()
    builder.add_face(SOUTH)
    builder.add_face(NORTH)
    return builder


def as_grid(space):
    grid = space.add_polymesh((3, 2))
    rows = [((0, 0, 3), (8, 0, 3)), ((0, 3, 6), (8, 3, 6)), ((0, 6, 3), (8, 6, 3))]
    for m, row in enumerate(rows):
        for n, corner in enumerate(row):
            grid.set_mesh_vertex((m, n), corner)


DRAWN = {
    "3dfaces": as_3dfaces,
    "triangles": as_triangles,
    "3d polylines": as_polylines,
    "polyface mesh": lambda space: mesh().render_polyface(space),
    "mesh": lambda space: mesh().render_mesh(space),
    "polygon mesh": as_grid,
}


@pytest.mark.parametrize("way", DRAWN)
def test_a_house_comes_out_however_it_is_drawn(read, way):
    drawing = document()
    DRAWN[way](drawing.modelspace())
    building = only(read(drawing))
    assert building.id == "house"
    assert_is_the_house(building)


@pytest.mark.parametrize("code", sorted(dxf._UNITS.keys() - {21}))
def test_units_are_those_of_the_drawing(code):
    assert dxf._UNITS[code] == pytest.approx(
        conversion_factor(code, 6), rel=1e-9
    )  # the table has feet per metre in ten digits


def test_a_drawing_in_feet_comes_out_in_metres(read):
    drawing = document(2)
    as_3dfaces(drawing.modelspace())
    assert_is_the_house(only(read(drawing)), 0.3048)


@pytest.mark.parametrize("unit", [0, 9])
def test_a_drawing_without_a_unit_is_refused_until_it_is_said(read, unit):
    drawing = document(unit)
    as_3dfaces(drawing.modelspace())
    with pytest.raises(FileError, match=r"house\.dxf: \$INSUNITS: .*--length-unit m"):
        read(drawing)
    assert_is_the_house(only(read(drawing, length_unit="ft")), 0.3048)


def test_a_unit_that_contradicts_the_drawing_is_refused(read):
    drawing = document(6)
    as_3dfaces(drawing.modelspace())
    with pytest.raises(FileError, match=r"length unit: got 'ft'; leave it out: the drawing says 1 unit = 1 m"):
        read(drawing, length_unit="ft")


def test_layers_named_roof_are_the_roof_and_walls_tell_the_ground(read):
    drawing = document()
    faces(drawing.modelspace(), SOUTH, NORTH, layer="A-Roof")
    faces(drawing.modelspace(), [(0, 0, 0), (8, 0, 0), (8, 0, 3), (0, 0, 3)], layer="walls")
    faces(drawing.modelspace(), [(20, 0, 9), (28, 0, 9), (28, 5, 9), (20, 5, 9)], layer="else")
    building = only(read(drawing))
    assert_is_the_house(building)
    assert building.status == "read"
    assert building.eave_height == pytest.approx(3.0)


def test_without_such_layers_floors_are_left_out_by_name(read):
    drawing = document()
    as_3dfaces(drawing.modelspace())
    floor = drawing.modelspace().add_3dface([(0, 0, 0), (8, 0, 0), (8, 6, 0), (0, 6, 0)])
    building = only(read(drawing))
    assert_is_the_house(building)
    assert building.status == "mended"
    assert any(f"3DFACE {floor.dxf.handle}" in note and "no roof" in note for note in building.notes)
    assert building.eave_height == pytest.approx(3.0)


def test_a_face_drawn_the_other_way_round_is_turned_over(read):
    drawing = document()
    faces(drawing.modelspace(), SOUTH[::-1], NORTH)
    building = only(read(drawing))
    assert_is_the_house(building)
    assert any("turned over" in note for note in building.notes)


def test_a_corner_off_by_a_centimetre_is_mended_and_one_by_a_foot_refused_by_name(read):
    for off, status in ((0.01, "mended"), (0.3, "refused")):
        drawing = document()
        faces(drawing.modelspace(), [*SOUTH[:2], (8, 3, 6 + off), SOUTH[3]], NORTH)
        building = only(read(drawing))
        assert building.status == status
    assert building.notes[0].startswith("facet 3DFACE")


def test_houses_apart_are_buildings_of_their_own(read):
    drawing = document()
    as_3dfaces(drawing.modelspace())
    faces(drawing.modelspace(), *([(x + 20, y, z) for x, y, z in ring] for ring in (SOUTH, NORTH)))
    buildings = read(drawing)
    assert [one.id for one in buildings] == ["house-1", "house-2"]
    assert all(one.status == "read" for one in buildings)


def test_blocks_are_opened_up_on_the_layer_they_are_put(read):
    drawing = document()
    as_3dfaces(drawing.blocks.new("half"))
    place = {"layer": "ROOF", "rotation": 90}
    drawing.blocks.new("whole").add_blockref("half", (5, 5, 0))
    drawing.modelspace().add_blockref("whole", (100, 50, 0), dxfattribs=place)
    building = only(read(drawing))
    assert_is_the_house(building)
    assert sorted(round(facet_azimuth(f)) for f in building.roof.facets) == [90, 270]


def test_blocks_in_blocks_without_end_are_refused(read):
    drawing = document()
    for level in range(7):
        block = drawing.blocks.new(f"b{level}")
        for _ in range(10):
            if level:
                block.add_blockref(f"b{level - 1}", (0, 0, 0))
            else:
                as_3dfaces(block)
    drawing.modelspace().add_blockref("b6", (0, 0, 0))
    with pytest.raises(FileError, match="more than"):
        read(drawing)


def test_a_block_within_itself_is_refused(read):
    drawing = document()
    drawing.blocks.new("round").add_blockref("round", (1, 0, 0))
    drawing.modelspace().add_blockref("round", (0, 0, 0))
    with pytest.raises(FileError, match="blocks 8 deep"):
        read(drawing)


def test_another_drawing_is_named_and_not_opened(read, tmp_path):
    other = tmp_path / "other.dxf"
    other.write_text("never read")
    drawing = document()
    as_3dfaces(drawing.modelspace())
    drawing.add_xref_def(str(other), "other")
    drawing.modelspace().add_blockref("other", (0, 0, 0))
    building = only(read(drawing))
    assert_is_the_house(building)
    assert any("lie in another file left out; it is not opened" in note for note in building.notes)


def test_layers_switched_off_are_left_out(read):
    drawing = document()
    as_3dfaces(drawing.modelspace())
    drawing.layers.add("old").off()
    faces(drawing.modelspace(), [(20, 0, 9), (28, 0, 9), (28, 5, 9), (20, 5, 9)], layer="old")
    building = only(read(drawing))
    assert any("switched off" in note and "old" in note for note in building.notes)


def test_a_flat_outline_with_elevation_is_a_flat_roof_and_arcs_are_named(read):
    drawing = document()
    space = drawing.modelspace()
    outline = [(0, 0), (8, 0), (8, 6), (0, 6)]
    space.add_lwpolyline(outline, close=True, dxfattribs={"elevation": 4.0})
    round_one = space.add_lwpolyline([(20, 0, 0, 0, 1), (28, 0), (28, 6)], close=True, dxfattribs={"elevation": 4.0})
    building = only(read(drawing))
    assert facet_area(building.roof.facets[0]) == pytest.approx(48.0)
    assert any("arcs" in note and round_one.dxf.handle in note for note in building.notes)


def test_a_plan_without_heights_is_refused(read):
    drawing = document()
    drawing.modelspace().add_lwpolyline([(0, 0), (8, 0), (8, 6), (0, 6)], close=True)
    with pytest.raises(FileError, match="all faces level at height 0"):
        read(drawing)


WRONG = {
    "empty": (b"", "an empty file"),
    "no dxf": (b"hello\nworld\n", "house.dxf: file"),
    "binary": (b"AutoCAD Binary DXF\r\n\x1a\x00", "binary form"),
    "no faces": (b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n", "house.dxf: "),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_is_no_drawing_is_told(read, name):
    content, words = WRONG[name]
    with pytest.raises(FileError, match=words):
        read(content)


def test_an_empty_drawing_is_told(read):
    with pytest.raises(FileError, match="ENTITIES: got 'no face that one could stand on'"):
        read(document())


def test_limits_hold(read, monkeypatch):
    drawing = document()
    as_3dfaces(drawing.modelspace())
    monkeypatch.setattr(dxf_faces, "_MOST_CORNERS", 6)
    with pytest.raises(FileError, match="more than 6 corners"):
        read(drawing)
    monkeypatch.setattr(dxf, "MAX_BYTES", 10)
    with pytest.raises(FileError, match="at most 10 bytes"):
        read(drawing)


def test_more_faces_than_a_roof_has_are_refused_soon(read, monkeypatch):
    monkeypatch.setattr(roof_surfaces, "_MOST_FACES", 1)
    drawing = document()
    as_3dfaces(drawing.modelspace())
    with pytest.raises(FileError, match="ENTITIES: got '2 faces that one could stand on'; give at most 1"):
        read(drawing)


def test_without_its_library_the_user_is_told_what_to_install(read, monkeypatch):
    drawing = document()
    monkeypatch.setitem(sys.modules, "ezdxf.filemanagement", None)
    with pytest.raises(FileError, match=r"pip install 'ropewright\[dxf\]'"):
        read(drawing)
