"""Buildings out of CityJSON files: what is read, and what is refused by name.

Expected values: the CityJSON specifications 1.0, 1.1 and 2.0 (from memory) and a house worked by hand: 8 m by 6 m,
eaves 3 m and ridge 6 m above its ground.
"""

import copy
import json

import pytest

from ropewright.readers import read_cityjson
from ropewright.roof import EdgeType

#: Corners of the house in millimetres: the floor, the eaves, the ends of the ridge.
CORNERS = [
    [0, 0, 0], [8000, 0, 0], [8000, 6000, 0], [0, 6000, 0],
    [0, 0, 3000], [8000, 0, 3000], [8000, 6000, 3000], [0, 6000, 3000],
    [0, 3000, 6000], [8000, 3000, 6000],
]  # fmt: skip
SHELL = [
    [[0, 3, 2, 1]], [[0, 1, 5, 4]], [[1, 2, 6, 9, 5]], [[2, 3, 7, 6]], [[3, 0, 4, 8, 7]],
    [[4, 5, 9, 8]], [[6, 7, 8, 9]],
]  # fmt: skip
KINDS = ["GroundSurface", *["WallSurface"] * 4, "RoofSurface", "RoofSurface"]
VALUES = [0, 1, 1, 1, 1, 2, 2]
SURFACES = [{"type": "GroundSurface"}, {"type": "WallSurface"}, {"type": "RoofSurface"}]
#: How deep the surfaces of each type of geometry lie.
NESTED = {
    "MultiSurface": lambda one: one,
    "CompositeSurface": lambda one: one,
    "Solid": lambda one: [one],
    "MultiSolid": lambda one: [[one]],
    "CompositeSolid": lambda one: [[one]],
}


def geometry(kind="Solid", *, lod="2.2", shell=SHELL, values=VALUES):
    made = {"type": kind, "lod": lod, "boundaries": NESTED[kind](shell)}
    if values is not None:
        made["semantics"] = {"surfaces": SURFACES, "values": NESTED[kind](values)}
    return made


def house(*geometries, kind="Building", **more):
    return {"type": kind, "geometry": list(geometries) or [geometry()], **more}


def city(objects=None, **more):
    document = {
        "type": "CityJSON",
        "version": "2.0",
        "transform": {"scale": [0.001] * 3, "translate": [85000.0, 447000.0, 2.0]},
        "metadata": {"referenceSystem": "https://www.opengis.net/def/crs/EPSG/0/7415"},
        "CityObjects": {"house": house()} if objects is None else objects,
        "vertices": copy.deepcopy(CORNERS),
    }
    return {**document, **more}


@pytest.fixture
def read(tmp_path):
    """Write documents one a line, read them back."""

    def reading(*documents, building=None, name="city.json"):
        path = tmp_path / name
        path.write_text("\n".join(json.dumps(one) for one in documents), encoding="utf-8")
        return read_cityjson(path, building)

    return reading


def only(buildings):
    [building] = buildings
    return building


def note(building, words):
    return next(note for note in building.notes if words in note)


def assert_is_the_house(building):
    assert building.status == "read"
    assert sorted(edge.type.value for edge in building.roof.edges) == ["eave", "eave", *["rake"] * 4, "ridge"]
    assert building.ground == pytest.approx(2.0)
    assert building.eave_height == pytest.approx(3.0)


def test_vertices_are_scaled_and_shifted(read):
    building = only(read(city()))
    assert_is_the_house(building)
    ridge = next(edge for edge in building.roof.edges if edge.type is EdgeType.RIDGE)
    assert sorted([ridge.start.tolist(), ridge.end.tolist()]) == [[85000.0, 447003.0, 8.0], [85008.0, 447003.0, 8.0]]
    assert [facet.id for facet in building.roof.facets] == ["house/5", "house/6"]


@pytest.mark.parametrize("kind", NESTED)
def test_every_type_of_geometry_gives_the_same_roof(read, kind):
    assert_is_the_house(only(read(city({"house": house(geometry(kind))}))))


def test_version_1_0_may_hold_real_coordinates_and_a_number_as_lod(read):
    metres = [[number / 1000 for number in corner] for corner in CORNERS]
    document = city({"house": house(geometry(lod=2))}, version="1.0", vertices=metres)
    del document["transform"]
    building = only(read(document))
    assert building.eave_height == pytest.approx(3.0)
    assert building.lod == 2.0


def test_a_sequence_has_its_transform_in_line_one_and_vertices_in_each_line(read):
    head = city({}, vertices=[])
    lines = [
        {"type": "CityJSONFeature", "id": name, "CityObjects": {name: house()}, "vertices": CORNERS}
        for name in ("a", "b")
    ]
    buildings = read(head, *lines, name="city.jsonl")
    assert [building.id for building in buildings] == ["a", "b"]
    assert_is_the_house(buildings[1])


def test_a_byte_order_mark_is_passed_over(tmp_path):
    path = tmp_path / "city.json"
    path.write_text(json.dumps(city()), encoding="utf-8-sig")
    assert_is_the_house(only(read_cityjson(path)))


# which geometry ----------------------------------------------------------------------------------------------------

FLAT = [[[0, 3, 2, 1]], [[4, 5, 6, 7]]]


@pytest.mark.parametrize("turned", [False, True], ids=["block first", "block last"])
def test_the_most_detailed_geometry_is_read_wherever_it_stands(read, turned):
    block = geometry(lod="1.3", shell=FLAT, values=[0, 2])
    both = [block, geometry()]
    assert_is_the_house(only(read(city({"house": house(*(both[::-1] if turned else both))}))))


@pytest.mark.parametrize("turned", [False, True], ids=["bare first", "bare last"])
def test_of_equal_detail_the_one_with_semantics_is_read(read, turned):
    bare = geometry(shell=FLAT, values=None)
    both = [bare, geometry()]
    assert_is_the_house(only(read(city({"house": house(*(both[::-1] if turned else both))}))))


def test_a_block_is_refused_by_name_even_if_it_calls_its_top_a_roof(read):
    block = geometry(lod="1.3", shell=FLAT, values=[0, 2])
    building = only(read(city({"block": house(block)})))
    assert (building.status, building.roof) == ("refused", None)
    assert "block: got 'no roof surface, only a block (level of detail 1.3)'" in building.notes[0]


@pytest.mark.parametrize(
    ("thing", "words"),
    [
        (house(geometry("MultiSurface", lod="0", shell=[[[0, 1, 2, 3]]], values=None)), "only a footprint"),
        ({"type": "Building"}, "no geometry made of surfaces"),
        ({"type": "Building", "geometry": [{"type": "MultiPoint", "lod": "2", "boundaries": [1]}]}, "no geometry made"),
        (house(geometry(lod="roof")), "no geometry made of surfaces"),
        (house(geometry(shell=SHELL[:5], values=VALUES[:5])), "no roof surface"),
        (house(geometry(shell=[[[0, 1, 0]]], values=[2])), "no roof surface with an area"),
    ],
    ids=["footprint", "empty", "points", "lod", "walls", "thin"],
)
def test_a_building_without_a_roof_is_refused_by_name(read, thing, words):
    building = only(read(city({"shed 7": thing})))
    assert building.status == "refused"
    assert building.notes[0].startswith("shed 7: ")
    assert words in building.notes[0]


# parts -------------------------------------------------------------------------------------------------------------

SOUTH = geometry("MultiSurface", shell=[SHELL[0], SHELL[5]], values=[0, 2])
NORTH = geometry("MultiSurface", shell=[SHELL[6]], values=[2])


@pytest.mark.parametrize(
    ("whole", "part"),
    [
        ({"children": ["p1", "p2"]}, {"parents": ["whole"]}),
        ({}, {"parents": ["whole"]}),
        ({"children": ["p1", "p2"]}, {}),
    ],
    ids=["both", "parents", "children"],
)
def test_parts_are_taken_together_under_their_building(read, whole, part):
    objects = {
        "p1": house(SOUTH, kind="BuildingPart", **part),
        "whole": {"type": "Building", **whole},
        "p2": house(NORTH, kind="BuildingPart", **part),
    }
    building = only(read(city(objects)))
    assert_is_the_house(building)
    assert building.id == "whole"
    assert building.parts == ("p1", "p2")


def test_a_part_without_a_roof_shape_is_left_out_and_said_so(read):
    block = geometry(lod="1.2", shell=FLAT, values=None)
    objects = {"whole": house(), "annex": house(block, kind="BuildingPart", parents=["whole"])}
    building = only(read(city(objects)))
    assert building.status == "mended"
    assert note(building, "gap").endswith("annex")


def test_parents_that_go_round_in_a_ring_still_give_one_building(read):
    objects = {
        "b": house(SOUTH, kind="BuildingPart", parents=["a"]),
        "a": house(NORTH, kind="BuildingPart", parents=["b"]),
    }
    building = only(read(city(objects)))
    assert building.id == "a"
    assert len(building.roof.facets) == 2


def test_a_part_whose_building_is_missing_stands_for_itself(read):
    assert only(read(city({"p": house(kind="BuildingPart", parents=["gone"])}))).id == "p"


def test_other_city_objects_are_passed_over(read):
    objects = {"tree": {"type": "SolitaryVegetationObject"}, "odd": house(kind="BuildingZ"), "house": house()}
    assert only(read(city(objects))).id == "house"


# semantics ---------------------------------------------------------------------------------------------------------


def test_surfaces_without_a_meaning_are_left_out_and_said_so(read):
    building = only(read(city({"house": house(geometry(values=[0, 1, 1, 1, 1, 2, None]))})))
    assert [facet.id for facet in building.roof.facets] == ["house/5"]
    assert note(building, "without a meaning").endswith("house/6")


@pytest.mark.parametrize("values", [None, [None] * 7], ids=["no semantics", "nulls"])
def test_without_meanings_the_roof_is_found_by_slope(read, values):
    building = only(read(city({"house": house(geometry(values=values))})))
    assert building.status == "mended"
    assert [facet.id for facet in building.roof.facets] == ["house/5", "house/6"]
    assert "face up" in note(building, "no surface is called a roof")
    assert building.ground is None
    assert building.eave_height is None
    assert note(building, "no ground surface")


def test_by_slope_only_so_many_surfaces_are_looked_at(read):
    building = only(read(city({"house": house(geometry("MultiSurface", shell=SHELL[5:6] * 3001, values=None))})))
    assert "3001 surfaces of which none is called a roof" in building.notes[0]


def test_a_body_turned_inside_out_is_found_by_slope_too(read):
    inside_out = [[ring[::-1] for ring in surface] for surface in SHELL]
    building = only(read(city({"house": house(geometry(shell=inside_out, values=None))})))
    assert sorted(edge.type.value for edge in building.roof.edges) == ["eave", "eave", *["rake"] * 4, "ridge"]


def test_voids_inside_a_solid_are_no_roof(read):
    void = [[[4, 5, 6, 7]]]
    made = geometry()
    made["boundaries"].append(void)
    made["semantics"]["values"].append([2])
    assert len(only(read(city({"house": house(made)}))).roof.facets) == 2


# ground ------------------------------------------------------------------------------------------------------------


def test_ground_is_the_lowest_corner_of_the_ground_surface_and_is_doubted(read):
    corners = copy.deepcopy(CORNERS)
    for corner in corners[:4]:
        corner[2] = -500  # level, so that the floor stays planar
    building = only(read(city(vertices=corners)))
    assert building.ground == pytest.approx(1.5)
    assert "measure on site" in note(building, "ground taken at")


def test_a_roof_below_its_ground_is_said_so(read):
    corners = copy.deepcopy(CORNERS)
    for corner in corners[:4]:
        corner[2] = 3500
    assert "0.50 m below the ground surface" in note(only(read(city(vertices=corners))), "lowest corner of the roof")


@pytest.mark.parametrize(
    ("height", "words"), [(3.1, "1.10 m above"), (0.4, "1.60 m below"), (2.2, None), ("high", None)]
)
def test_a_terrain_height_that_disagrees_is_told(read, height, words):
    building = only(read(city({"house": house(attributes={"TerrainHeight": height})})))
    told = [note for note in building.notes if "TerrainHeight" in note]
    assert [words in note for note in told] == ([True] if words else [])


def test_a_flat_roof_has_its_eave_at_its_lowest_corner(read):
    flat = geometry(shell=[[[0, 3, 2, 1]], [[4, 5, 6, 7]]], values=[0, 2])
    assert only(read(city({"house": house(flat)}))).eave_height == pytest.approx(3.0)


# broken buildings among good ones ----------------------------------------------------------------------------------


def broken(change):
    made = copy.deepcopy(geometry())
    change(made)
    return house(made)


BROKEN = {
    "corner that is not there": (lambda g: g["boundaries"][0][5][0].__setitem__(0, 99), "bad/5: got 99"),
    "corner below zero": (lambda g: g["boundaries"][0][5][0].__setitem__(0, -1), "bad/5: got -1"),
    "corner that is true": (lambda g: g["boundaries"][0][5][0].__setitem__(0, True), "bad/5: got True"),
    "corner with a fraction": (lambda g: g["boundaries"][0][5][0].__setitem__(0, 1.5), "bad/5: got 1.5"),
    "surface without rings": (lambda g: g["boundaries"][0].__setitem__(5, []), "bad/5: "),
    "ring that is none": (lambda g: g["boundaries"][0].__setitem__(5, [7]), "bad/5: "),
    "boundaries too shallow": (lambda g: g.__setitem__("boundaries", SHELL), "bad"),
    "boundaries missing": (lambda g: g.pop("boundaries"), "bad: "),
    "meaning that is not there": (lambda g: g["semantics"]["values"][0].__setitem__(5, 7), "bad/5: got 7"),
    "meanings too few": (lambda g: g["semantics"]["values"][0].pop(), "bad: got \"semantics that don't match"),
    "meanings that are none": (lambda g: g["semantics"].__setitem__("surfaces", 3), "bad: "),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_building_is_refused_by_its_surface_and_the_others_come_out(read, name):
    change, words = BROKEN[name]
    bad, good = read(city({"bad": broken(change), "good": house()}))
    assert bad.status == "refused"
    assert bad.notes[0].startswith(words)
    assert_is_the_house(good)


def test_a_surface_out_of_plane_is_named_with_its_distance(read):
    corners = copy.deepcopy(CORNERS)
    corners[5][2] += 400  # a quarter of it from the best plane of four corners, nearly
    building = only(read(city(vertices=corners)))
    assert building.notes[0].startswith("facet house/5: got 'a corner 0.")


def test_an_id_that_stands_twice_is_refused_the_second_time(read):
    lines = [{"type": "CityJSONFeature", "CityObjects": {"a": house()}, "vertices": CORNERS}] * 2
    first, second = read(city({}, vertices=[]), *lines)
    assert (first.status, second.status) == ("read", "refused")


def test_rings_closed_by_their_first_corner_and_surfaces_without_area_are_mended(read):
    shell = copy.deepcopy(SHELL)
    shell[5][0].append(shell[5][0][0])
    shell.append([[4, 5, 5]])
    building = only(read(city({"house": house(geometry(shell=shell, values=[*VALUES, 2]))})))
    assert building.status == "mended"
    assert note(building, "closed by repeating").endswith("house/5")
    assert note(building, "without area").endswith("house/7")


def test_degrees_without_a_reference_system_are_noticed(read):
    tiny = {"scale": [1e-8, 1e-8, 0.001], "translate": [4.4, 52.0, 0.0]}
    building = only(read(city(transform=tiny, metadata={})))
    assert "these look like degrees" in building.notes[0]


# one building ------------------------------------------------------------------------------------------------------


def test_one_building_can_be_asked_for(read):
    assert only(read(city({"a": house(), "b": house()}), building="b")).id == "b"
