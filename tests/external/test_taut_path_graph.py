"""Taut ropes against the shortest way found by brute force (`taut_oracle`), on roofs with valleys, steps and shafts.

The graph's ways are never shorter than the true one but for the touch it allows. Laid densely round the best way they
come within some 1e-5 m of it, save where the first, coarse round chose a neighbouring way.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from taut_oracle import height, shortest_way, stays_outside

from ropewright.roof import Facet, Opening, Roof
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.path import TautPaths

Corners = list[tuple[float, float, float]]


def facet(name: str, corners: Corners, *holes: Corners) -> Facet:
    return Facet(name, np.array(corners, float), tuple(np.array(hole, float) for hole in holes))


def ell() -> Roof:
    plan = [(0, 0), (12, 0), (12, 7), (7, 7), (7, 13), (0, 13)]
    return roof_from_outline(plan, form="hip", pitches=[30, 40, 45, 35, 30, 50], eave_height=3.0, overhang=0.3)


def cross() -> Roof:
    plan = [(4, 0), (8, 0), (8, 4), (12, 4), (12, 8), (8, 8), (8, 12), (4, 12), (4, 8), (0, 8), (0, 4), (4, 4)]
    return roof_from_outline(plan, form="gable", pitches=[45], eave_height=3.0, overhang=0.2)


def step() -> Roof:
    high = facet("high", [(0, 0, 6), (6, 0, 6), (6, 6, 6), (0, 6, 6)])
    return Roof((high, facet("low", [(6, -1, 3), (12, -1, 3), (12, 7, 3), (6, 7, 3)])), ())


def crossed() -> Roof:
    one = facet("one", [(0, 0, 3), (6, 0, 3), (6, 8, 6), (0, 8, 6)])
    return Roof((one, facet("other", [(6, 0, 6), (12, 0, 6), (12, 8, 3), (6, 8, 3)])), ())


def dormer() -> Roof:
    hole = [(4.0, 1.5, 4.2), (4.0, 3.0, 5.4), (5.0, 4.0, 6.2), (6.0, 3.0, 5.4), (6.0, 1.5, 4.2)]
    return Roof(
        (
            facet("south", [(0, 0, 3), (10, 0, 3), (10, 5, 7), (0, 5, 7)], hole),
            facet("north", [(0, 5, 7), (10, 5, 7), (10, 10, 3), (0, 10, 3)]),
            facet("west of dormer", [(4, 1.5, 5.4), (5, 1.5, 6.2), (5, 4, 6.2), (4, 3, 5.4)]),
            facet("east of dormer", [(5, 1.5, 6.2), (6, 1.5, 5.4), (6, 3, 5.4), (5, 4, 6.2)]),
        ),
        (),
    )


def overlaid() -> Roof:
    """The same dormer laid over a slope that is not cut: its roof goes on below the slope, as city models have it."""
    return Roof(
        (
            facet("south", [(0, 0, 3), (10, 0, 3), (10, 5, 7), (0, 5, 7)]),
            facet("north", [(0, 5, 7), (10, 5, 7), (10, 10, 3), (0, 10, 3)]),
            facet("west of dormer", [(4, 1.5, 5.4), (5, 1.5, 6.2), (5, 4.6, 6.2), (4, 4.6, 5.4)]),
            facet("east of dormer", [(5, 1.5, 6.2), (6, 1.5, 5.4), (6, 4.6, 5.4), (5, 4.6, 6.2)]),
        ),
        (),
    )


def skylight() -> Roof:
    roof = roof_from_outline([(0, 0), (10, 0), (10, 8), (0, 8)], form="gable", pitches=[45], eave_height=3.0)
    ring = np.array([(4.0, 1.0, 4.0), (6.0, 1.0, 4.0), (6.0, 2.5, 5.5), (4.0, 2.5, 5.5)])
    return Roof(roof.facets, roof.edges, (Opening("skylight", roof.facets[0].id, ring),))


@pytest.mark.parametrize(
    ("make", "spacing"),
    [(ell, 1.6), (cross, 1.6), (step, 1.0), (crossed, 1.0), (dormer, 1.3), (overlaid, 0.8), (skylight, 1.0)],
)
def test_ropes_are_as_long_as_the_shortest_way_of_a_fine_graph(make: Callable[[], Roof], spacing: float) -> None:
    roof, random = make(), np.random.default_rng(11)
    corners = np.vstack([f.ring for f in roof.facets])[:, :2]
    low, high = corners.min(axis=0), corners.max(axis=0)
    xy = random.uniform(low, high, (40, 2))
    anchor = np.column_stack([xy, height(roof, xy)])[np.isfinite(height(roof, xy))][0]
    xy = random.uniform(low - 1.0, high + 1.0, (5, 2))
    top = height(roof, xy)
    goals = np.column_stack([xy, np.where(np.isfinite(top), top, random.uniform(0.0, 4.0, 5))])
    paths = TautPaths(roof, anchor)
    lengths = paths.lengths(goals)
    found = np.array([shortest_way(roof, anchor, goal, spacing) for goal in goals])
    assert (lengths <= found + 5e-5).all()
    assert (found - lengths < 1e-4).sum() >= 4
    assert lengths == pytest.approx(found, abs=2e-2)
    for goal in goals:
        points = paths.path(goal).points
        assert stays_outside(roof, points[:-1], points[1:]).all()


def test_over_a_valley_the_rope_leaves_the_roof() -> None:
    """From slope to slope over the valley of an L at 45 degrees: level through the air, where the roof dips.

    Worked here: z = 10 - y on the long wing's north slope and z = 10 - x on the short wing's east slope; both points
    are 1.5 m up, level with each other.
    """
    plan = [(0, 0), (12, 0), (12, 7), (7, 7), (7, 13), (0, 13)]
    roof = roof_from_outline(plan, form="hip", pitches=[45], eave_height=3.0)
    anchor, goal = np.array([8.5, 5.5, 4.5]), np.array([5.5, 8.5, 4.5])
    path = TautPaths(roof, anchor).path(goal)
    assert path.length == pytest.approx(np.hypot(3.0, 3.0), abs=1e-12)
    assert path.edges == ()
    # on the surface the way goes over the valley at (7 - d, 7 - d): by symmetry its foot on the valley is half way
    d = np.linspace(0.0, 3.0, 30_001)
    over_valley = 2.0 * np.sqrt((1.5 + d) ** 2 + (d - 1.5) ** 2 + (d - 1.5) ** 2)
    assert path.length < over_valley.min() - 0.1


def test_a_dormer_laid_over_a_slope_is_the_same_solid_as_one_let_into_it() -> None:
    """What lies below the slope changes no rope; ropes about the dormer agree with the graph on both."""
    random = np.random.default_rng(5)
    xy = random.uniform((2.5, 0.5), (7.5, 6.0), (30, 2))
    laid, let_in = overlaid(), dormer()
    points = np.column_stack([xy, height(laid, xy)])
    for anchor in points[:4]:
        assert TautPaths(laid, anchor).lengths(points) == pytest.approx(
            TautPaths(let_in, anchor).lengths(points), abs=1e-9
        )
