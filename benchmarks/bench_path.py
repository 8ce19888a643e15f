"""Time of taut ropes from one anchor to 2,000 points, ours beside pygeodesic's exact surface geodesics, in one run.

Run: python benchmarks/bench_path.py

``roof`` is what belongs to the roof alone and is made once, ``walls`` the same where points below the roof are asked
for; ``anchor`` the search from one anchor; ``points`` the lengths to some 2,000 points on the roof, looked up on it
first; ``other`` the library, and ``ratio`` its time to that of anchor and points. ``worst``: anchor and points from the
slowest of eight places on the roof. ``apart``: greatest difference on convex roofs, where the rope runs on the surface;
``longer``: by how much a rope is longer than the surface's geodesic at most, which none may be; ``gain``: by how much
one is shorter at most. ``plain``: anchor and points in plain Python, as a single plan has it that compiles nothing.

pygeodesic takes corners of a mesh as targets, so its mesh has the points as corners and no others; it is asked for all
at once, which is the quickest it can be asked. What it does for the mesh alone is not counted. Processor time, best of
several runs: what else the machine does only ever adds.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from pygeodesic import geodesic
from scipy.spatial import Delaunay

from ropewright.roof import Roof, taut_compile, taut_reach
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.path import TautPaths
from ropewright.roof.solid import RoofSolid

#: What anchor and points together may take where no valley is crossed, and on other roofs. [s]
GOALS = {"convex": 0.010, "valleys": 0.100}
POINTS = 2_000

Floats = NDArray[np.float64]


def comb(wings: int) -> list[tuple[float, float]]:
    """A bar with wings of unlike length on one side."""
    ring = [(0.0, 0.0), (8.0 * wings, 0.0)]
    for k in range(wings):
        x, y = 8.0 * (wings - k), 12.0 + 1.5 * (k % 3)
        ring += [(x, y), (x - 5.0, y), (x - 5.0, 7.0), (x - 8.0, 7.0)]
    return [*ring[:-1], (0.0, 7.0)]


def oval(sides: int) -> list[tuple[float, float]]:
    """A convex outline of many sides."""
    angles = 2.0 * np.pi * np.arange(sides) / sides
    return [(float(14.0 * np.cos(a)), float(9.0 * np.sin(a))) for a in angles]


PLANS: dict[str, tuple[str, list[tuple[float, float]]]] = {
    "hip 12 m x 8 m": ("convex", [(0, 0), (12, 0), (12, 8), (0, 8)]),
    "oval of 60 sides": ("convex", oval(60)),
    "hip on an L": ("valleys", [(0, 0), (12, 0), (12, 7), (7, 7), (7, 13), (0, 13)]),
    "hip with 4 wings": ("valleys", comb(4)),
    "hip with 8 wings": ("valleys", comb(8)),
    "hip with 18 wings": ("valleys", comb(18)),
}


def best(work: Callable[[], object], budget: float = 3.0) -> float:
    """Shortest of several runs, in seconds of processor time."""
    times: list[float] = []
    while len(times) < 2 or (sum(times) < budget and len(times) < 15):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def on_facets(roof: Roof, count: int) -> tuple[Floats, NDArray[np.int64]]:
    """About `count` points on the roof as corners of triangles within its facets, and the triangles."""
    step = float(np.sqrt(sum(np.ptp(f.ring[:, 0]) * np.ptp(f.ring[:, 1]) for f in roof.facets) / count))
    for _ in range(5):
        points, faces = laid(roof, step)
        step *= float(np.sqrt(len(points) / count))
    return points, faces


def laid(roof: Roof, step: float) -> tuple[Floats, NDArray[np.int64]]:
    """Points on the roof about a step apart, and triangles between them."""
    meshes = [meshed(facet.ring, step) for facet in roof.facets]
    starts = np.cumsum([0] + [len(points) for points, _ in meshes])
    faces = np.vstack([faces + start for (_, faces), start in zip(meshes, starts, strict=False)])
    joined, back = np.unique(np.vstack([points for points, _ in meshes]).round(7), axis=0, return_inverse=True)
    faces = back.ravel()[faces]
    used, faces = np.unique(faces, return_inverse=True)
    return joined[used], faces.reshape(-1, 3)


def meshed(ring: Floats, step: float) -> tuple[Floats, NDArray[np.int64]]:
    """Triangles of one facet; neighbours lay the same points on a side, since it is walked from its lesser end."""
    rim = [side_points(a, b, step) for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True)]
    low, high = ring.min(axis=0), ring.max(axis=0)
    x, y = np.meshgrid(np.arange(low[0], high[0], step), np.arange(low[1], high[1], step))
    grid = np.column_stack([x.ravel(), y.ravel()])
    slope = np.linalg.lstsq(np.column_stack([ring[:, :2], np.ones(len(ring))]), ring[:, 2])[0]
    grid = grid[[_within(ring, point, 0.4 * step) for point in grid]]
    points = np.vstack([*rim, np.column_stack([grid, grid @ slope[:2] + slope[2]])])
    triangles = Delaunay(points[:, :2]).simplices
    a, b, c = points[triangles].transpose(1, 0, 2)
    broad = np.linalg.norm(np.cross(b - a, c - a), axis=1) > 1e-6
    inside = [_within(ring, point, 1e-7) for point in points[triangles, :2].mean(axis=1)]
    return points, triangles[broad & inside]


def side_points(a: Floats, b: Floats, step: float) -> Floats:
    """Points from a up to, not with, b."""
    turned = tuple(b) < tuple(a)
    low, high = (b, a) if turned else (a, b)
    points = np.linspace(low, high, int(np.linalg.norm(b - a) / step) + 2)
    return points[:0:-1] if turned else points[:-1]


def _within(ring: Floats, point: Floats, margin: float) -> bool:
    """True if a plan point lies inside a ring, at least `margin` from its sides."""
    inside, near = False, np.inf
    for (x1, y1), (x2, y2) in zip(ring[:, :2], np.roll(ring[:, :2], -1, axis=0), strict=True):
        if (y1 > point[1]) != (y2 > point[1]) and point[0] < (x2 - x1) * (point[1] - y1) / (y2 - y1) + x1:
            inside = not inside
        run = np.array([x2 - x1, y2 - y1])
        share = np.clip((point - (x1, y1)) @ run / (run @ run), 0.0, 1.0)
        near = min(near, float(np.hypot(*(point - (x1, y1) - share * run))))
    return inside and near >= margin


def spread(count: int, some: int) -> NDArray[np.int64]:
    """Some places among many, the same ones in each run."""
    return np.random.default_rng(1).choice(count, some, replace=False)


def lengths_in(part: dict[str, taut_compile.Code], solid: RoofSolid, anchor: Floats, points: Floats) -> Floats:
    """Search and ask with code of one kind."""
    kept = taut_reach.code_for
    try:
        taut_reach.code_for = lambda name, _: part[name]
        return TautPaths(solid, anchor).lengths(points)
    finally:
        taut_reach.code_for = kept


def row(name: str, kind: str, roof: Roof) -> str:
    """One line of the table."""
    points, faces = on_facets(roof, POINTS)
    source = int(np.argmax(points[:, 2]))

    def make(lowest: float) -> RoofSolid:
        solid = RoofSolid(roof)
        solid.taut_table(lowest)
        return solid

    solid = make(np.inf)
    points = solid.outside(points, "points[{}]")  # rounded, they lie up to 1e-7 m inside
    paths = TautPaths(solid, points[source])
    exact = geodesic.PyGeodesicAlgorithmExact(points, faces)
    surface = exact.geodesicDistances(np.array([source]), None)[0]
    more = paths.lengths(points) - surface
    plain = dict.fromkeys(("search", "answer"), taut_compile.plain())
    is_small = len(roof.facets) < 30
    times = [
        best(lambda: make(np.inf)),
        best(lambda: make(solid.lowest - 1.0)),
        best(lambda: TautPaths(solid, points[source]).lengths(points[:0])),
        best(lambda: paths.lengths(points)),
        GOALS[kind],
        best(lambda: exact.geodesicDistances(np.array([source]), None)),
        best(lambda: lengths_in(plain, solid, points[source], points)) if is_small else np.nan,
        max(best(lambda k=k: TautPaths(solid, points[k]).lengths(points), 0.3) for k in spread(len(points), 8)),
    ]
    cells = "".join(f"{1e3 * cell:>9.1f}" for cell in times)
    errors = f"{np.abs(more).max():>10.1e}" if kind == "convex" else f"{'-':>10}"
    errors += f"{max(0.0, more.max()):>10.1e}{max(0.0, -more.min()):>8.2f}"
    return f"{name:<18}{len(roof.facets):>7}{len(points):>7}{cells}{times[5] / (times[2] + times[3]):>8.1f}{errors}"


def main() -> None:
    for part in ("search", "answer"):
        start = time.process_time()
        taut_compile.compiled(part)
        print(f"{part}: compiled or loaded in {time.process_time() - start:.2f} s")
    heads = "".join(f"{head:>9}" for head in ("roof", "walls", "anchor", "points", "goal", "other", "plain", "worst"))
    print(f"{'[ms]':<18}{'facets':>7}{'points':>7}{heads}{'ratio':>8}{'apart':>10}{'longer':>10}{'gain':>8}")
    for name, (kind, plan) in PLANS.items():
        roof = roof_from_outline(plan, form="hip", pitches=[35], eave_height=3.0, overhang=0.4)
        print(row(name, kind, roof), flush=True)


if __name__ == "__main__":
    main()
