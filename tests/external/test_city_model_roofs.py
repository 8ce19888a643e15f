"""Real buildings of open city models against a measurement made apart from this program.

Expected values: ``tests/data/roofs/*.planes.csv`` (pitch and azimuth from the Newell normal of each ring, area, least
and greatest height; origin and licences in ``tests/data/roofs/README.md``), and the heights of eaves and ridges that
the publisher of the two files of The Hague gives with each part. Planar surfaces are held to the printed digits. Where
a file's surface is out of plane, mending moves its corners, by as much as the building's notes say: it is held to half
a degree and to the area that so large a move can make.
"""

import csv
import json
import re
from collections import Counter
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from ropewright.readers import read_cityjson
from ropewright.roof import EdgeType
from ropewright.roof.facets import facet_area, facet_azimuth, facet_pitch

DATA = Path(__file__).parents[1] / "data" / "roofs"
FILES = {
    "denhaag_4b": "denhaag_4b.city.json",
    "denhaag_5b": "denhaag_5b.city.jsonl",
    "bag3d_multilod_10b": "bag3d_multilod_10b.city.json",
}
#: A ring given upside down, inside the volume of the part it belongs to.
UNDERSIDE = "GUID_901431CD-9F28-4D01-9FB5-04624D49DCCC_3/9"


@cache
def buildings(name):
    return {building.id: building for building in read_cityjson(DATA / FILES[name])}


def rows():
    for name in FILES:
        with (DATA / f"{name}.planes.csv").open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                surface = f"{row['object_id']}/{row['surface_no']}"
                yield pytest.param(name, surface, row, id=f"{name}-{surface[-12:]}")


def moved_by(building):
    """How far mending moved a corner at most, as the building's notes say."""
    found = re.search(r"corners moved by up to ([\d.]+) m to make", " ".join(building.notes))
    return float(found[1]) if found else 0.0


def girth(facet):
    return np.linalg.norm(np.roll(facet.ring, -1, axis=0) - facet.ring, axis=1).sum()


@pytest.mark.parametrize(("name", "surface", "row"), list(rows()))
def test_each_roof_surface_has_the_pitch_azimuth_and_area_measured_apart(name, surface, row):
    building = buildings(name)[row["building_id"]]
    if surface == UNDERSIDE:
        assert surface not in building.roof.by_id
        assert any("underside" in note and surface in note for note in building.notes)
        return
    facet = building.roof.by_id[surface]
    moved = moved_by(building)
    assert facet_pitch(facet) == pytest.approx(float(row["pitch_deg"]), abs=0.5 if moved else 0.006)
    assert facet_area(facet) == pytest.approx(float(row["area_m2"]), abs=6e-4 + moved * girth(facet) / 2)
    assert facet.ring[:, 2].min() == pytest.approx(float(row["z_min"]), abs=6e-4 + moved)
    assert facet.ring[:, 2].max() == pytest.approx(float(row["z_max"]), abs=6e-4 + moved)
    if row["azimuth_grid_deg"]:
        turn = facet_azimuth(facet) - float(row["azimuth_grid_deg"])
        assert abs((turn + 180) % 360 - 180) < (1.0 if moved else 0.06)
    else:
        assert np.isnan(facet_azimuth(facet))


@pytest.mark.parametrize("name", FILES)
def test_every_surface_of_the_roof_is_read(name):
    read = {facet.id for building in buildings(name).values() for facet in building.roof.facets}
    given = {param.values[1] for param in rows() if param.values[0] == name}
    assert read == given - {UNDERSIDE}


def parts_with_heights():
    for name in ("denhaag_4b", "denhaag_5b"):
        text = (DATA / FILES[name]).read_text(encoding="utf-8")
        for document in map(json.loads, text.splitlines() if name == "denhaag_5b" else [text]):
            for part, thing in document["CityObjects"].items():
                if "AbsoluteEavesHeight" in thing.get("attributes", {}):
                    building = thing.get("parents", [part])[0]
                    yield pytest.param(name, building, part, thing["attributes"], id=part[-14:])


@pytest.mark.parametrize(("name", "building", "part", "heights"), list(parts_with_heights()))
def test_each_part_has_the_heights_its_publisher_gives(name, building, part, heights):
    facets = [f for f in buildings(name)[building].roof.facets if f.id.rpartition("/")[0] == part]
    corners = np.vstack([facet.ring for facet in facets])
    assert corners[:, 2].min() == pytest.approx(heights["AbsoluteEavesHeight"], abs=0.02)
    assert corners[:, 2].max() == pytest.approx(heights["AbsoluteRidgeHeight"], abs=0.02)


def test_a_house_of_one_part_has_the_eave_height_its_publisher_gives():
    house = buildings("denhaag_4b")["GUID_3D7D60B9-8F3A-4D3B-A3E5-CD9B5565A5B2"]
    assert house.eave_height == pytest.approx(6.148, abs=0.005)  # RelativeEavesHeight


def test_ground_is_the_terrain_height_its_publisher_gives():
    """h_maaiveld of each building, as it stands in the file."""
    things = json.loads((DATA / FILES["bag3d_multilod_10b"]).read_text(encoding="utf-8"))["CityObjects"]
    for name, building in buildings("bag3d_multilod_10b").items():
        assert building.ground == pytest.approx(things[name]["attributes"]["h_maaiveld"], abs=0.005)


def loops_close(roof):
    """Walk the edges that one facet has alone; tell whether each walk comes back to its start."""
    outer = [edge for edge in roof.edges if len(edge.facets) == 1]
    starts = Counter(tuple(edge.start.round(6)) for edge in outer)
    return starts == Counter(tuple(edge.end.round(6)) for edge in outer)


@pytest.mark.parametrize("name", ["denhaag_4b", "bag3d_multilod_10b"])
def test_the_outer_edges_of_every_building_close(name):
    for building in buildings(name).values():
        assert loops_close(building.roof), building.id


@pytest.mark.parametrize(
    ("building", "eave", "types"),
    [
        ("GUID_3D7D60B9-8F3A-4D3B-A3E5-CD9B5565A5B2", 6.148, {"eave": 2, "rake": 4, "ridge": 1}),
        ("GUID_13974D93-CB4F-4B5A-AB1E-577DD9928CF2", 6.108, {"eave": 11, "rake": 2, "hip": 2, "ridge": 1, "wall": 4}),
    ],
    ids=["gable house", "half-hipped house with two flat annexes"],
)
def test_houses_for_the_planner_have_the_edges_one_sees_in_their_plan(building, eave, types):
    """Eave height: RelativeEavesHeight of the part with the pitched roof."""
    house = buildings("denhaag_4b")[building]
    assert Counter(edge.type.value for edge in house.roof.edges) == types
    assert house.eave_height == pytest.approx(eave, abs=0.005)
    assert all(edge.type is not EdgeType.OPENING for edge in house.roof.edges)


def test_a_block_without_semantics_is_refused_by_name():
    [building] = read_cityjson(DATA / "delft_lod1_nosemantics.city.json")
    assert building.status == "refused"
    assert "no roof surface, only a block (level of detail 1)" in building.notes[0]
