"""Time of roofs of several parts, ours beside the same overlay by shapely, in one run.

Run: python benchmarks/bench_union.py

``union`` is the whole of `union_of_roofs`: facets, typed and named edges, walls, proof. ``overlay`` lets shapely cut
each facet by the half-planes in which others lie above it: the facets alone, without an edge. ``off`` is how far the
volumes of the two differ. Processor time, best of several runs.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable

import numpy as np
from bench_skeleton import comb
from shapely import Polygon

from ropewright.roof.dormers import DormerSpec, dormer_roof
from ropewright.roof.facets import facet_plane
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.surface import Roof
from ropewright.roof.union import union_of_roofs

Parts = list[tuple[str, Roof]]

#: What the roof over 40 corners may take, with wings and dormers too. [s]
GOAL = 0.020


def rectangle(x: float, y: float, wide: float, deep: float) -> list[tuple[float, float]]:
    return [(x, y), (x + wide, y), (x + wide, y + deep), (x, y + deep)]


def house() -> Roof:
    return roof_from_outline(
        rectangle(0, 0, 14, 8), form="gable", pitches=[40], eave_height=5.0, overhang=0.4, gable_sides=[1, 3]
    )


def wing(x: float) -> Roof:
    return roof_from_outline(
        rectangle(x, -6, 4, 7), form="gable", pitches=[40], eave_height=3.0, overhang=0.3, gable_sides=[0, 2]
    )


def with_dormers(parts: Parts, count: int, first: float = 1.5) -> Parts:
    base = union_of_roofs(parts)
    specs = [DormerSpec(f"dormer {i}", (first + 2.5 * i, 0.4), 1.4, 1.0, "gable", 40.0) for i in range(count)]
    return [*parts, *((spec.name, dormer_roof(base, spec)) for spec in specs)]


def cases() -> dict[str, Parts]:
    long = roof_from_outline(comb(9), form="hip", pitches=[40], eave_height=5.0)
    return {
        "house and wing": [("", house()), ("wing", wing(3.0))],
        "house, 1 dormer": with_dormers([("", house())], 1),
        "house, 5 dormers": with_dormers([("", house())], 5),
        "house, wing, 3 dormers": with_dormers([("", house()), ("wing", wing(10.0))], 3),
        "38 corners, 3 wings": [("", long), *((f"wing {i}", wing(4.0 + 9.0 * i)) for i in range(3))],
        "38 corners, 5 dormers": with_dormers([("", long)], 5, 5.0),
    }


def overlay(parts: Parts) -> float:
    """Volume under the highest of all facets, cut by shapely."""
    facets = [facet for _, roof in parts for facet in roof.facets]
    planes = [np.array(facet_plane(facet)) for facet in facets]
    plans = [Polygon(facet.ring[:, :2], [hole[:, :2] for hole in facet.holes]) for facet in facets]
    total = 0.0
    for i, left in enumerate(plans):
        for j, other in enumerate(plans):
            if i != j and left.intersects(other):
                left = left.difference(other.intersection(above(planes[j] - planes[i])))
        total += moment(left, planes[i])
    return total


def above(plane: np.ndarray, reach: float = 500.0) -> Polygon:
    a, b, c = plane
    size = math.hypot(a, b)
    if size < 1e-9:
        return Polygon(rectangle(-reach, -reach, 2 * reach, 2 * reach)) if c > 1e-9 else Polygon()
    way, normal = np.array([-b, a]) / size, np.array([a, b]) / size
    foot = -c / size * normal
    return Polygon([foot + s * reach * way + t * reach * normal for s, t in ((-1, 0), (1, 0), (1, 1), (-1, 1))])


def moment(plan: Polygon, plane: np.ndarray) -> float:
    return plan.area * float(plane @ [*plan.centroid.coords[0], 1.0]) if plan.area else 0.0


def volume(roof: Roof) -> float:
    plans = [Polygon(facet.ring[:, :2], [hole[:, :2] for hole in facet.holes]) for facet in roof.facets]
    return sum(moment(plan, np.array(facet_plane(f))) for plan, f in zip(plans, roof.facets, strict=True))


def best(work: Callable[[], object], runs: int = 9) -> float:
    """Shortest of several runs, in seconds of processor time."""
    times = []
    for _ in range(runs):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def main() -> int:
    print(f"{'parts':24} {'facets':>7} {'edges':>6} {'union':>9} {'overlay':>9}   [ms] {'off':>9} [m3]")
    slow = False
    for name, parts in cases().items():
        roof = union_of_roofs(parts)
        ours, theirs = best(lambda p=parts: union_of_roofs(p)), best(lambda p=parts: overlay(p))
        off = abs(volume(roof) - overlay(parts))
        counts = f"{len(roof.facets):7d} {len(roof.edges):6d}"
        print(f"{name:24} {counts} {ours * 1e3:9.2f} {theirs * 1e3:9.2f}        {off:9.1e}")
        slow = slow or ours > GOAL
    print(f"goal: each under {GOAL * 1e3:.0f} ms: {'missed' if slow else 'met'}")
    return 1 if slow else 0


if __name__ == "__main__":
    sys.exit(main())
