"""Every building of every real file is read or refused by name; two IFC models against measurements made apart.

Expected values: ``tests/data/roofs/ifc_planes.csv`` (see the README there), ifcopenshell's own areas, and, for
footprints, areas from shapely over geodesic coordinates of pyproj. `pytest -s` prints the counts.
"""

import csv
import json
import math
from collections import Counter
from functools import cache
from pathlib import Path

import ifcopenshell
import ifcopenshell.geom
import ifcopenshell.util.shape
import pyproj
import pytest

from ropewright.errors import FileError
from ropewright.readers import read_roofs
from ropewright.roof.facets import facet_area, facet_azimuth, facet_pitch, ring_area

DATA = Path(__file__).parents[1] / "data" / "roofs"
FILES = sorted(path for path in DATA.iterdir() if path.suffix in (".json", ".jsonl", ".ifc", ".geojson"))
PRAGUE = DATA / "prague_bubenec_144b.geojson"


@cache
def buildings(name):
    return read_roofs(DATA / name)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_every_building_is_read_or_refused_by_name(path):
    found = buildings(path.name)
    counts = Counter(one.status for one in found)
    print(f"{path.name}: {dict(counts)}")  # noqa: T201 - the counts are asked for
    assert found
    for one in found:
        assert one.status in ("read", "mended", "refused")
        assert (one.roof is None) == (one.status == "refused")
        assert one.status != "refused" or one.notes[0].startswith((one.id, "facet"))


def slabs():
    with (DATA / "ifc_planes.csv").open(encoding="utf-8", newline="") as file:
        yield from (pytest.param(row, id=row["element"]) for row in csv.DictReader(file))


@pytest.mark.parametrize("row", list(slabs()))
def test_roof_slabs_have_the_pitch_azimuth_and_area_measured_apart(row):
    [building] = buildings(row["file"])
    facet = building.roof.by_id[row["element"]]
    holes = sum(ring_area(opening.ring) for opening in building.roof.openings if opening.facet == facet.id)
    assert facet_pitch(facet) == pytest.approx(float(row["pitch_deg"]), abs=0.05)
    assert (facet_azimuth(facet) - float(row["azimuth_deg"]) + 180) % 360 - 180 == pytest.approx(0.0, abs=0.05)
    assert facet_area(facet) - holes == pytest.approx(float(row["top_face_area_m2"]), abs=0.006)
    assert float(row["z_min_of_element_m"]) < facet.ring[:, 2].min()
    assert facet.ring[:, 2].max() == pytest.approx(float(row["z_max_of_element_m"]), abs=0.006)


@pytest.mark.parametrize("name", ["gable_house_chimney_ifc4.ifc", "open_house_ifc4.ifc"])
def test_areas_are_those_of_ifcopenshell(name):
    """Its area of the slabs seen from above, over the cosine of their 45 deg: they are cut plumb."""
    [building] = buildings(name)
    model = ifcopenshell.open(DATA / name)
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    area = 0.0
    for slab in model.by_type("IfcSlab"):
        if slab.Name in building.parts:
            shape = ifcopenshell.geom.create_shape(settings, slab).geometry
            area += ifcopenshell.util.shape.get_footprint_area(shape)
    holes = sum(ring_area(opening.ring) for opening in building.roof.openings)
    assert sum(map(facet_area, building.roof.facets)) - holes == pytest.approx(area * math.sqrt(2), rel=1e-5)


@pytest.mark.parametrize("pitch", [0.0, 40.0])
def test_footprints_given_a_pitch_have_the_area_of_their_plan_over_its_cosine(tmp_path, pitch):
    """Geodesic areas from pyproj; corners may move by 0.1 m where that makes them square or straight."""
    document = json.loads(PRAGUE.read_text(encoding="utf-8"))
    form = "hip" if pitch else "flat"
    for feature in document["features"]:
        feature["properties"] = {"form": form, "pitch_deg": pitch, "eave_height": "9 m"}
    path = tmp_path / "prague.geojson"
    path.write_text(json.dumps(document), encoding="utf-8")
    geod = pyproj.Geod(ellps="WGS84")
    read = 0
    for feature, building in zip(document["features"], read_roofs(path), strict=True):
        if building.status == "refused":
            print(building.notes[0])  # noqa: T201
            continue
        read += 1
        rings = feature["geometry"]["coordinates"]
        areas = [abs(geod.polygon_area_perimeter(*zip(*ring, strict=True))[0]) for ring in rings]
        girth = sum(abs(geod.polygon_area_perimeter(*zip(*ring, strict=True))[1]) for ring in rings)
        made = sum(facet_area(f) * math.cos(math.radians(facet_pitch(f))) for f in building.roof.facets)
        assert made == pytest.approx(areas[0] - sum(areas[1:]), abs=0.1 * girth)
    print(f"{read} of {len(document['features'])} footprints carry a {form} roof of {pitch:g} deg")  # noqa: T201
    assert read > 0.9 * len(document["features"])


def test_no_building_of_a_file_without_pitches_is_guessed():
    assert all(one.status == "refused" and "pitch" in one.notes[0] for one in buildings(PRAGUE.name))


def test_a_licence_text_is_no_roof():
    with pytest.raises(FileError, match="name ends in"):
        read_roofs(DATA / "delft_lod1_nosemantics.LICENSE.txt")
