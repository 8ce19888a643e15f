"""Openings laid onto a roof: where they come to lie, their fall edges, and what is refused."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from ropewright.errors import RoofError
from ropewright.roof.facets import facet_plane, ring_area
from ropewright.roof.height import facet_at, plan_outline
from ropewright.roof.openings import OpeningSpec, with_openings
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.surface import EdgeType, Roof

ROOF = roof_from_outline([(0, 0), (10, 0), (10, 6), (0, 6)], form="gable", pitches=[60], eave_height=3)
FLAT = roof_from_outline([(0, 0), (10, 0), (10, 6), (0, 6)], form="flat", pitches=[0], eave_height=3)
C_SHAPE = [(2, 0.5), (5, 0.5), (5, 1), (2.5, 1), (2.5, 2), (5, 2), (5, 2.5), (2, 2.5)]


def opened(roof: Roof = ROOF, name: str = "skylight", **given: Any) -> Roof:
    return with_openings(roof, [OpeningSpec(name, **given)])


def test_size_is_what_a_tape_gives_along_the_eave_and_up_the_slope() -> None:
    """At 60 degrees 1.2 m up the slope is 0.6 m in plan."""
    (opening,) = opened(center=(5, 1.5), size=(0.8, 1.2)).openings
    sides = np.linalg.norm(np.roll(opening.ring, -1, axis=0) - opening.ring, axis=1)
    assert sides.tolist() == pytest.approx([0.8, 1.2, 0.8, 1.2])
    assert np.ptp(opening.ring[:, 0]) == pytest.approx(0.8)
    assert np.ptp(opening.ring[:, 1]) == pytest.approx(0.6)
    assert opening.ring[:, :2].mean(axis=0).tolist() == pytest.approx([5, 1.5])


@pytest.mark.parametrize(("center", "facet"), [((5, 1.5), "south"), ((5, 4.5), "north")])
def test_opening_lies_on_the_facet_under_its_middle(center: tuple[float, float], facet: str) -> None:
    (opening,) = opened(center=center, size=(1, 1)).openings
    assert opening.facet == facet
    a, b, c = facet_plane(ROOF.by_id[facet])
    np.testing.assert_allclose(opening.ring[:, :2] @ [a, b] + c, opening.ring[:, 2], atol=1e-12)


@pytest.mark.parametrize("outline", [[(4, 1), (6, 1), (5, 2)], [(5, 2), (6, 1), (4, 1)]], ids=["left", "right"])
def test_outline_in_plan_is_put_up_onto_the_slope(outline: list[tuple[float, float]]) -> None:
    (opening,) = opened(outline=outline).openings
    assert ring_area(opening.ring) == pytest.approx(1.0 / math.cos(math.radians(60)))
    x, y, _ = opening.ring.T
    assert x @ np.roll(y, -1) - np.roll(x, -1) @ y > 0  # counterclockwise


def test_opening_that_bends_round_its_centroid_is_laid_by_its_rim() -> None:
    (opening,) = opened(outline=C_SHAPE).openings
    assert opening.facet == "south"
    assert len(opening.ring) == 8


@pytest.mark.parametrize("roof", [ROOF, FLAT], ids=["sloping", "level"])
def test_rim_has_the_roof_on_its_left_and_is_named_by_the_side_it_lies_on(roof: Roof) -> None:
    opened_roof = opened(roof, center=(5, 1.5), size=(1, 1))
    rim = {edge.name: edge for edge in opened_roof.edges if edge.type is EdgeType.OPENING}
    assert set(rim) == {f"skylight rim {side}" for side in ("north", "east", "south", "west")}
    for edge in rim.values():
        run = (edge.end - edge.start)[:2]
        middle = (edge.start + edge.end)[:2] / 2
        left = middle + 0.01 * np.array([-run[1], run[0]]) / np.hypot(*run)
        assert np.linalg.norm(left - [5, 1.5]) > np.linalg.norm(middle - [5, 1.5])
        assert edge.facets == (opened_roof.openings[0].facet,)
        assert edge.type.is_boundary
    south = rim["skylight rim south"]
    assert max(south.start[1], south.end[1]) < 1.5


def test_rim_edges_close() -> None:
    rim = [edge for edge in opened(outline=C_SHAPE).edges if edge.type is EdgeType.OPENING]
    starts = sorted(tuple(edge.start.round(9)) for edge in rim)
    assert starts == sorted(tuple(edge.end.round(9)) for edge in rim)
    assert len({edge.name for edge in rim}) == len(rim) == 8


def test_guard_and_cover_are_carried_over() -> None:
    (opening,) = opened(center=(5, 1), size=(1, 1), guard="cover", cover_capacity=2e3, cover_fixed=True).openings
    assert (opening.guard, opening.cover_capacity, opening.cover_fixed, opening.cover_marked) == (
        "cover",
        2e3,
        True,
        None,
    )


def test_rest_of_the_roof_is_unchanged() -> None:
    roof = opened(center=(5, 1.5), size=(1, 1))
    assert roof.facets is ROOF.facets
    assert roof.edges[: len(ROOF.edges)] == ROOF.edges
    assert facet_at(roof, [(5, 1.5)]).tolist() == [0]
    assert len(plan_outline(roof)) == 1


def test_openings_can_be_laid_one_after_the_other() -> None:
    roof = opened(opened(center=(3, 1.5), size=(1, 1)), "hatch", center=(7, 1.5), size=(1, 1))
    assert [opening.name for opening in roof.openings] == ["skylight", "hatch"]
    assert sum(edge.type is EdgeType.OPENING for edge in roof.edges) == 8


def test_opening_along_the_edge_of_its_facet_is_taken() -> None:
    (opening,) = opened(FLAT, outline=[(0, 0), (1, 0), (1, 6), (0, 6)]).openings
    assert ring_area(opening.ring) == pytest.approx(6)


def test_no_openings_leave_the_roof_as_it_is() -> None:
    assert with_openings(ROOF, []).edges == ROOF.edges


BOX = {"center": (5.0, 1.5), "size": (1.0, 1.0)}
REFUSED: dict[str, tuple[dict[str, Any], str, str]] = {
    "beside the roof": (BOX | {"center": (5, -2)}, "openings[0].center", "none under it"),
    "across the ridge": (BOX | {"center": (5, 2.9)}, "openings[0].center", "leaves the facet 'south' near"),
    "across the eave": (BOX | {"center": (5, 0.1)}, "openings[0].center", "leaves the facet 'south'"),
    "outline across the ridge": ({"outline": [(4, 1), (6, 1), (5, 3.5)]}, "openings[0].outline", "leaves the facet"),
    "without size": ({"center": (5, 1)}, "openings[0]", "its center and its size"),
    "with both": (BOX | {"outline": [(4, 1), (6, 1), (5, 2)]}, "openings[0]", "or its outline"),
    "without extent": (BOX | {"size": (0, 1)}, "openings[0].size", "above 0"),
    "not a number": (BOX | {"size": (math.nan, 1)}, "openings[0].size", "two lengths|2 lengths"),
    "words": (BOX | {"center": ("a", "b")}, "openings[0].center", "give lengths"),
    "two corners": ({"outline": [(4, 1), (6, 1)]}, "openings[0].outline", "three corners"),
    "corner twice": ({"outline": [(4, 1), (6, 1), (6, 1), (5, 2)]}, "openings[0].outline", "each corner once"),
    "crossing": ({"outline": [(4, 1), (6, 2), (6, 1), (4, 2)]}, "openings[0].outline", "cross near (5, 1.5)"),
    "no area": ({"outline": [(4, 1), (6, 1), (5, 1 + 1e-8)]}, "openings[0].outline", "no area"),
    "unknown guard": (BOX | {"guard": "rope"}, "openings[0].guard", "none, cover, guardrail"),
    "no name": (BOX | {"name": ""}, "openings[0].name", "a name of its own"),
}


@pytest.mark.parametrize(("given", "field", "text"), REFUSED.values(), ids=REFUSED)
def test_impossible_opening_is_refused_with_its_place(given: dict[str, Any], field: str, text: str) -> None:
    with pytest.raises(RoofError) as caught:
        opened(**given)
    assert caught.value.field == field
    assert any(part in str(caught.value) for part in text.split("|"))


def test_opening_in_a_hole_of_the_roof_is_refused() -> None:
    court = roof_from_outline(
        [(0, 0), (10, 0), (10, 6), (0, 6)],
        form="flat",
        pitches=[0],
        eave_height=3,
        holes=[[(4, 2), (6, 2), (6, 4), (4, 4)]],
    )
    with pytest.raises(RoofError, match="none under it"):
        opened(court, center=(5, 3), size=(1, 1))
    with pytest.raises(RoofError, match="leaves the facet"):
        opened(court, outline=[(0.5, 0.5), (6.5, 0.5), (6.5, 5), (0.5, 5)])
    with pytest.raises(RoofError, match="leaves the facet"):
        opened(court, center=(3.8, 3), size=(1, 1))


@pytest.mark.parametrize(
    ("center", "size"),
    [((5.5, 1.5), (1, 1)), ((5, 1.5), (0.5, 0.5)), ((5, 1.5), (2, 2))],
    ids=["across", "inside", "around"],
)
def test_openings_that_meet_are_refused(center: tuple[float, float], size: tuple[float, float]) -> None:
    specs = [OpeningSpec("one", **BOX), OpeningSpec("two", center=center, size=size)]  # type: ignore[arg-type]
    with pytest.raises(RoofError, match="'two', which meets 'one'"):
        with_openings(ROOF, specs)


def test_second_opening_of_one_name_is_refused() -> None:
    with pytest.raises(RoofError, match=r"openings\[1\].name"):
        with_openings(ROOF, [OpeningSpec("one", **BOX), OpeningSpec("one", center=(8, 1.5), size=(1, 1))])  # type: ignore[arg-type]
