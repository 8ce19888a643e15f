"""The roof's surface in convex pieces, each the top of a prism that goes down without end."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.roof.convex import convex_pieces
from ropewright.roof.mesh import RoofMesh, Side
from ropewright.roof.steps import ON_LINE, Step

__all__ = ["GIVE", "Pieces", "pieces_of"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Depth inside the solid that still counts as touching it. [m]
GIVE = 1e-7
#: How far a piece reaches past a seam with its neighbour, so that nothing slips through between them. [m]
_SEAM = 1e-9
#: More than pieces reach past their boxes. [m]
_LET_OUT = 1e-6
#: Cells of the grid that tells which pieces are near, about, to each piece.
_CELLS = 8
#: Half the width of a strip that closes the joint where a roof meets a higher one. [m]
_STRIP = 1e-6
#: How far a strip lies below the line it closes, so that its level top does not stand out of a sharp ridge. [m]
_SUNK = 1e-5


@dataclass(frozen=True)
class _Grid:
    """Cells of one size in plan, counted along x and y; those of cell k are ``pieces[first[k] : first[k + 1]]``."""

    low: Floats
    size: Floats
    count: Ints
    first: Ints
    pieces: Ints


@dataclass(frozen=True)
class Pieces:
    """Convex plan polygons with a plane each; the solid is the union of the prisms below them.

    Parameters
    ----------
    planes : array, shape (p, 3)
        ``z = planes[i] @ (x, y, 1)``.
    first : array of int, shape (p + 1,)
        Piece i has the half-planes ``first[i]`` to ``first[i + 1]``.
    halves : array, shape (h, 3)
        ``halves[k] @ (x, y, 1) > 0`` inside, in metres from the side; pulled in by `GIVE` at walls.
    boxes : array, shape (p, 5)
        Least x, greatest x, least y, greatest y, greatest z. [m]
    facets : array of int, shape (p,)
        Facet of the mesh; -1 for a strip over a joint.
    give : float
        Depth that counts as touching: `GIVE`, and twice the roughness of the facets. [m]
    """

    planes: Floats
    first: Ints
    halves: Floats
    boxes: Floats
    facets: Ints
    give: float

    def hidden(self, start: Floats, along: Floats, *, reach: float, depth: float) -> list[tuple[float, float]]:
        """Stretches of the segment from `start` to ``start + along`` that lie deeper than `depth` in the solid.

        Parameters
        ----------
        start, along : array, shape (3,)
            [m]
        reach : float
            How far the pieces are let out sideways before. [m]
        depth : float
            [m]

        Returns
        -------
        list of (float, float)
            As shares of the segment, apart from each other and in order.
        """
        sides, tops = self.halves, self.planes  # all at once: one piece after another took five times as long
        low, high = _positive(sides[:, :2] @ start[:2] + sides[:, 2] + reach, sides[:, :2] @ along[:2])
        deep = tops[:, :2] @ start[:2] + tops[:, 2] - start[2] - depth
        from_, to = _positive(deep, tops[:, :2] @ along[:2] - along[2])
        from_ = np.maximum(np.maximum.reduceat(low, self.first[:-1]), from_)
        to = np.minimum(np.minimum.reduceat(high, self.first[:-1]), to)
        is_hidden = to > from_
        return _merged([*zip(from_[is_hidden].tolist(), to[is_hidden].tolist(), strict=True)])

    def heights(self, xy: Floats, margin: float = 0.0) -> Floats:
        """Height of the surface at plan points, shape (n, 2), at least `margin` inside a piece; -inf beside it. [m]"""
        heights = np.full(len(xy), -np.inf)
        # all points at once with the pieces near them: one piece after another took thirty times as long
        of, piece = self._near(xy) if margin >= 0.0 else np.indices((len(xy), len(self.planes))).reshape(2, -1)
        px, py = xy[of, 0], xy[of, 1]
        within = np.ones(len(of), dtype=bool)
        for a, b, c in self._even[:, :, piece]:
            within &= a * px + b * py + c > margin
        a, b, c = self.planes[piece[within]].T
        np.maximum.at(heights, of[within], a * px[within] + b * py[within] + c)
        return heights

    def beside(self, xy: Floats, reach: float) -> tuple[Ints, Ints]:
        """Pairs of plan points, shape (n, 2), and pieces no further from them than a reach, point by point. [m]"""
        x, y = xy[:, 0, None], xy[:, 1, None]
        x0, x1, y0, y1, _ = self.boxes.T
        out = reach + _LET_OUT
        of, piece = np.nonzero((x >= x0 - out) & (x <= x1 + out) & (y >= y0 - out) & (y <= y1 + out))
        within = np.ones(len(of), dtype=bool)
        for a, b, c in self._even[:, :, piece]:
            within &= a * xy[of, 0] + b * xy[of, 1] + c > -reach
        return of[within], piece[within]

    def _near(self, xy: Floats) -> tuple[Ints, Ints]:
        """Pairs of plan points and pieces whose boxes may hold them."""
        grid = self._grid
        x, y = ((xy - grid.low) / grid.size).T
        of = np.flatnonzero((x >= 0.0) & (y >= 0.0) & (x < grid.count[0]) & (y < grid.count[1]))
        cell = x[of].astype(np.int64) * grid.count[1] + y[of].astype(np.int64)
        many = grid.first[cell + 1] - grid.first[cell]
        ends = np.cumsum(many)
        place = np.arange(many.sum()) + np.repeat(grid.first[cell] - ends + many, many)
        return np.repeat(of, many), grid.pieces[place]

    @cached_property
    def _grid(self) -> _Grid:
        """Which pieces' boxes reach into which cell of a grid in plan."""
        x0, x1, y0, y1, _ = self.boxes.T
        low = np.array([x0.min(), y0.min()]) - _LET_OUT
        high = np.array([x1.max(), y1.max()]) + _LET_OUT
        size = np.maximum((high - low) / np.ceil(np.sqrt(_CELLS * len(self.planes))), 1e-3)
        count = np.ceil((high - low) / size + 1e-9).astype(np.int64)
        first, last = (
            (np.column_stack([x, y]) + out - low) / size for x, y, out in ((x0, y0, -_LET_OUT), (x1, y1, _LET_OUT))
        )
        lists: list[list[int]] = [[] for _ in range(int(count.prod()))]
        for piece, (a, b) in enumerate(zip(first.astype(np.int64), last.astype(np.int64), strict=True)):
            for i in range(a[0], min(b[0] + 1, count[0])):
                for j in range(a[1], min(b[1] + 1, count[1])):
                    lists[i * count[1] + j].append(piece)
        ends = np.cumsum([0, *map(len, lists)])
        return _Grid(low, size, count, ends, np.array([p for cell in lists for p in cell], dtype=np.int64))

    @cached_property
    def _even(self) -> Floats:
        """Half-planes piece by piece, shape (most, 3, p), filled up with one that is true everywhere."""
        counts = np.diff(self.first)
        even = np.zeros((int(counts.max()), 3, len(counts)))
        even[:, 2, :] = np.inf
        for k, (start, count) in enumerate(zip(self.first, counts, strict=False)):
            even[:count, :, k] = self.halves[start : start + count]
        return even


def _positive(at: Floats, rate: Floats) -> tuple[Floats, Floats]:
    """Ends of the stretches of 0..1 on which each ``at + s * rate`` is above zero; none where the end is not later."""
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):  # nearly along a side: met infinitely far away
        met = -at / rate
    low = np.where(rate > 0.0, np.maximum(met, 0.0), 0.0)
    high = np.where(rate < 0.0, np.minimum(met, 1.0), 1.0)
    return low, np.where((rate == 0.0) & (at <= 0.0), -1.0, high)


def _merged(stretches: list[tuple[float, float]]) -> list[tuple[float, float]]:
    merged: list[tuple[float, float]] = []
    for low, high in sorted(stretches):
        if merged and low <= merged[-1][1] + 1e-9:
            merged[-1] = (merged[-1][0], max(high, merged[-1][1]))
        else:
            merged.append((low, high))
    return merged


def pieces_of(mesh: RoofMesh, steps: Iterable[Step]) -> Pieces:
    """The surface of a mesh in convex pieces.

    Raises
    ------
    RoofError
        If a facet's outline crosses itself or its holes.
    """
    polygons: list[_Polygon] = []
    strips: list[tuple[Floats, Floats]] = [(step.start, step.end) for step in steps]
    walls = [side for side in mesh.sides if side.across < 0]
    for facet, ident in enumerate(mesh.ids):
        sides = [side for side in mesh.sides if side.facet == facet]
        for ring in _cut(mesh, facet, ident):
            pulls, seams = _pulls(mesh, sides, ring)
            tips = [
                k for k, point in enumerate(ring) if max(pulls[k - 1], pulls[k]) < 0.0 and _on_any(mesh, walls, point)
            ]
            polygons.append(_Polygon(facet, ring, pulls, mesh.planes[facet], tuple(tips)))
            strips += seams
    polygons += [_strip(low, high) for low, high in strips]
    return _packed(polygons, GIVE + 2.0 * mesh.roughness)


@dataclass(frozen=True)
class _Polygon:
    """One piece: plan ring, how far each side is pulled in, plane, and corners whose tips are cut off.

    A corner between two seams may stand on a wall; let out by the seams it would reach through the wall there.
    """

    facet: int
    ring: Floats
    pulls: Floats
    plane: Floats
    tips: tuple[int, ...] = ()

    @property
    def halves(self) -> Floats:
        """Half-planes, positive inside."""
        along = np.roll(self.ring, -1, axis=0) - self.ring
        along /= np.hypot(*along.T)[:, None]
        inward = np.column_stack([-along[:, 1], along[:, 0]])
        halves = [np.column_stack([inward, -np.einsum("ij,ij->i", inward, self.ring) - self.pulls])]
        for k in self.tips:
            middle = along[k] - along[k - 1]
            middle /= np.hypot(*middle)
            halves.append(np.array([[*middle, -middle @ self.ring[k] - GIVE]]))
        return np.vstack(halves)


def _on_any(mesh: RoofMesh, walls: list[Side], point: Floats) -> bool:
    """True if a plan point stands on a wall."""
    a = mesh.corners[[side.i for side in walls], :2]
    run = mesh.corners[[side.j for side in walls], :2] - a
    share = np.clip(np.einsum("ij,ij->i", point - a, run) / np.einsum("ij,ij->i", run, run), 0.0, 1.0)
    return bool((np.linalg.norm(a + share[:, None] * run - point, axis=1) < ON_LINE).any())


def _cut(mesh: RoofMesh, facet: int, ident: str) -> list[Floats]:
    outline, *holes = (mesh.corners[list(ring)][:, :2] for ring in mesh.rings[facet])
    try:
        return convex_pieces(outline, holes)
    except ValueError as error:
        raise RoofError(f"facet {ident}", None, f"{error}; give a ring that does not cross itself") from error


def _pulls(mesh: RoofMesh, sides: list[Side], ring: Floats) -> tuple[Floats, list[tuple[Floats, Floats]]]:
    """How far each side of a piece is pulled in, and the seams that need a strip as part of their side is a wall."""
    pulls = np.full(len(ring), -_SEAM)
    seams: list[tuple[Floats, Floats]] = []
    for k, (a, b) in enumerate(zip(ring, np.roll(ring, -1, axis=0), strict=True)):
        on_it = [s for s in sides if _lies_on(mesh.corners[[s.i, s.j], :2], a, b)]
        if any(s.across < 0 for s in on_it):
            pulls[k] = GIVE
            seams += [(mesh.corners[s.i], mesh.corners[s.j]) for s in on_it if s.across >= 0]
    return pulls, seams


def _lies_on(ends: Floats, a: Floats, b: Floats) -> bool:
    """True if a plan segment and the segment a-b share a stretch of line."""
    length = np.linalg.norm(b - a)
    along = (b - a) / length
    run, off = (ends - a) @ along, (ends - a) @ np.array([-along[1], along[0]])
    shared = min(length, run.max()) - max(0.0, run.min())
    return bool(shared > ON_LINE and (np.abs(off) < ON_LINE).all())


def _strip(low: Floats, high: Floats) -> _Polygon:
    """A sliver of roof that straddles a line."""
    run = (high - low)[:2]
    length = float(np.hypot(*run))
    along = run / length
    across = _STRIP * np.array([-along[1], along[0]])
    a, b = low[:2], high[:2]
    ring = np.array([a - across, b - across, b + across, a + across])
    slope = (high[2] - low[2]) / length * along
    plane = np.array([*slope, low[2] - slope @ a - _SUNK])
    return _Polygon(-1, ring, np.array([0.0, GIVE, 0.0, GIVE]), plane)


def _packed(polygons: list[_Polygon], give: float) -> Pieces:
    halves = [polygon.halves for polygon in polygons]
    boxes = []
    for polygon in polygons:
        top = (polygon.ring @ polygon.plane[:2] + polygon.plane[2]).max()
        boxes.append([*np.column_stack([polygon.ring.min(axis=0), polygon.ring.max(axis=0)]).ravel(), top])
    return Pieces(
        planes=np.array([polygon.plane for polygon in polygons]),
        first=np.cumsum([0, *(len(h) for h in halves)], dtype=np.int64),
        halves=np.vstack(halves),
        boxes=np.array(boxes),
        facets=np.array([polygon.facet for polygon in polygons], dtype=np.int64),
        give=give,
    )
