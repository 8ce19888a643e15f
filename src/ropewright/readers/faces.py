r"""Faces that lie in one plane side by side, taken as one: models cut flat surfaces into triangles.

The faces must run the same way round; where the same edge is walked to and fro it is no edge of the whole::

    d-------c            d-------c
    | \  1  |            |       |
    |   \   |    ->      |       |
    | 2   \ |            |       |
    a-------b            a-------b
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.facets import area_vector
from ropewright.roof.mending.joining import clusters
from ropewright.roof.mending.plan import inside, segments

__all__ = ["Face", "merged_faces"]

Points = NDArray[np.float64]
Ring = list[int]

#: Corners nearer than this are one. [m]
_SAME_CORNER = 1e-3
#: Faces whose normals differ by less lie in one plane, if their corners do. [rad]
_SAME_WAY = math.radians(0.2)
#: Corners this near a plane lie in it. [m]
_IN_PLANE = 3e-3
#: Smaller than this a face is none. [m2]
_NO_AREA = 1e-9


@dataclass(frozen=True, slots=True)
class Face:
    """A flat face: its outline, shape (n, 3), its holes, and the numbers of the faces it was made of."""

    ring: Points
    holes: tuple[Points, ...]
    members: tuple[int, ...]


def merged_faces(faces: Sequence[Sequence[Points]]) -> list[Face]:
    """Faces with those joined that lie in one plane side by side and face the same way.

    Parameters
    ----------
    faces : sequence of rings, shape (n, 3) each
        Outline of each face and the holes in it; outlines of faces that are to be joined run the same way round,
        holes the other way. [m]

    Returns
    -------
    list of Face
        Larger ones first. Faces without area, and those that stand twice, are left out; holes run the other way round.

    Examples
    --------
    >>> square = np.array([[0.0, 0, 1], [2, 0, 1], [2, 2, 1], [0, 2, 1]])
    >>> [whole] = merged_faces([[square[[0, 1, 2]]], [square[[0, 2, 3]]]])
    >>> whole.ring.tolist(), whole.members
    ([[0.0, 0.0, 1.0], [2.0, 0.0, 1.0], [2.0, 2.0, 1.0], [0.0, 2.0, 1.0]], (0, 1))
    """
    if not faces:
        return []
    index, points, _ = clusters(np.vstack([ring for rings in faces for ring in rings]), _SAME_CORNER)
    whole = _Faces(points, faces, index)
    found = []
    for seed in sorted(whole.rings, key=whole.size, reverse=True):
        if seed not in whole.taken:
            found += whole.grown(seed)
    return found


class _Faces:
    """Rings of indices with their directions, and who lies beyond each edge."""

    def __init__(self, points: Points, faces: Sequence[Sequence[Points]], index: Sequence[int]) -> None:
        self.points = points
        self.rings: dict[int, list[Ring]] = {}
        self.vectors: dict[int, Points] = {}
        self.taken: set[int] = set()
        self._beyond: defaultdict[tuple[int, int], list[int]] = defaultdict(list)
        at = 0
        seen: set[tuple[frozenset[int], bool]] = set()
        for number, face in enumerate(faces):
            rings = []
            for ring in face:
                rings.append(_without_repeats(index[at : at + len(ring)]))
                at += len(ring)
            self._add(number, rings, seen)

    def _add(self, number: int, rings: Sequence[Ring], seen: set[tuple[frozenset[int], bool]]) -> None:
        if len(rings[0]) < 3:
            return
        vector = area_vector(self.points[rings[0]])
        # the same corners the other way round are the other side of a sheet
        key = frozenset(rings[0]), bool(_sign(vector) > 0)
        if math.hypot(*vector.tolist()) <= _NO_AREA or key in seen:
            return
        seen.add(key)
        self.rings[number], self.vectors[number] = [ring for ring in rings if len(ring) > 2], vector
        for edge in self._edges(number):
            self._beyond[edge].append(number)

    def _edges(self, number: int) -> list[tuple[int, int]]:
        return [edge for ring in self.rings[number] for edge in zip(ring, ring[1:] + ring[:1], strict=True)]

    def size(self, number: int) -> float:
        return math.hypot(*self.vectors[number].tolist())

    def grown(self, seed: int) -> list[Face]:
        """Grow a face over its neighbours in the seed's plane."""
        normal = self.vectors[seed] / self.size(seed)
        centre = self.points[self.rings[seed][0]].mean(axis=0)
        self.taken.add(seed)
        members, waiting = [seed], [seed]
        edges = set(self._edges(seed))
        while waiting:
            for a, b in self._edges(waiting.pop()):
                for other in self._beyond[b, a]:
                    if other in self.taken or not self._fits(other, normal, centre, edges):
                        continue
                    self.taken.add(other)
                    members.append(other)
                    waiting.append(other)
                    edges.update(self._edges(other))
        if len(members) == 1:
            outline, *holes = (self.points[ring] for ring in self.rings[seed])
            return [Face(outline, tuple(holes), (seed,))]
        loops = _loops({edge for edge in edges if edge[::-1] not in edges}, self.points, normal)
        return _with_holes([self.points[loop] for loop in loops], normal, tuple(sorted(members)))

    def _fits(self, other: int, normal: Points, centre: Points, edges: set[tuple[int, int]]) -> bool:
        vector = self.vectors[other]
        turned = vector @ normal < math.cos(_SAME_WAY) * self.size(other)
        off = np.abs((self.points[self.rings[other][0]] - centre) @ normal).max()
        return not turned and bool(off <= _IN_PLANE) and not any(edge in edges for edge in self._edges(other))


def _sign(vector: Points) -> float:
    """Tell the two sides of a plane apart: the sign of the direction's largest part."""
    return float(vector[int(np.argmax(np.abs(vector)))])


def _without_repeats(ring: Sequence[int]) -> Ring:
    return [corner for corner, before in zip(ring, (ring[-1], *ring[:-1]), strict=True) if corner != before]


def _loops(edges: set[tuple[int, int]], points: Points, normal: Points) -> list[Ring]:
    """Closed walks along edges with the face on the left; where several meet, the sharpest turn to the left."""
    onward: defaultdict[int, list[int]] = defaultdict(list)
    for a, b in sorted(edges):
        onward[a].append(b)
    loops = []
    while onward:
        start = next(iter(onward))
        walk = [start]
        while True:
            here = walk[-1]
            after = onward[here]
            chosen = after[0] if len(after) == 1 else min(after, key=_turn(walk, points, normal))
            after.remove(chosen)
            if not after:
                del onward[here]
            if chosen == start:
                break
            walk.append(chosen)
            if chosen not in onward:  # an edge that stands twice somewhere: the walk can't close
                break
        loops += _simple(walk)
    return loops


def _simple(walk: Ring) -> list[Ring]:
    """Walk cut where it comes by a corner again: a hole that touches the outline is a loop of its own."""
    loops: list[Ring] = []
    kept: Ring = []
    for corner in walk:
        if corner in kept:
            at = kept.index(corner)
            loops.append(kept[at:])
            kept = kept[:at]
        kept.append(corner)
    return [loop for loop in (*loops, kept) if len(loop) > 2]


def _turn(walk: Ring, points: Points, normal: Points) -> Callable[[int], float]:
    """Clockwise angle from the way one came to each way on."""
    here = points[walk[-1]]
    back = points[walk[-2]] - here if len(walk) > 1 else np.array([1.0, 0.0, 0.0])

    def angle(corner: int) -> float:
        on = points[corner] - here
        across = float(np.dot(np.cross(on, back), normal))
        return math.atan2(across, float(on @ back)) % math.tau or math.tau

    return angle


def _with_holes(loops: Sequence[Points], normal: Points, members: tuple[int, ...]) -> list[Face]:
    """Loops sorted into outlines and the holes in them."""
    flat = _axes(normal)
    outlines = [loop for loop in loops if area_vector(loop) @ normal > 0]
    holes = [loop for loop in loops if area_vector(loop) @ normal < 0]
    homes: list[list[Points]] = [[] for _ in outlines]
    for hole in holes:
        spot = (hole.mean(axis=0, keepdims=True) if len(outlines) > 1 else hole[:1]) @ flat
        home = next((i for i, one in enumerate(outlines) if inside(segments([one @ flat]), spot)[0]), 0)
        if outlines:
            homes[home].append(hole)
    return [Face(one, tuple(homes[i]), members) for i, one in enumerate(outlines)]


def _axes(normal: Points) -> Points:
    """Two directions in a plane, shape (3, 2)."""
    across = np.cross(normal, np.eye(3)[int(np.argmin(np.abs(normal)))])
    across /= np.linalg.norm(across)
    return np.column_stack((across, np.cross(normal, across)))
