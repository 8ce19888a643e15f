"""What the search for taut ropes leaves out changes no rope, and what it calls clear is so."""

from __future__ import annotations

import numpy as np
import pytest
from path_roofs import ROOFS

from ropewright.errors import RoofError
from ropewright.roof import taut_rows as r
from ropewright.roof import taut_table
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.path import TautPaths
from ropewright.roof.solid import RoofSolid
from ropewright.roof.taut_sift import lay
from ropewright.roof.taut_table import table_of


def wings(count: int) -> list[tuple[float, float]]:
    """A bar with wings of one length on one side, whose ridges stand at one height."""
    ring = [(0.0, 0.0), (8.0 * count, 0.0)]
    for k in range(count):
        x = 8.0 * (count - k)
        ring += [(x, 12.0), (x - 5.0, 12.0), (x - 5.0, 7.0), (x - 8.0, 7.0)]
    return [*ring[:-1], (0.0, 7.0)]


SOLIDS = {name: RoofSolid(make()) for name, make in ROOFS.items()}
SOLIDS["wings"] = RoofSolid(roof_from_outline(wings(4), form="hip", pitches=[35], eave_height=3.0, overhang=0.4))


def on_roof(solid: RoofSolid, count: int) -> np.ndarray:
    """Points on a roof."""
    low, high = solid.mesh.corners.min(axis=0), solid.mesh.corners.max(axis=0)
    xy = np.random.default_rng(4).uniform(low[:2], high[:2], (count, 2))
    points = np.column_stack([xy, solid.heights(xy)])
    return points[np.isfinite(points[:, 2])]


@pytest.mark.parametrize("name", sorted(SOLIDS))
def test_what_lies_below_the_roof_matters_to_no_rope_over_it(name: str) -> None:
    """Eaves and walls are left out until a lower point is asked for; the ropes over the roof stay as long."""
    solid = SOLIDS[name]
    points = on_roof(solid, 60)
    above, below = TautPaths(solid, points[0]), TautPaths(solid, points[0])
    lower = np.array([[*(solid.mesh.corners.min(axis=0)[:2] - 1.0), solid.lowest - 3.0]])
    lengths = below.lengths(np.vstack([points, lower]))
    assert above.lengths(points) == pytest.approx(lengths[:-1], abs=1e-12)
    assert above.lengths(lower) == pytest.approx(lengths[-1:], abs=1e-12)


@pytest.mark.parametrize("name", ["courtyard", "dormer", "wings"])
def test_a_rope_is_as_long_whichever_others_are_asked_for_with_it(name: str) -> None:
    solid = SOLIDS[name]
    points = on_roof(solid, 60)
    paths = TautPaths(solid, points[0])
    alone = [float(paths.lengths(point[None])[0]) for point in points]
    assert paths.lengths(points) == pytest.approx(alone, abs=1e-12)
    assert paths.lengths(points[::-1]) == pytest.approx(alone[::-1], abs=1e-12)


@pytest.mark.parametrize("name", sorted(SOLIDS))
def test_all_paths_by_a_window_called_clear_stay_outside(name: str) -> None:
    solid = SOLIDS[name]
    points = on_roof(solid, 20)
    paths = TautPaths(solid, points[0])
    paths.lengths(points - (0.0, 0.0, 0.005))  # below the eaves where points are there
    found, random = paths._reach_to(solid.lowest - 1.0), np.random.default_rng(1)
    d, n = found.d, found.n
    legs: list[np.ndarray] = []
    for w in range(n[r.WINDOWS], n[r.NEXT], r.WINDOW_ROW):
        if d[w + r.IS_OPEN] > 0.0 and np.isfinite(d[w + r.KEY]):
            count = lay(d, n, w, random.uniform(d[w + r.LOW], d[w + r.HIGH]), n[r.LAID])
            way = d[n[r.LAID] : n[r.LAID] + 3 * (count + 1)].reshape(-1, 3).copy()
            legs += [np.stack([way[:-1], way[1:]])]
    starts, ends = np.concatenate(legs, axis=1)
    assert solid.is_clear(starts, ends).all()


def test_ridges_at_one_height_are_ways_once_not_in_every_choice() -> None:
    """A rope along eight wings touches any of their ridges; each choice of them was a way of its own."""
    solid = RoofSolid(roof_from_outline(wings(8), form="hip", pitches=[35], eave_height=3.0))
    points = on_roof(solid, 40)
    paths = TautPaths(solid, points[np.argmin(points[:, 0])])
    paths.lengths(points)
    found = paths._reach_to(solid.lowest)
    assert (found.n[r.NEXT] - found.n[r.WINDOWS]) // r.WINDOW_ROW < 1000


def test_more_edges_than_ropes_are_followed_round_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(taut_table, "MOST_EDGES", 4)
    with pytest.raises(RoofError, match="4 convex edges at most"):
        table_of(SOLIDS["hip"], 2.0)
