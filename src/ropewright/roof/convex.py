"""A plan polygon with holes, cut into convex pieces."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["convex_pieces", "signed_area"]

Floats = NDArray[np.float64]
Corner = tuple[float, float]

#: Twice the area under which three corners count as one line. [m2]
_LINE = 1e-10


def signed_area(ring: Floats) -> float:
    """Area of a plan ring, positive where it runs counterclockwise. [m2]

    Parameters
    ----------
    ring : array, shape (n, 2) or more columns
        Corners, the first not repeated; only x and y count. [m]

    Examples
    --------
    >>> signed_area(np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [0.0, 1.0]]))
    2.0
    """
    x, y = ring[:, 0], ring[:, 1]
    return float(0.5 * (x @ np.roll(y, -1) - y @ np.roll(x, -1)))


def convex_pieces(ring: Floats, holes: Sequence[Floats] = ()) -> list[Floats]:
    """Convex polygons that together cover a plan polygon less its holes, without overlap.

    Parameters
    ----------
    ring : array, shape (n, 2)
        Outline, counterclockwise, the first corner not repeated. [m]
    holes : sequence of arrays, shape (k, 2)
        Rings inside it, clockwise. [m]

    Returns
    -------
    list of arrays, shape (m, 2)
        Counterclockwise; corners in the middle of a straight side are left out.

    Raises
    ------
    ValueError
        If the outline crosses itself, so that it can't be cut.

    Notes
    -----
    Holes are joined to the outline by cuts, ears are clipped, and triangles are joined again while they stay convex.

    Examples
    --------
    >>> ell = np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 2.0], [2.0, 2.0], [2.0, 4.0], [0.0, 4.0]])
    >>> sorted(round(signed_area(piece), 9) for piece in convex_pieces(ell))
    [6.0, 6.0]
    """
    outline = _bridged([(float(x), float(y)) for x, y in ring], [[(float(x), float(y)) for x, y in h] for h in holes])
    pieces = [_straightened(piece) for piece in _joined(_ears(outline))]
    return [np.array(piece) for piece in pieces if len(piece) > 2]


def _turn(a: Corner, b: Corner, c: Corner) -> float:
    """Twice the signed area of a triangle: positive where a, b, c turn left."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _bridged(outline: list[Corner], holes: list[list[Corner]]) -> list[Corner]:
    """One ring that walks the outline and, along a cut to and fro, every hole."""
    waiting = sorted(holes, key=lambda hole: -max(x for x, _ in hole))
    for place, hole in enumerate(waiting):
        start = max(range(len(hole)), key=lambda i: hole[i])
        target = _seen_from(hole[start], outline, waiting[place:])
        loop = hole[start:] + hole[: start + 1]
        outline = [*outline[: target + 1], *loop, *outline[target:]]
    return outline


def _seen_from(point: Corner, outline: list[Corner], holes: list[list[Corner]]) -> int:
    """Index of the nearest corner of the outline that a cut from `point` reaches without crossing anything."""
    sides = [side for ring in (outline, *holes) for side in zip(ring, [*ring[1:], ring[0]], strict=True)]
    order = sorted(range(len(outline)), key=lambda i: np.hypot(outline[i][0] - point[0], outline[i][1] - point[1]))
    for i in order:
        if _opens_toward(outline, i, point) and not any(_cross(point, outline[i], a, b) for a, b in sides):
            return i
    raise ValueError("a hole can't be joined to its outline: it lies outside, or rings cross")


def _opens_toward(outline: list[Corner], i: int, point: Corner) -> bool:
    """True if a cut from corner i to the point leaves into the inside; told apart where a corner stands twice."""
    before, here, after = outline[i - 1], outline[i], outline[(i + 1) % len(outline)]
    left_of_in, left_of_out = _turn(before, here, point) > 0, _turn(here, after, point) > 0
    return (left_of_in and left_of_out) if _turn(before, here, after) > 0 else (left_of_in or left_of_out)


def _cross(p: Corner, q: Corner, a: Corner, b: Corner) -> bool:
    """True if segment p-q meets segment a-b other than at an end of p-q."""
    if a in (p, q) or b in (p, q):
        return False
    return _turn(p, q, a) * _turn(p, q, b) <= 0 and _turn(a, b, p) * _turn(a, b, q) <= 0


def _ears(outline: list[Corner]) -> list[list[Corner]]:
    """Triangles of a ring that may touch itself along cuts."""
    ring, triangles = list(outline), []
    while len(ring) > 2:
        i = _next_ear(ring)
        a, b, c = ring[i - 1], ring[i], ring[(i + 1) % len(ring)]
        if _turn(a, b, c) > _LINE:
            triangles.append([a, b, c])
        del ring[i]
    return triangles


def _next_ear(ring: list[Corner]) -> int:
    """Index of the corner to clip: a flat one first, else the ear that leaves the best-shaped triangle."""
    best, shape = -1, 0.0
    for i, b in enumerate(ring):
        a, c = ring[i - 1], ring[(i + 1) % len(ring)]
        turn = _turn(a, b, c)
        if abs(turn) <= _LINE:
            return i
        if turn > 0 and not any(_inside(p, a, b, c) for p in ring if p not in (a, b, c)):
            sides = sum((p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 for p, q in ((a, b), (b, c), (c, a)))
            if turn / sides > shape:
                best, shape = i, turn / sides
    if best < 0:
        raise ValueError("the outline crosses itself")
    return best


def _inside(p: Corner, a: Corner, b: Corner, c: Corner) -> bool:
    """True if p lies in the closed triangle."""
    return _turn(a, b, p) >= -_LINE and _turn(b, c, p) >= -_LINE and _turn(c, a, p) >= -_LINE


def _joined(pieces: list[list[Corner]]) -> list[list[Corner]]:
    """The same area with neighbours joined across shared sides while the union stays convex."""
    pieces = list(pieces)
    i = 0
    while i < len(pieces):
        for j in range(i + 1, len(pieces)):
            union = _union(pieces[i], pieces[j])
            if union is not None:
                pieces[i] = union
                del pieces[j]
                break
        else:
            i += 1
    return pieces


def _union(first: list[Corner], second: list[Corner]) -> list[Corner] | None:
    """Both pieces as one convex ring, or None if they share no side or bulge inward."""
    for i, a in enumerate(first):
        b = first[(i + 1) % len(first)]
        for j, start in enumerate(second):
            if start == b and second[(j + 1) % len(second)] == a:
                rest = (second[j:] + second[:j])[2:]  # what follows b, a
                ring = first[i + 1 :] + first[: i + 1] + rest
                return ring if _is_convex(ring) else None
    return None


def _is_convex(ring: list[Corner]) -> bool:
    return all(_turn(ring[i - 1], b, ring[(i + 1) % len(ring)]) >= -_LINE for i, b in enumerate(ring))


def _straightened(ring: list[Corner]) -> list[Corner]:
    """The ring without corners in the middle of a straight side."""
    return [b for i, b in enumerate(ring) if _turn(ring[i - 1], b, ring[(i + 1) % len(ring)]) > _LINE]
