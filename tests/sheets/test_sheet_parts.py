"""Scales, label places, zones, elements and files that sheets are built from."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.findings import Verdict
from ropewright.job.assessment import Assessment, Zone, ZoneField
from ropewright.quantity import UnitSystem
from ropewright.roof import Facet
from ropewright.sheets import svg
from ropewright.sheets.canvas import wrapped
from ropewright.sheets.labels import Label, Labels, box_at, text_width
from ropewright.sheets.look import VERDICT_LOOKS
from ropewright.sheets.map_frame import scale_bar
from ropewright.sheets.map_slopes import facet_slope
from ropewright.sheets.paper import _SCALES, Plan, Scale, extent_on_paper, fitting_scale
from ropewright.sheets.writing import write_bytes_atomic, write_text_atomic
from ropewright.sheets.zones import zone_areas, zone_shapes


@settings(deadline=None, max_examples=60)
@given(
    width=st.floats(0.5, 3000),
    depth=st.floats(0.5, 3000),
    units=st.sampled_from(UnitSystem),
)
def test_what_is_drawn_fits_its_room(width: float, depth: float, units: UnitSystem) -> None:
    box = np.array([[0.0, 0.0], [width, depth]])
    scale = fitting_scale([(box, 17.0)], (189.0, 150.0), units)
    low, high = extent_on_paper([(box, 17.0)], scale.ratio)
    assert (high - low <= np.array([189.0, 150.0]) + 1e-6).all()


def test_margins_without_room_are_refused() -> None:
    with pytest.raises(ValueError, match="no room"):
        fitting_scale([(np.zeros((2, 2)), 17.0)], (30.0, 150.0), UnitSystem.METRIC)


@pytest.mark.parametrize("units", UnitSystem)
def test_scales_are_in_order_and_their_bars_fit_the_title_block(units: UnitSystem) -> None:
    ratios = [scale.ratio for scale in _SCALES[units]]
    assert ratios == sorted(ratios)
    for scale in _SCALES[units]:
        assert 20.0 <= scale.paper(scale.bar) <= 42.0
        assert scale.bar / scale.bar_step == pytest.approx(round(scale.bar / scale.bar_step))
        assert scale_bar(scale, units, np.zeros(2)).count("<rect") == round(scale.bar / scale.bar_step)


def test_eighth_of_an_inch_to_the_foot_is_1_to_96() -> None:
    house = np.array([[0.0, 0.0], [12.2, 8.5]])
    scale = fitting_scale([(house, 17.0)], (192.0, 170.0), UnitSystem.US)
    assert scale.text == '1/8" = 1\'-0" (1:96)'


def test_plan_keeps_up_up() -> None:
    plan = Plan(Scale(100, "1:100", 5, 1), (0.0, 0.0), (50.0, 50.0))
    assert plan.place(np.array([[1.0, 1.0, 9.0]])) == pytest.approx(np.array([[60.0, 40.0]]))


def test_label_takes_the_first_free_place() -> None:
    labels = Labels((0, 0, 100, 100))
    labels.block(box_at(np.array([50.0, 50.0]), 30, 10))
    places = [Label("eave", np.array(at), 4.0, dislike=rank) for rank, at in enumerate([(50.0, 50.0), (50.0, 70.0)])]
    label = labels.put(places)
    assert label is not None
    assert label.middle.tolist() == [50.0, 70.0]


def test_label_that_would_hide_another_is_left_off() -> None:
    labels = Labels((0, 0, 100, 100))
    place = Label("eave", np.array([50.0, 50.0]), 4.0)
    assert labels.put([place]) is not None
    assert labels.put([place], at_most=50) is None


def test_turned_boxes_that_only_share_their_bounds_do_not_clash() -> None:
    labels = Labels((0, 0, 100, 100))
    labels.block(box_at(np.array([40.0, 40.0]), 40, 2, 45.0))
    assert labels.cost(box_at(np.array([52.0, 28.0]), 4, 4)) == 0.0
    assert labels.cost(box_at(np.array([40.0, 40.0]), 4, 4)) > 0.0


def test_wrapped_text_stays_within_its_width() -> None:
    lines = wrapped("a job with an uncommonly long name that nobody could fit into a title block", 40.0, 5.0, 2)
    assert len(lines) == 2
    assert all(text_width(line, 5.0) <= 40.0 for line in lines)
    assert lines[-1].endswith("…")


def test_one_endless_word_is_cut() -> None:
    assert wrapped("x" * 300, 40.0, 5.0, 2)[0].endswith("…")


def test_slope_arrow_points_downhill() -> None:
    south = Facet("south", np.array([[0.0, 0, 0], [10, 0, 0], [10, 3, 2], [0, 3, 2]]))
    pitch, downslope = facet_slope(south)
    assert pitch == pytest.approx(math.degrees(math.atan(2 / 3)))
    assert downslope == pytest.approx(np.array([0.0, -1.0]))


def test_level_facet_has_no_downslope() -> None:
    flat = Facet("flat", np.array([[0.0, 0, 3], [10, 0, 3], [10, 3, 3]]))
    assert facet_slope(flat)[0] == pytest.approx(0.0)
    assert not facet_slope(flat)[1].any()


def test_worse_verdicts_are_darker() -> None:
    def luminance(colour: str) -> float:
        r, g, b = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    order = [Verdict.HOLDS, Verdict.DOUBTFUL, Verdict.ASK, Verdict.FAILS]
    shades = [luminance(VERDICT_LOOKS[verdict].colour) for verdict in order]
    assert all(lighter - darker > 25 for lighter, darker in pairwise(shades))


def test_zone_areas_add_up_to_the_grid(assessment: Assessment) -> None:
    field = assessment.zones[0]
    assert sum(zone_areas(field).values()) == pytest.approx(len(field.points) * field.step**2)


def shoelace(ring: np.ndarray) -> float:
    x, y = ring.T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)


def test_zone_shapes_hold_the_worst_of_the_workers() -> None:
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(10.0), np.arange(10.0)))
    points = np.column_stack([x, y, 0 * x])
    caught = ZoneField("a", "1", points, 1.0, tuple(Zone.CAUGHT for _ in points))
    partly = ZoneField("b", "2", points, 1.0, tuple(Zone.NOT_HELD if i < 5 else Zone.RESTRAINED for i in x))
    shapes = zone_shapes([caught, partly])
    assert set(shapes) == {Zone.CAUGHT, Zone.NOT_HELD}
    # half of the grid of 10 by 10 grown by one square all round, and by two where the row outside takes the worse of
    # its neighbours; corners are cut by an eighth of a square, and there are four more of them outward than inward
    assert sum(shoelace(ring) for ring in shapes[Zone.NOT_HELD]) == pytest.approx(6 * 12 + 2 - 4 / 8)


def test_zone_with_a_hole_keeps_it() -> None:
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(9.0), np.arange(9.0)))
    inner = (abs(x - 4) < 2) & (abs(y - 4) < 2)
    points = np.column_stack([x, y, 0 * x])
    field = ZoneField("a", "1", points, 1.0, tuple(Zone.RESTRAINED if i else Zone.CAUGHT for i in inner))
    shapes = zone_shapes([field])
    assert len(shapes[Zone.CAUGHT]) == 2
    assert sum(shoelace(ring) for ring in shapes[Zone.CAUGHT]) == pytest.approx(121 - 9)


def test_no_zones_give_no_shapes() -> None:
    assert zone_shapes([]) == {}


def test_drawing_refuses_what_is_no_number() -> None:
    with pytest.raises(ValueError, match="nan"):
        svg.line((0, math.nan), (1, 1))


@pytest.mark.parametrize("value", [0.1 + 0.2, -0.0000001, 1e6, 12.3456])
def test_numbers_are_short_and_plain(value: float) -> None:
    drawn = svg.tag("g", x=value)
    assert "e" not in drawn.split('"')[1]
    assert float(drawn.split('"')[1]) == pytest.approx(value, abs=5e-4)


def test_file_is_replaced_whole(tmp_path: Path) -> None:
    target = tmp_path / "plan.pdf"
    target.write_bytes(b"old")
    assert write_bytes_atomic(target, b"new") == target
    assert target.read_bytes() == b"new"
    assert list(tmp_path.iterdir()) == [target]


def test_failed_write_leaves_the_old_file(tmp_path: Path) -> None:
    target = tmp_path / "plan.pdf"
    target.mkdir()  # a folder of that name can't be replaced
    with pytest.raises(OSError, match=r"plan\.pdf"):
        write_text_atomic(target, "new")
    assert list(tmp_path.iterdir()) == [target]
