"""Roofs of several parts, on plans and heights small enough to work out by hand."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from ropewright.errors import RoofError
from ropewright.roof.facets import facet_area
from ropewright.roof.height import plan_outline, roof_height
from ropewright.roof.openings import OpeningSpec, with_openings
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.surface import Edge, EdgeType, Roof
from ropewright.roof.union import union_of_roofs

Ring = list[tuple[float, float]]


def rectangle(x: float, y: float, wide: float, deep: float) -> Ring:
    return [(x, y), (x + wide, y), (x + wide, y + deep), (x, y + deep)]


def part(x: float, y: float, wide: float, deep: float, **given: Any) -> Roof:
    return roof_from_outline(
        rectangle(x, y, wide, deep), **({"form": "gable", "pitches": [45], "eave_height": 3.0} | given)
    )


def by_name(roof: Roof) -> dict[str, Edge]:
    return {edge.name: edge for edge in roof.edges}


def ends(edge: Edge) -> list[list[float]]:
    return sorted([edge.start.round(9).tolist(), edge.end.round(9).tolist()])


HOUSE = part(0, 0, 12, 8, eave_height=5.0)


def test_one_part_alone_stays_as_it_is() -> None:
    for roof in (HOUSE, part(0, 0, 6, 9, form="hip"), part(0, 0, 6, 9, form="flat", pitches=[0])):
        same = union_of_roofs([("", roof)])
        assert {(e.name, e.type, *map(tuple, ends(e))) for e in same.edges} == {
            (e.name, e.type, *map(tuple, ends(e))) for e in roof.edges
        }
        assert [facet.id for facet in same.facets] == [facet.id for facet in roof.facets]


def test_lower_wing_ends_at_the_wall_of_the_higher_part() -> None:
    """A lean-to 4 m deep that rises 1 in 4 from 3 m ends at 4 m, a metre below the eave of the house."""
    lean_to = part(2, -4, 6, 4, form="shed", pitches=[math.degrees(math.atan(0.25))], high_side=2)
    roof = union_of_roofs([("", HOUSE), ("lean-to", lean_to)])
    edges = by_name(roof)
    wall = edges["south wall"]
    assert wall.type is EdgeType.WALL
    assert ends(wall) == [[2, 0, 4], [8, 0, 4]]
    assert wall.facets == ("lean-to south",)
    assert ends(edges["south eave"]) == [[0, 0, 5], [12, 0, 5]]  # whole, whatever lies below it
    assert edges["lean-to east rake"].type is EdgeType.RAKE
    assert "lean-to north high eave" not in edges


def test_wing_under_the_main_slope_meets_it_in_two_valleys() -> None:
    """A wing 4 m wide with its eaves at the same height: its ridge, 2 m up, runs 2 m into the slope."""
    roof = union_of_roofs([("", HOUSE), ("wing", part(4, -5, 4, 10, eave_height=5.0, gable_sides=[0, 2]))])
    edges = by_name(roof)
    valleys = [edge for edge in roof.edges if edge.type is EdgeType.VALLEY]
    assert sorted(map(ends, valleys)) == [[[4, 0, 5], [6, 2, 7]], [[6, 2, 7], [8, 0, 5]]]
    assert ends(edges["wing ridge"]) == [[6, -5, 7], [6, 2, 7]]
    assert [edge.name for edge in roof.edges if edge.type is EdgeType.WALL] == []
    assert ends(edges["south eave 1"]) == [[0, 0, 5], [4, 0, 5]]


def test_slopes_of_two_parts_in_one_plane_are_one_facet() -> None:
    """The longer house: two gables end to end at one height."""
    roof = union_of_roofs([("", HOUSE), ("annex", part(12, 0, 5, 8, eave_height=5.0, gable_sides=[1, 3]))])
    assert [facet.id for facet in roof.facets] == ["south", "north"]
    assert by_name(roof)["main ridge"].length == pytest.approx(17)


def test_a_step_under_5_cm_is_no_edge_to_fall_over() -> None:
    """2 in (5.1 cm) is the least dimension of a hole in 29 CFR 1926.500(b)."""
    low = part(0, 0, 4, 4, form="flat", pitches=[0])
    for step, kinds in ((0.04, {EdgeType.BREAK}), (0.06, {EdgeType.EAVE, EdgeType.WALL})):
        high = part(4, 0, 4, 4, form="flat", pitches=[0], eave_height=3.0 + step)
        roof = union_of_roofs([("", low), ("high", high)])
        assert {e.type for e in roof.edges if e.start[0] == e.end[0] == 4} == kinds


def test_parts_whose_heights_cross_along_their_seam_step_both_ways() -> None:
    """A shed that rises from 3 m to 7 m along the flank of a flat roof of 5 m crosses it half way."""
    shed = part(0, 0, 4, 4, form="shed", pitches=[45], high_side=1)
    roof = union_of_roofs([("", shed), ("flat", part(0, 4, 4, 4, form="flat", pitches=[0], eave_height=5.0))])
    walls = {edge.facets[0]: ends(edge) for edge in roof.edges if edge.type is EdgeType.WALL}
    assert walls == {"west": [[0, 4, 3], [2, 4, 5]], "flat flat": [[2, 4, 5], [4, 4, 5]]}
    rake = next(edge for edge in roof.edges if edge.facets == ("west",) and edge.start[1] == edge.end[1] == 4)
    assert rake.type is EdgeType.WALL or rake.type is EdgeType.RAKE


def test_four_wings_enclose_a_courtyard() -> None:
    sides = ((0, 0, 12, 3), (0, 9, 12, 3), (0, 0, 3, 12), (9, 0, 3, 12))
    wings = [(f"wing {i}", part(*side, form="flat", pitches=[0])) for i, side in enumerate(sides)]
    roof = union_of_roofs(wings)
    (facet,) = roof.facets
    (hole,) = facet.holes
    assert sorted(map(tuple, hole[:, :2].tolist())) == [(3, 3), (3, 9), (9, 3), (9, 9)]
    assert facet_area(facet) == pytest.approx(144 - 36)
    assert len([edge for edge in roof.boundary if edge.length == pytest.approx(6)]) == 4
    assert roof.walls is not None
    assert [len(ring) for ring in roof.inner_walls] == [4]
    assert [len(ring) for ring in plan_outline(roof)] == [4, 4]


def test_cross_plan_of_two_gables_has_four_valleys_to_its_middle() -> None:
    one = part(-9, -3, 18, 6, gable_sides=[1, 3])
    other = part(-3, -9, 6, 18, gable_sides=[0, 2])
    roof = union_of_roofs([("", one), ("cross", other)])
    valleys = [edge for edge in roof.edges if edge.type is EdgeType.VALLEY]
    assert len(valleys) == 4
    assert all(edge.length == pytest.approx(3 * math.sqrt(3)) for edge in valleys)
    assert all([0, 0, 6] in ends(edge) for edge in valleys)
    assert sum(map(facet_area, roof.facets)) == pytest.approx((4 * 36 + 36) * math.sqrt(2))


def test_a_part_hidden_under_another_is_not_seen() -> None:
    roof = union_of_roofs([("", HOUSE), ("cellar", part(2, 2, 3, 3, eave_height=1.0, form="hip"))])
    assert [facet.id for facet in roof.facets] == ["south", "north"]


def test_parts_apart_from_each_other_are_two_buildings() -> None:
    roof = union_of_roofs([("", HOUSE), ("shed", part(20, 0, 3, 3, form="flat", pitches=[0]))])
    assert len(plan_outline(roof)) == 2
    assert len(roof.inner_walls) == 1


def test_coordinates_of_a_map_cost_no_digits() -> None:
    far = [(x + 4.5e5, y + 5.8e6) for x, y in rectangle(0, 0, 12, 8)]
    house = roof_from_outline(far, form="gable", pitches=[45], eave_height=5.0)
    wing = part(4.5e5 + 4, 5.8e6 - 5, 4, 10, eave_height=4.0, gable_sides=[0, 2])
    roof = union_of_roofs([("", house), ("wing", wing)])
    assert float(roof_height(roof, [[4.5e5 + 6, 5.8e6 - 2]])[0]) == pytest.approx(6, abs=1e-6)


def test_notes_of_a_wing_carry_its_name() -> None:
    clockwise = roof_from_outline(rectangle(12, 0, 3, 3)[::-1], form="flat", pitches=[0], eave_height=3.0)
    roof = union_of_roofs([("", HOUSE), ("garage", clockwise)])
    assert "garage: the outline was given clockwise; its sides keep their numbers" in roof.notes


def test_volume_under_a_house_with_a_wing_by_hand() -> None:
    """House: 12 x 8 x 5 and a prism 8 wide, 4 high, 12 long. Beyond its wall: 4 x 5 x 5 and a prism 4 wide, 2 high.

    Above the slope the wing adds a pyramid: its base the gable of 4 x 2 / 2 at the wall, its tip 2 m behind.
    """
    roof = union_of_roofs([("", HOUSE), ("wing", part(4, -5, 4, 10, eave_height=5.0, gable_sides=[0, 2]))])
    step = 0.02
    xs, ys = np.arange(step / 2, 12, step), np.arange(-5 + step / 2, 8, step)
    xy = np.array([(x, y) for y in ys for x in xs])
    volume = float(np.nansum(roof_height(roof, xy))) * step * step
    by_hand = 12 * 8 * 5 + 8 * 4 / 2 * 12 + 4 * 5 * 5 + 4 * 2 / 2 * 5 + 4 * 2 / 2 * 2 / 3
    assert volume == pytest.approx(by_hand, rel=1e-4)


@pytest.mark.parametrize(
    ("parts", "field"),
    [
        ([("", HOUSE), ("", HOUSE)], r"parts[1].name"),
        ([("a", HOUSE), ("a", HOUSE)], r"parts[1].name"),
        ([("", with_openings(HOUSE, [OpeningSpec("light", (3, 2), (1, 1))]))], "parts[0]"),
    ],
    ids=["nameless wing", "one name twice", "openings"],
)
def test_parts_that_can_not_be_told_apart_are_refused(parts: list[tuple[str, Roof]], field: str) -> None:
    with pytest.raises(RoofError) as caught:
        union_of_roofs(parts)
    assert caught.value.field == field
