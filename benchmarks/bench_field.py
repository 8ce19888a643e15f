"""Time of the deterministic fall field of a hip roof of 12 m x 8 m, 4 anchors, places on the edges 0.1 m apart.

Run: python benchmarks/bench_field.py

For each anchor: taut ropes to the D-ring at every stance above and depth below every place, who gets there, where each
fall begins and comes taut, and where the body comes to hang. ``anew``: anchors just moved, as while one is dragged, so
that each is searched from again; ``kept``: searched before. Processor time, best and middle of several runs.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

import numpy as np

from ropewright.field.edges import EdgePoints, edge_points
from ropewright.field.hang import hang_heights, roll
from ropewright.field.reach import fall_geometry, rope_over
from ropewright.roof import taut_compile
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.path import TautPaths
from ropewright.roof.solid import RoofSolid

GOAL = 0.050  # [s]
D_RING, LINE = 1.4, 7.0  # [m]


def times(work: Callable[[], object], runs: int = 25) -> tuple[float, float]:
    """Best and middle time, in seconds of processor time."""
    spent = []
    for _ in range(runs):
        start = time.process_time()
        work()
        spent.append(time.process_time() - start)
    return min(spent), statistics.median(spent)


def fall_field(edges: EdgePoints, paths: list[TautPaths]) -> None:
    """Falls over every place on the edges, from every anchor."""
    length = np.full(len(edges.points), LINE)
    for path in paths:
        over = rope_over(path, edges.points, D_RING, reach=LINE)
        fall_geometry(over, length)
        roll(edges, hang_heights(edges.points[:, 2], over.to_edge), over.to_edge, length)


def main() -> None:
    for part in ("search", "answer"):
        taut_compile.compiled(part)
    plan = [(0, 0), (12, 0), (12, 8), (0, 8)]
    roof = roof_from_outline(plan, form="hip", pitches=[35], eave_height=3.0, overhang=0.4)
    edges, solid = edge_points(roof, 0.1), RoofSolid(roof)
    anchors = np.array([(4.0, 4.0, 7.0), (8.0, 4.0, 7.0), (2.5, 2.5, 5.2), (9.5, 5.5, 5.2)])
    anchors[:, 2] = solid.heights(anchors[:, :2])

    def searched() -> list[TautPaths]:
        return [TautPaths(solid, anchor) for anchor in anchors]

    kept = searched()
    parts = {
        "searches": searched,
        "ropes": lambda: [rope_over(path, edges.points, D_RING, reach=LINE) for path in kept],
        "field, kept": lambda: fall_field(edges, kept),
        "field, anew": lambda: fall_field(edges, searched()),
    }
    print(f"{len(edges.points)} places on the edges, {len(anchors)} anchors; goal {1e3 * GOAL:.0f} ms")
    for name, work in parts.items():
        best, middle = times(work)
        print(f"{name:<14}{1e3 * best:>8.1f} ms best{1e3 * middle:>8.1f} ms middle")


if __name__ == "__main__":
    main()
