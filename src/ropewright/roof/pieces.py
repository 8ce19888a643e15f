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
#: Half the width of a strip that closes the joint where a roof meets a higher one. [m]
_STRIP = 1e-6
#: How far a strip lies below the line it closes, so that its level top does not stand out of a sharp ridge. [m]
_SUNK = 1e-5


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

    def inside(self, piece: int, xy: Floats, margin: float = 0.0) -> NDArray[np.bool_]:
        """True for plan points, shape (n, 2), at least `margin` inside a piece."""
        halves = self.halves[self.first[piece] : self.first[piece + 1]]
        return np.asarray((xy @ halves[:, :2].T + halves[:, 2] > margin).all(axis=1))

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
        found = []
        for piece, plane in enumerate(self.planes):
            halves = self.halves[self.first[piece] : self.first[piece + 1]]
            at, rate = halves[:, :2] @ start[:2] + halves[:, 2] + reach, halves[:, :2] @ along[:2]
            at = np.append(at, plane[:2] @ start[:2] + plane[2] - start[2] - depth)
            rate = np.append(rate, plane[:2] @ along[:2] - along[2])
            stretch = _positive(at, rate)
            if stretch is not None:
                found.append(stretch)
        return _merged(found)

    def heights(self, xy: Floats, margin: float = 0.0) -> Floats:
        """Height of the surface at plan points, shape (n, 2); -inf beside it. [m]"""
        heights = np.full(len(xy), -np.inf)
        # all points and pieces at once, those first whose boxes meet: one piece after another took ten times as long
        x, y, reach = xy[:, 0, None], xy[:, 1, None], _LET_OUT - min(margin, 0.0)
        x0, x1, y0, y1, _ = self.boxes.T
        of, piece = np.nonzero((x >= x0 - reach) & (x <= x1 + reach) & (y >= y0 - reach) & (y <= y1 + reach))
        px, py = xy[of, 0], xy[of, 1]
        within = np.ones(len(of), dtype=bool)
        for a, b, c in self._even[:, :, piece]:
            within &= a * px + b * py + c > margin
        a, b, c = self.planes[piece[within]].T
        np.maximum.at(heights, of[within], a * px[within] + b * py[within] + c)
        return heights

    @cached_property
    def _even(self) -> Floats:
        """Half-planes piece by piece, shape (most, 3, p), filled up with one that is true everywhere."""
        counts = np.diff(self.first)
        even = np.zeros((int(counts.max()), 3, len(counts)))
        even[:, 2, :] = np.inf
        for k, (start, count) in enumerate(zip(self.first, counts, strict=False)):
            even[:count, :, k] = self.halves[start : start + count]
        return even


def _positive(at: Floats, rate: Floats) -> tuple[float, float] | None:
    """The stretch of 0..1 on which every ``at + s * rate`` is above zero, or None."""
    if ((rate == 0.0) & (at <= 0.0)).any():
        return None
    up, down = rate > 0.0, rate < 0.0
    with np.errstate(over="ignore"):  # nearly along a side: met infinitely far away
        low = max(0.0, float((-at[up] / rate[up]).max(initial=0.0)))
        high = min(1.0, float((-at[down] / rate[down]).min(initial=1.0)))
    return (low, high) if high > low else None


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
    for side in walls:
        a, b = mesh.corners[side.i, :2], mesh.corners[side.j, :2]
        share = np.clip((point - a) @ (b - a) / ((b - a) @ (b - a)), 0.0, 1.0)
        if np.hypot(*(a + share * (b - a) - point)) < ON_LINE:
            return True
    return False


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
