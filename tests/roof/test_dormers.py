"""Dormers by trigonometry, on a gable house of 12 m x 8 m whose slopes rise 1 in 1 from 5 m at the south wall.

A dormer whose front stands 1 m in from the wall, on 6 m, with an eave 1 m above that: the slope is as high as the eave
1 m behind the front, and as high as a ridge 2 m behind it if the dormer is 2 m wide and 45 degrees steep.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from ropewright.errors import RoofError
from ropewright.roof.dormers import DormerSpec, with_dormers
from ropewright.roof.facets import facet_area
from ropewright.roof.height import plan_outline, roof_height
from ropewright.roof.openings import OpeningSpec, with_openings
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.surface import Edge, EdgeType, Roof

RECTANGLE = [(0, 0), (12, 0), (12, 8), (0, 8)]


def house(**given: Any) -> Roof:
    return roof_from_outline(RECTANGLE, **({"form": "gable", "pitches": [45], "eave_height": 5.0} | given))


def dormer(**given: Any) -> DormerSpec:
    told = {"name": "dormer", "at": (5.0, 1.0), "width": 2.0, "front_height": 1.0, "kind": "gable", "pitch": 45.0}
    return DormerSpec(**(told | given))


def made(**given: Any) -> Roof:
    return with_dormers(house(), [dormer(**given)])


def by_name(roof: Roof) -> dict[str, Edge]:
    return {edge.name: edge for edge in roof.edges}


def ends(edge: Edge) -> list[list[float]]:
    return sorted([edge.start.round(9).tolist(), edge.end.round(9).tolist()])


def test_gable_dormer_by_trigonometry() -> None:
    roof = made()
    edges = by_name(roof)
    assert ends(edges["dormer east eave"]) == [[6, 1, 7], [6, 2, 7]]
    assert ends(edges["dormer ridge"]) == [[5, 1, 8], [5, 3, 8]]
    assert ends(edges["dormer south-east valley"]) == [[5, 3, 8], [6, 2, 7]]
    assert edges["dormer south rake (east side)"].length == pytest.approx(math.sqrt(2))
    assert ends(edges["dormer east wall"]) == [[6, 1, 6], [6, 2, 7]]  # foot of the cheek
    assert ends(edges["dormer south wall"]) == [[4, 1, 6], [6, 1, 6]]  # foot of the front
    assert facet_area(roof.by_id["dormer east"]) == pytest.approx(1.5 * math.sqrt(2))
    assert facet_area(roof.by_id["south"]) == pytest.approx((12 * 4 - 3) * math.sqrt(2))
    assert len(roof.by_id["south"].holes) == 1


@pytest.mark.parametrize(("main", "own"), [(35.0, 40.0), (50.0, 20.0), (30.0, 30.0)])
def test_ridge_and_valley_of_a_gable_dormer_from_its_pitches(main: float, own: float) -> None:
    """Ridge w/2 tan(own) over the eave; it meets the slope (height + that) / tan(main) behind the front."""
    roof = with_dormers(house(pitches=[main]), [dormer(pitch=own, front_height=0.6)])
    top = 1.0 * math.tan(math.radians(own))
    depth, cheek = ((0.6 + extra) / math.tan(math.radians(main)) for extra in (top, 0.0))
    edges = by_name(roof)
    assert edges["dormer ridge"].length == pytest.approx(depth)
    assert edges["dormer west eave"].length == pytest.approx(cheek)
    valleys = [edge.length for edge in roof.edges if edge.type is EdgeType.VALLEY]
    assert valleys == pytest.approx([math.hypot(1.0, depth - cheek, top)] * 2)


def test_shed_dormer_by_trigonometry() -> None:
    """Rising 1 in 2 from 7 m it meets the slope, 1 in 1 from 6 m, 2 m behind the front, at 8 m."""
    edges = by_name(made(kind="shed", pitch=math.degrees(math.atan(0.5))))
    assert ends(edges["dormer south eave"]) == [[4, 1, 7], [6, 1, 7]]
    assert ends(edges["dormer break"]) == [[4, 3, 8], [6, 3, 8]]
    assert edges["dormer east rake"].length == pytest.approx(2 * math.sqrt(1.25))
    assert edges["dormer east wall"].length == pytest.approx(2 * math.sqrt(2))


def test_flat_dormer_has_eaves_on_three_sides() -> None:
    roof = made(kind="flat")
    assert {edge.name for edge in roof.boundary if edge.name.startswith("dormer")} == {
        "dormer south eave",
        "dormer east eave",
        "dormer west eave",
    }
    assert facet_area(roof.by_id["dormer flat"]) == pytest.approx(2.0)


def test_hip_dormer_has_its_eave_in_front() -> None:
    edges = by_name(made(kind="hip"))
    assert edges["dormer south eave"].length == pytest.approx(2)
    assert edges["dormer south-west hip"].length == pytest.approx(math.sqrt(3))
    assert ends(edges["dormer ridge"]) == [[5, 2, 8], [5, 3, 8]]


def test_overhang_of_a_dormer_stands_over_front_and_cheeks() -> None:
    edges = by_name(made(kind="flat", overhang=0.3))
    assert ends(edges["dormer south eave"]) == [[3.7, 0.7, 7], [6.3, 0.7, 7]]


def test_dormer_looks_down_the_slope_it_stands_in() -> None:
    """A hip roof: on its east slope, 2 m in from the wall, a dormer looks east."""
    roof = with_dormers(house(form="hip"), [dormer(at=(10.5, 4.0), width=1.0)])
    assert ends(by_name(roof)["dormer ridge"]) == [[9, 4, 8], [10.5, 4, 8]]
    assert "dormer east rake (north side)" in by_name(roof)


def test_dormer_in_the_wall_below_breaks_the_eave() -> None:
    roof = with_dormers(house(), [dormer(at=(5.0, 0.0))])
    edges = by_name(roof)
    assert {edge.type for edge in roof.edges if edge.name.startswith("south eave")} == {EdgeType.EAVE}
    assert [ends(edges[f"south eave {i}"]) for i in (1, 2)] == [[[0, 0, 5], [4, 0, 5]], [[6, 0, 5], [12, 0, 5]]]
    assert "dormer south wall" not in edges  # the wall goes on down to the ground
    (ring,) = plan_outline(roof)
    assert len(ring) == 4


def test_two_dormers_and_a_skylight_share_a_slope() -> None:
    specs = [dormer(), dormer(name="other", at=(9.0, 1.0))]
    roof = with_openings(with_dormers(house(), specs), [OpeningSpec("light", (7.0, 2.5), (0.6, 0.8))])
    assert len(roof.by_id["south"].holes) == 2
    assert roof.openings[0].facet == "south"
    assert float(roof_height(roof, [[9.0, 1.5]])[0]) == pytest.approx(8)


def test_opening_on_a_dormer_lies_on_its_facet() -> None:
    roof = with_openings(made(kind="flat"), [OpeningSpec("light", (5.0, 1.5), (0.5, 0.5))])
    assert roof.openings[0].facet == "dormer flat"
    assert roof.openings[0].ring[:, 2] == pytest.approx(7)


def test_opening_across_the_foot_of_a_dormer_is_refused() -> None:
    with pytest.raises(RoofError, match="leaves the facet 'south'"):
        with_openings(made(), [OpeningSpec("light", (6.3, 1.5), (1.0, 0.5))])


REFUSED: dict[str, tuple[dict[str, Any], str, str]] = {
    "through the ridge": ({"front_height": 2.5}, "at", r"'dormer', whose ridge would end over north at \(5, 4.501\) m"),
    "beside the roof": ({"at": (5.0, -1.0)}, "at", "there is none under it"),
    "past the rake": ({"at": (11.5, 1.0)}, "at", "right cheek would end over nothing"),
    "steeper than the slope": ({"kind": "shed", "pitch": 50.0}, "pitch", "less pitch than the slope"),
    "no width": ({"width": 0.0}, "width", "above 0"),
    "no front": ({"front_height": -1.0}, "front_height", "above 0"),
    "no pitch": ({"pitch": 0.0}, "pitch", "above 0"),
    "negative overhang": ({"overhang": -0.1}, "overhang", "0 or more"),
    "unknown kind": ({"kind": "eyebrow"}, "kind", "gable, hip, shed, flat"),
    "nameless": ({"name": ""}, "name", "a name of its own"),
}


@pytest.mark.parametrize(("given", "field", "text"), REFUSED.values(), ids=REFUSED)
def test_dormer_that_can_not_stand_there_is_refused(given: dict[str, Any], field: str, text: str) -> None:
    with pytest.raises(RoofError, match=text) as caught:
        made(**given)
    assert caught.value.field == f"dormers[0].{field}"


def test_dormer_on_a_flat_roof_is_refused() -> None:
    with pytest.raises(RoofError, match="give what stands on a flat roof as a wing"):
        with_dormers(house(form="flat", pitches=[0]), [dormer()])


def test_no_dormers_leave_the_roof_alone() -> None:
    roof = house()
    assert with_dormers(roof, []) is roof
    assert np.isfinite(roof_height(roof, [[5, 1]])).all()
