"""Tables of measured corners: headings, units, holes, the ground, and faults named by facet and line.

Expected values: the house of `tests/data/houses` worked by hand (9 by 6, eaves at 3, ridge at 6), 1 ft = 0.3048 m.
"""

import math

import pytest

from ropewright.errors import FileError
from ropewright.readers import corner_csv, read_roofs
from ropewright.roof.facets import facet_area, facet_pitch

ROWS = """south,1,0,0,3
south,2,9,0,3
south,3,9,3,6
south,4,0,3,6
north,1,9,6,3
north,2,0,6,3
north,3,0,3,6
north,4,9,3,6
"""
METRES = "facet,corner,x [m],y [m],z [m]\n"


@pytest.fixture
def read(tmp_path):
    def reading(text, **options):
        path = tmp_path / "house.csv"
        path.write_text(text, encoding="utf-8")
        return read_roofs(path, **options)

    return reading


def only(buildings):
    [building] = buildings
    return building


HEADINGS = {
    "brackets": (METRES, 1.0),
    "round brackets": ("Facet ID,Corner number,X (ft),Y (ft),Z (ft)\n", 0.3048),
    "underscores": ("facet_id,corner_number,x_mm,y_mm,z_mm\n", 0.001),
    "byte order mark": ("\ufefffacet,corner,x m,y m,z m\n", 1.0),
}


@pytest.mark.parametrize("name", HEADINGS)
def test_headings_say_what_the_columns_are_and_count_in(read, name):
    heading, unit = HEADINGS[name]
    scale = 1000 if unit == 0.001 else 1
    rows = [line.split(",") for line in ROWS.splitlines()]
    text = "\n".join(",".join([*row[:2], *(str(scale * int(one)) for one in row[2:])]) for row in rows)
    building = only(read(heading + text))
    assert building.status == "read"
    assert [facet.id for facet in building.roof.facets] == ["south", "north"]
    for facet in building.roof.facets:
        assert facet_pitch(facet) == pytest.approx(45.0)
        assert facet_area(facet) == pytest.approx(9 * math.sqrt(18) * (unit * scale) ** 2)


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_semicolons_and_tabs_part_fields_too(read, delimiter):
    assert only(read((METRES + ROWS).replace(",", delimiter))).status == "read"


def test_a_unit_in_each_row_or_cell_holds_over_the_heading(read):
    text = METRES.replace("\n", ",unit\n") + ROWS.replace("\n", ",m\n").replace("9,0,3,m", "29 ft 6-21/64 in,0,3,m")
    building = only(read(text))  # that is 8.9999 m
    assert building.status == "read"
    assert facet_area(building.roof.facets[0]) == pytest.approx(9 * math.sqrt(18), rel=1e-4)


def test_without_a_unit_the_table_is_refused_until_it_is_said(read):
    bare = "facet,corner,x,y,z\n" + ROWS
    with pytest.raises(FileError, match="line 2, x: got '0'; give the unit in the heading"):
        read(bare)
    building = only(read(bare, length_unit="ft"))
    assert facet_area(building.roof.facets[0]) == pytest.approx(9 * math.sqrt(18) * 0.3048**2)


def test_corners_come_in_the_order_of_their_numbers_and_ground_gives_the_height(read):
    building = only(read(METRES + "\n".join(reversed(ROWS.splitlines())) + "\nground,,4,-1,0.5\nground,,4,9,0.2\n"))
    assert building.eave_height == pytest.approx(2.5)


def test_rings_after_the_first_are_holes(read):
    text = "facet,ring,corner,x [m],y [m],z [m]\n"
    for ring, (low, high) in enumerate([(0, 9), (3, 5)]):
        corners = [(low, low), (high, low), (high, high), (low, high)]
        text += "".join(f"flat,{ring},{i},{x},{y},4\n" for i, (x, y) in enumerate(corners, 1))
    roof = only(read(text)).roof
    assert len(roof.openings) == 1
    assert sum(edge.type.value == "opening" for edge in roof.edges) == 4


def test_a_column_of_buildings_parts_them(read):
    rows = "".join(f"{name},{line}\n" for name in ("a", "b") for line in ROWS.splitlines())
    assert [one.id for one in read("building," + METRES + rows)] == ["a", "b"]


BROKEN = {
    "no number": (ROWS.replace("south,2,9", "south,2,nine"), "facet south: line 3, x: got 'nine'"),
    "decimal comma": (ROWS.replace("south,2,9,", 'south,2,"9,5",'), "facet south: line 3, x: got '9,5'"),
    "corner twice": (ROWS.replace("south,2", "south,1"), "facet south: line 3, corner: got 1 a second time"),
    "corner lost": (ROWS.replace("south,2,9,0,3\n", ""), "facet south: corner 2 is missing"),
    "no corner number": (ROWS.replace("south,2", "south,"), "facet south: line 3, corner: missing"),
    "two corners": ("a,1,0,0,3\na,2,1,0,3\n", "facet a, ring 0: 2 corners"),
    "no name": (ROWS.replace("south,2", ",2"), "line 3, facet: missing"),
    "out of plane": (ROWS.replace("south,3,9,3,6", "south,3,9,3,7"), "facet south: got 'a corner 0."),
    "short row": (ROWS.replace("south,2,9,0,3", "south,2,9"), "facet south: line 3, y: "),
    "formula": (ROWS.replace("south,2,9", "south,2,=1+8"), "facet south: line 3, x: got '=1+8'"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_facet_is_named(read, name):
    rows, words = BROKEN[name]
    building = only(read(METRES + rows))
    assert building.status == "refused"
    assert words in building.notes[0]


WRONG = {
    "empty": ("", "heading: missing"),
    "no rows": (METRES, "line 2: missing"),
    "no z": ("facet,corner,x [m],y [m]\n" + ROWS, "missing: z"),
    "x twice": ("facet,corner,x [m],x [m],z [m]\n" + ROWS, "give one column 'x'"),
    "odd unit": (METRES.replace("x [m]", "x [kg]") + ROWS, r"heading 'x \[kg\]': got 'kg'; give a unit of length"),
    "open quote": (METRES + 'south,1,"0', "line 2"),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_table_that_is_wrong_as_a_whole_is_told(read, name):
    text, words = WRONG[name]
    with pytest.raises(FileError, match=words):
        read(text)


def test_a_table_of_too_many_rows_is_not_read(read, monkeypatch):
    monkeypatch.setattr(corner_csv, "_MOST_ROWS", 4)
    with pytest.raises(FileError, match="more than 4 rows"):
        read(METRES + ROWS)
