"""What stays clear of the building: segments, and whole families of them. Plain code that numba compiles."""

from __future__ import annotations

from math import sqrt

from ropewright.roof.taut_rows import (
    ALL,
    ALONG,
    BOX,
    CONVEX,
    DEPTH,
    EDGE_COUNT,
    EDGE_ROW,
    EDGES,
    FIRST_MARK,
    HALF,
    HALF_END,
    HULL,
    LAST_MARK,
    LEFT,
    MARK_ROW,
    NOWHERE,
    ON_FACE,
    PIECE_COUNT,
    PIECE_ROW,
    PIECES,
    PLAN,
    RIGHT,
    RISE,
    RUN,
    SIDE_BOX,
    SIDE_COUNT,
    SIDE_ROW,
    SIDE_TOP,
    SIDES,
    SOME,
    START,
    STRETCH,
    TOP,
    TOUCH,
    VIEW,
    VIEW_ROW,
    X0,
    X1,
    Y0,
    Y1,
    Counts,
    Table,
)  # fmt: skip

__all__ = [
    "box_hull", "copy", "depth_in", "far_apart", "is_apart", "is_blocked", "is_hull_open", "is_open", "is_shared",
    "is_still_open",     "is_under", "look", "look_along", "meets_box", "over", "passes_by", "passes_over", "put",
]  # fmt: skip

#: As in `ropewright.roof.clear` and `ropewright.roof.links`. [m]
CHORD_INSIDE, BESIDE = 1e-6, 1e-6
#: Seams of pieces reach past their corners by half of this; what stays within and goes further off is beside. [m]
SEAM, OFF_SEAM = 2e-9, 1e-6
#: Steepest plane, as a tangent, that is laid between a hull and a piece.
STEEP = 50.0


def put(d: Table, to: int, e: int, place: float) -> None:
    """Put the point at a place on an edge at hand."""
    d[to] = d[e + START] + place * d[e + ALONG]
    d[to + 1] = d[e + START + 1] + place * d[e + ALONG + 1]
    d[to + 2] = d[e + START + 2] + place * d[e + ALONG + 2]


def copy(d: Table, to: int, point: int) -> None:
    """Put a point at hand."""
    d[to], d[to + 1], d[to + 2] = d[point], d[point + 1], d[point + 2]


def far_apart(d: Table, a: int, b: int) -> float:
    """Distance between two points."""
    x, y, z = d[a] - d[b], d[a + 1] - d[b + 1], d[a + 2] - d[b + 2]
    return sqrt(x * x + y * y + z * z)


def over(d: Table, point: int, e: int, face: int) -> float:
    """Height of a point over the plane of a face of an edge, 0 its left one."""
    n = e + LEFT if face == 0 else e + RIGHT
    return (
        (d[point] - d[e]) * d[n] + (d[point + 1] - d[e + 1]) * d[n + 1] + (d[point + 2] - d[e + 2]) * d[n + 2]
    )  # fmt: skip


def is_still_open(d: Table, n: Counts, p: int, q: int, slot: int) -> bool:
    """As `is_open`; the piece noted in a slot is looked at first: it often stands in the way of neighbours too."""
    piece = int(d[slot])
    if piece > 0 and depth_in(d, p, q, piece) > 0.0:
        return False
    x0, x1 = min(d[p], d[q]), max(d[p], d[q])
    y0, y1 = min(d[p + 1], d[q + 1]), max(d[p + 1], d[q + 1])
    z0 = min(d[p + 2], d[q + 2])
    piece = n[PIECES]
    for _ in range(n[PIECE_COUNT]):
        meets = z0 < d[piece + TOP] and x0 <= d[piece + X1] and x1 >= d[piece + X0]
        if meets and y0 <= d[piece + Y1] and y1 >= d[piece + Y0] and depth_in(d, p, q, piece) > 0.0:
            d[slot] = piece
            return False
        piece += PIECE_ROW
    return True


def is_open(d: Table, n: Counts, p: int, q: int) -> bool:
    """True if the segment between two points goes nowhere deeper than touching into the solid."""
    d[NOWHERE] = 0.0
    return is_still_open(d, n, p, q, NOWHERE)


def is_shared(d: Table, n: Counts, a: int, b: int, more: float) -> bool:
    """True if two legs, one after another in the table, go through the same piece, deeper than touching by `more`."""
    piece = n[PIECES]
    for _ in range(n[PIECE_COUNT] if more < 1.0 else 0):
        meets = meets_box(d, a, piece) and meets_box(d, b, piece)
        if meets and depth_in(d, a, a + 3, piece) > more and depth_in(d, b, b + 3, piece) > more:
            return True
        piece += PIECE_ROW
    return False


def meets_box(d: Table, leg: int, piece: int) -> bool:
    """True if the box of a leg, two points in the table, meets the box of a piece."""
    return (
        min(d[leg + 2], d[leg + 5]) < d[piece + TOP]
        and min(d[leg], d[leg + 3]) <= d[piece + X1]
        and max(d[leg], d[leg + 3]) >= d[piece + X0]
        and min(d[leg + 1], d[leg + 4]) <= d[piece + Y1]
        and max(d[leg + 1], d[leg + 4]) >= d[piece + Y0]
    )


def depth_in(d: Table, p: int, q: int, piece: int) -> float:
    """How much deeper than touching a segment goes into the prism under a piece, -1 if it passes beside it.

    The depth is linear along it, so its ends tell.
    """
    px, py, qx, qy = d[p], d[p + 1], d[q], d[q + 1]
    start, end = 0.0, 1.0
    for h in range(int(d[piece + HALF]), int(d[piece + HALF_END]), 3):
        at_p = d[h] * px + d[h + 1] * py + d[h + 2]
        at_q = d[h] * qx + d[h + 1] * qy + d[h + 2]
        if at_p <= 0.0 and at_q <= 0.0:
            return -1.0
        if at_p < 0.0:
            start = max(start, at_p / (at_p - at_q))
        if at_q < 0.0:
            end = min(end, at_p / (at_p - at_q))
    if start >= end or (end - start) * far_apart(d, p, q) <= CHORD_INSIDE:
        return -1.0
    deep = d[piece] * px + d[piece + 1] * py + d[piece + 2] - d[p + 2]
    rise = d[piece] * qx + d[piece + 1] * qy + d[piece + 2] - d[q + 2] - deep
    return max(deep + start * rise, deep + end * rise) - d[TOUCH]


def box_hull(d: Table) -> None:
    """Set the box of the hull at hand: least and greatest x, y, and least z."""
    x0, x1, y0, y1, z0 = d[HULL], d[HULL], d[HULL + 1], d[HULL + 1], d[HULL + 2]
    for i in range(HULL + 3, HULL + 12, 3):
        x0, x1 = min(x0, d[i]), max(x1, d[i])
        y0, y1 = min(y0, d[i + 1]), max(y1, d[i + 1])
        z0 = min(z0, d[i + 2])
    d[BOX], d[BOX + 1], d[BOX + 2], d[BOX + 3], d[BOX + 4] = x0, x1, y0, y1, z0


def is_hull_open(d: Table, n: Counts) -> bool:
    """True only if nothing between the four points of the hull at hand lies in the solid.

    Enough that one plane of each piece, its top or a side, has all four on the outside.
    """
    box_hull(d)
    x0, x1, y0, y1, z0 = d[BOX], d[BOX + 1], d[BOX + 2], d[BOX + 3], d[BOX + 4]
    piece = n[PIECES]
    for _ in range(n[PIECE_COUNT]):
        meets = z0 < d[piece + TOP] and x0 <= d[piece + X1] and x1 >= d[piece + X0]
        if meets and y0 <= d[piece + Y1] and y1 >= d[piece + Y0] and not is_apart(d, piece):
            return False
        piece += PIECE_ROW
    return True


def is_apart(d: Table, piece: int) -> bool:
    """True if the hull at hand and the prism under a piece are apart: by its top, by a side, or by a plane between."""
    deepest = -1.0
    for i in range(HULL, HULL + 12, 3):
        deepest = max(deepest, d[piece] * d[i] + d[piece + 1] * d[i + 1] + d[piece + 2] - d[i + 2])
    if deepest <= d[TOUCH]:
        return True
    first, end = int(d[piece + HALF]), int(d[piece + HALF_END])
    for h in range(first, end, 3):
        least, most = 1.0, -1e9
        for i in range(HULL, HULL + 12, 3):
            at = d[h] * d[i] + d[h + 1] * d[i + 1] + d[h + 2]
            least, most = min(least, at), max(most, at)
        if most <= 0.0 or (most <= SEAM and least < -OFF_SEAM):
            return True
        if least < 0.0 and passes_over(d, piece, h):
            return True
    before = end - 3
    for h in range(first, end, 3):
        if passes_by(d, before, h) or passes_by(d, h, before):
            return True
        before = h
    return False


def passes_over(d: Table, piece: int, h: int) -> bool:
    """True if a plane through the edge between the top and a side of a piece parts it from the hull at hand.

    Inside the prism the depth and the way from the side are above zero, and so is the depth and a share of the way.
    """
    least, most = 0.0, STEEP
    for i in range(HULL, HULL + 12, 3):
        deep = d[piece] * d[i] + d[piece + 1] * d[i + 1] + d[piece + 2] - d[i + 2] - d[TOUCH]
        way = d[h] * d[i] + d[h + 1] * d[i + 1] + d[h + 2] - SEAM
        if way > 0.0:
            most = min(most, -deep / way)
        elif way < 0.0:
            least = max(least, -deep / way)
        elif deep > 0.0:
            return False
    return least <= most


def passes_by(d: Table, g: int, h: int) -> bool:
    """True if an upright plane through the corner between two sides of a piece parts it from the hull at hand."""
    least, most = 0.0, STEEP
    for i in range(HULL, HULL + 12, 3):
        inside = d[g] * d[i] + d[g + 1] * d[i + 1] + d[g + 2]
        way = d[h] * d[i] + d[h + 1] * d[i + 1] + d[h + 2] - SEAM
        if way > 0.0:
            most = min(most, -inside / way)
        elif way < 0.0:
            least = max(least, -inside / way)
        elif inside > 0.0:
            return False
    return least <= most


def is_blocked(d: Table, n: Counts) -> bool:
    """True only if every segment from one of the first two points of the hull to one of the others is blocked.

    As `Screen.blocks`: one side of the surface stands above all of them.
    """
    box_hull(d)
    x0, x1, y0, y1, z0 = d[BOX], d[BOX + 1], d[BOX + 2], d[BOX + 3], d[BOX + 4]
    side = n[SIDES]
    for _ in range(n[SIDE_COUNT]):
        meets = z0 < d[side + SIDE_TOP] and x0 <= d[side + SIDE_BOX + 1] and x1 >= d[side + SIDE_BOX]
        if meets and y0 <= d[side + SIDE_BOX + 3] and y1 >= d[side + SIDE_BOX + 2]:
            rx, ry = d[side + RUN], d[side + RUN + 1]
            first = (d[HULL] - d[side]) * ry - (d[HULL + 1] - d[side + 1]) * rx
            second = (d[HULL + 3] - d[side]) * ry - (d[HULL + 4] - d[side + 1]) * rx
            if first > BESIDE and second > BESIDE:
                if is_under(d, side, 1.0):
                    return True
            elif first < -BESIDE and second < -BESIDE and is_under(d, side, -1.0):
                return True
        side += SIDE_ROW
    return False


def is_under(d: Table, side: int, sense: float) -> bool:
    """True if every segment of the family at hand crosses one side's upright plane below the side.

    Height and place of crossing are ratios of forms that are bilinear in the places of a segment's two ends.
    """
    rx, ry, rise = d[side + RUN], d[side + RUN + 1], d[side + RISE]
    for j in range(HULL + 6, HULL + 12, 3):
        x, y = d[j] - d[side], d[j + 1] - d[side + 1]
        far = -sense * (x * ry - y * rx)
        if far < BESIDE:
            return False
        place = x * rx + y * ry
        up = d[j + 2] - d[side + 2] - rise * place + d[DEPTH]
        for i in range(HULL, HULL + 6, 3):
            x, y = d[i] - d[side], d[i + 1] - d[side + 1]
            near = sense * (x * ry - y * rx)
            run = x * rx + y * ry
            if far * (d[i + 2] - d[side + 2] - rise * run + d[DEPTH]) + near * up >= 0.0:
                return False
            at, whole = far * run + near * place, far + near
            if at <= BESIDE * whole or at >= (d[side + PLAN] - BESIDE) * whole:
                return False
    return True


def look(d: Table, n: Counts, source: int) -> None:
    """Note what a source sees of the edges: marks, runs from mark to mark, and what bounds all that is not blocked."""
    copy(d, HULL, source)
    copy(d, HULL + 3, source)
    view, e = int(d[source + VIEW]), n[EDGES]
    for _ in range(n[EDGE_COUNT]):
        behind = over(d, source, e, 0) < -d[ON_FACE] and over(d, source, e, 1) < -d[ON_FACE]
        if behind or n[CONVEX] == 1:  # of a convex building all of an edge is seen, or nothing
            for _ in range(int(d[e + FIRST_MARK]), int(d[e + LAST_MARK]) + 1, MARK_ROW):
                d[view], d[view + STRETCH] = (0.0, 0.0) if behind else (1.0, ALL)
                view += VIEW_ROW
        else:
            view = look_along(d, n, source, view, e)
        e += EDGE_ROW


def look_along(d: Table, n: Counts, source: int, view: int, e: int) -> int:
    """Note what a source sees of an edge; returns where its view goes on."""
    for m in range(int(d[e + FIRST_MARK]), int(d[e + LAST_MARK]) + 1, MARK_ROW):
        put(d, HULL + 9, e, d[m])
        d[view], d[view + STRETCH] = 1.0 if is_open(d, n, source, HULL + 9) else 0.0, 0.0
        if m > d[e + FIRST_MARK]:
            put(d, HULL + 6, e, d[m - MARK_ROW])
            whole = d[view] > 0.0 and d[view - VIEW_ROW] > 0.0 and is_hull_open(d, n)
            some = 0.0 if not whole and is_blocked(d, n) else SOME
            d[view - VIEW_ROW + STRETCH] = ALL if whole else some
        view += VIEW_ROW
    return view
