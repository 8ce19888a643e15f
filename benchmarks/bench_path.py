"""Time of taut ropes from one anchor to 2,000 points, ours beside pygeodesic's exact surface geodesics, in one run.

Run: python benchmarks/bench_path.py

``roof`` is what belongs to the roof alone and is made once; ``anchor`` the search from one anchor; ``points`` the
lengths to some 2,000 points on the roof. pygeodesic takes corners of a mesh as targets, so its mesh has the points as
corners; what it does for the mesh alone is not counted. Processor time, best of several runs: what else the machine
does only ever adds.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from pygeodesic import geodesic
from scipy.spatial import Delaunay

from ropewright.errors import RoofError
from ropewright.roof import Roof
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


PLANS: dict[str, tuple[str, list[tuple[float, float]]]] = {
    "hip 12 m x 8 m": ("convex", [(0, 0), (12, 0), (12, 8), (0, 8)]),
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
    area = sum(np.ptp(f.ring[:, 0]) * np.ptp(f.ring[:, 1]) for f in roof.facets)
    meshes = [meshed(facet.ring, float(np.sqrt(0.6 * area / count))) for facet in roof.facets]
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


def row(name: str, kind: str, roof: Roof) -> str:
    """One line of the table."""
    points, faces = on_facets(roof, POINTS)
    source = int(np.argmax(points[:, 2]))

    def make() -> RoofSolid:
        solid = RoofSolid(roof)
        assert len(solid.links.next) == len(solid.links.low)
        assert solid.is_clear
        assert len(solid.marks)
        return solid

    solid = make()
    paths = TautPaths(solid, points[source])
    exact = geodesic.PyGeodesicAlgorithmExact(points, faces)
    surface = exact.geodesicDistances(np.array([source]), None)[0]
    longer = float((paths.lengths(points) - surface).max())
    assert longer < 1e-6, f"{name}: longer than on the surface by {longer} m"
    times = [
        best(make),
        best(lambda: TautPaths(solid, points[source])),
        best(lambda: paths.lengths(points)),
        GOALS[kind],
        best(lambda: exact.geodesicDistances(np.array([source]), None)),
    ]
    cells = "".join(f"{1e3 * cell:>9.1f}" for cell in times)
    return f"{name:<20}{len(roof.facets):>7}{len(points):>8}{cells}{times[4] / (times[1] + times[2]):>9.1f}"


def main() -> None:
    heads = ("roof", "anchor", "points", "goal", "other", "ratio")
    print(f"{'[ms]':<20}{'facets':>7}{'points':>8}" + "".join(f"{head:>9}" for head in heads))
    for name, (kind, plan) in PLANS.items():
        roof = roof_from_outline(plan, form="hip", pitches=[35], eave_height=3.0, overhang=0.4)
        try:
            print(row(name, kind, roof))
        except RoofError as error:
            print(f"{name:<20}{len(roof.facets):>7}  refused: {error}")


if __name__ == "__main__":
    main()
