"""Where slides begin: slopes of plain roofs, followed by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ropewright.field import edge_points
from ropewright.field.slide import slide_lines
from ropewright.roof.measured import roof_from_facets
from ropewright.roof.openings import OpeningSpec, with_openings
from ropewright.roof.outline import roof_from_outline

HOUSE = [(0, 0), (12, 0), (12, 8), (0, 8)]
PITCH = 35.0
RISE = math.tan(math.radians(PITCH))
#: Half a body's width: lines are drawn that far in as well.
IN = 0.3


def made(form="gable", **more):
    return roof_from_outline(HOUSE, form=form, pitches=[PITCH], eave_height=6, **more)


def top_of(roof, spacing=0.5):
    edges = edge_points(roof, spacing)
    lines = slide_lines(roof, edges)
    return edges, lines, lines.drop[:, -1], lines.run[:, -1]


def on(edges, name):
    return np.array([one == name for one in edges.edge_names])


def test_over_an_eave_of_a_gable_bodies_come_from_the_ridge():
    edges, _, drop, run = top_of(made())
    eave = on(edges, "south eave")
    assert drop[eave] == pytest.approx(4 * RISE, abs=1e-3)
    assert run[eave] == pytest.approx(4, abs=1e-3)


def test_over_a_rake_bodies_come_down_along_it():
    edges, _, drop, _ = top_of(made())
    rake = on(edges, "west rake (south side)")
    assert drop[rake] == pytest.approx((4 - edges.points[rake, 1]) * RISE, abs=1e-3)


def test_on_a_hip_roof_slides_end_at_the_hips():
    """At w along the eave from the corner the hip of equal pitches is w up the slope in plan."""
    edges, _, drop, _ = top_of(made("hip"))
    eave = np.flatnonzero(on(edges, "south eave"))
    w = np.minimum(edges.points[eave, 0], 12 - edges.points[eave, 0])
    assert (drop[eave] >= np.minimum(w, 4) * RISE - 1e-3).all()
    assert (drop[eave] <= np.minimum(w + 2 * IN, 4) * RISE + 1e-3).all()


@pytest.mark.parametrize(("form", "edge"), [("flat", "south eave"), ("shed", "north high eave")])
def test_nobody_slides_over_a_flat_edge_or_the_high_side_of_a_shed(form, edge):
    pitch = 0.0 if form == "flat" else 20.0
    more = {"high_side": 2} if form == "shed" else {}
    roof = roof_from_outline(HOUSE, form=form, pitches=[pitch], eave_height=6, **more)
    edges, _, drop, _ = top_of(roof)
    assert on(edges, edge).any(), edges.names
    assert drop[on(edges, edge)] == pytest.approx(0, abs=1e-3)


def two_slopes(upper, lower):
    """South slope in two pitches over x from 0 to 10: y from 0 to 2 at `lower`, from 2 to 5 at `upper`."""
    low, high = 2 * lower, 2 * lower + 3 * upper
    foot = np.array([[0.0, 0, 0], [10, 0, 0], [10, 2, low], [0, 2, low]])
    head = np.array([[0.0, 2, low], [10, 2, low], [10, 5, high], [0, 5, high]])
    return roof_from_facets([("foot", foot, ()), ("head", head, ())])


@pytest.mark.parametrize(("upper", "lower"), [(0.3, 1.2), (1.2, 0.3)], ids=["steeper below", "flatter below"])
def test_over_a_change_of_pitch_a_slide_goes_on(upper, lower):
    edges, lines, drop, run = top_of(two_slopes(upper, lower))
    eave = np.flatnonzero((edges.points[:, 1] == 0) & (edges.outward[:, 1] < -0.9))
    assert drop[eave] == pytest.approx(2 * lower + 3 * upper, abs=2e-3)
    assert run[eave] == pytest.approx(5, abs=2e-3)
    assert lines.across[eave].tolist() == [0.0] * len(eave)


def test_a_slide_begins_below_an_open_hole_and_ends_in_it():
    roof = with_openings(made(), [OpeningSpec("hatch", center=(6.0, 2.0), size=(2.0, 1.0))])
    edges, _, drop, _ = top_of(roof, 0.25)
    below = on(edges, "south eave") & (np.abs(edges.points[:, 0] - 6) < 0.2)
    beside = on(edges, "south eave") & (np.abs(edges.points[:, 0] - 2) < 0.2)
    assert drop[beside] == pytest.approx(4 * RISE, abs=1e-3)
    assert (drop[below] < 2 * RISE).all()
    rims = {name: drop[on(edges, name)].max() for name in edges.names if name.startswith("hatch")}
    assert max(rims.values()) > 1.4 * RISE  # over its upper rim
    assert min(rims.values()) < 2 * IN * RISE  # from below nobody slides up into it


def test_down_a_valley_bodies_come_from_the_other_slope():
    notched = [(0, 0), (12, 0), (12, 6), (6, 6), (6, 12), (0, 12)]
    roof = roof_from_outline(notched, form="hip", pitches=[PITCH], eave_height=3)
    edges, lines, *_ = top_of(roof)
    beside_valley = lines.across > 0
    names = {name for name, one in zip(edges.edge_names, beside_valley, strict=True) if one}
    assert len(names) == 2  # the two eaves that meet in the inner corner
    assert lines.steepest[beside_valley] == pytest.approx(RISE)
    assert lines.across.max() == pytest.approx(3 * RISE)


def test_a_roof_turned_about_gives_the_same_slides():
    turn = np.radians(33.0)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    turned = roof_from_outline(np.array(HOUSE) @ matrix.T, form="gable", pitches=[PITCH], eave_height=6)
    assert sorted(top_of(turned)[2]) == pytest.approx(sorted(top_of(made())[2]), abs=1e-3)
