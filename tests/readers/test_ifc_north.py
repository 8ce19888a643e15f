"""The north of an IFC model, on models that ifcopenshell makes.

IFC4, IfcGeometricRepresentationContext.TrueNorth: direction of true north in the x-y plane of the model's coordinates;
IfcMapConversion: direction of the model's x axis, easting then northing. (Both from memory.)
"""

import json
import math

import ifcopenshell
import ifcopenshell.api.aggregate
import ifcopenshell.api.context
import ifcopenshell.api.project
import ifcopenshell.api.root
import ifcopenshell.api.spatial
import ifcopenshell.api.unit
import ifcopenshell.guid
import numpy as np
import pytest
from click.testing import CliRunner

from ropewright.cli.main import main
from ropewright.readers import ifc, ifc_model, read_roofs

#: A slope over 8 m by 4 m that falls along the model's own -y, at 45 deg.
CORNERS = [(0.0, 0.0, 3.0), (8.0, 0.0, 3.0), (8.0, 4.0, 7.0), (0.0, 4.0, 7.0)]


def model(true_north=None, conversion=None, plan_north=None):
    """Text of a model of one roof slab."""
    made = ifcopenshell.api.project.create_file(version="IFC4")
    project = ifcopenshell.api.root.create_entity(made, ifc_class="IfcProject", name="invented")
    ifcopenshell.api.unit.assign_unit(made, length={"is_metric": True, "raw": "METERS"})
    plan = ifcopenshell.api.context.add_context(made, context_type="Plan")
    shapes = ifcopenshell.api.context.add_context(made, context_type="Model")
    for context, direction in ((plan, plan_north), (shapes, true_north)):
        if direction is not None:
            context.TrueNorth = made.createIfcDirection([float(one) for one in direction])
    if conversion is not None:
        system = made.createIfcProjectedCRS("invented")
        east, north = conversion
        made.createIfcMapConversion(shapes, system, 0.0, 0.0, 0.0, east, north, 1.0)
    building = ifcopenshell.api.root.create_entity(made, ifc_class="IfcBuilding", name="house")
    ifcopenshell.api.aggregate.assign_object(made, products=[building], relating_object=project)
    slab = ifcopenshell.api.root.create_entity(made, ifc_class="IfcSlab", name="slope", predefined_type="ROOF")
    ifcopenshell.api.spatial.assign_container(made, products=[slab], relating_structure=building)
    thick = [(x, y, z - 0.2) for x, y, z in CORNERS]
    points = made.createIfcCartesianPointList3D(CORNERS + thick)
    quads = [(1, 2, 3, 4), (8, 7, 6, 5), (1, 5, 6, 2), (2, 6, 7, 3), (3, 7, 8, 4), (4, 8, 5, 1)]
    triangles = [one for a, b, c, d in quads for one in ((a, b, c), (a, c, d))]
    body = made.createIfcTriangulatedFaceSet(points, None, True, triangles)
    shape = made.createIfcShapeRepresentation(shapes, "Body", "Tessellation", [body])
    slab.Representation = made.createIfcProductDefinitionShape(None, None, [shape])
    return made.to_string()


@pytest.fixture
def azimuth(tmp_path, monkeypatch):
    """Azimuth of the one slope of a model as the command tells it, and the notes."""
    monkeypatch.setattr(ifc, "_model", lambda path: ifc_model.model_of(path.read_text(encoding="utf-8")))

    def reading(**told):
        path = tmp_path / "house.ifc"
        path.write_text(model(**told), encoding="utf-8")
        done = CliRunner().invoke(main, ["roof", str(path), "--json"])
        assert done.exit_code == 0, done.output
        [building] = json.loads(done.stdout)["buildings"]
        [facet] = building["facets"]
        return facet["azimuth_deg"], " ".join(building["notes"])

    return reading


@pytest.mark.parametrize("turn", [0.0, 30.0, 135.0, -60.0, 180.0])
def test_azimuths_count_from_true_north(azimuth, turn):
    """North `turn` clockwise from +y: the slope falls along -y, 180 deg from +y, 180 - turn from north."""
    found, notes = azimuth(true_north=(math.sin(math.radians(turn)), math.cos(math.radians(turn))))
    assert (found - (180.0 - turn) + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=1e-3)
    assert "true north" in notes


def test_without_a_north_the_models_own_y_is_taken_and_said(azimuth):
    found, notes = azimuth()
    assert found == pytest.approx(180.0)
    assert "tells no north" in notes


def test_a_map_conversion_goes_before_true_north(azimuth):
    """The model's x axis runs to the north on the map: its +y runs west, and the slope falls to the east."""
    found, notes = azimuth(true_north=(0.6, 0.8), conversion=(0.0, 1.0))
    assert found == pytest.approx(90.0)
    assert "map conversion" in notes


def test_the_north_of_the_shapes_counts_not_that_of_a_plan(azimuth):
    assert azimuth(true_north=(1.0, 0.0), plan_north=(-1.0, 0.0))[0] == pytest.approx(90.0)


def test_a_north_of_no_direction_is_none(azimuth):
    assert azimuth(true_north=(0.0, 0.0))[0] == pytest.approx(180.0)


def test_coordinates_stay_the_models_own_and_the_bearing_is_told(azimuth, tmp_path):
    azimuth(true_north=(0.5, math.sqrt(0.75)))
    [building] = read_roofs(tmp_path / "house.ifc")
    assert building.north == pytest.approx(330.0)
    assert np.abs(building.roof.facets[0].ring.min(axis=0) - [0.0, 0.0, 3.0]).max() < 1e-6
    assert any("the bearing of its own +y is 330 deg" in note for note in building.notes)
