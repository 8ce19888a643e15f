"""The part of the edges that a rope of a given length can have to do with, and several such parts as one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.field.edges import EdgePoints
from ropewright.field.reach import RopeOver

__all__ = ["Joined", "joined", "near_edges", "straight_distance"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Rope to a point that parts two chains. [m]
_OUT_OF_REACH = 1e6


def straight_distance(points: Floats, anchor: Floats, height: float) -> Floats:
    """Least straight distance from an anchor to upright bodies on some points: no taut rope to them is shorter.

    Parameters
    ----------
    points : array, shape (n, 3)
        Where they stand. [m]
    anchor : array, shape (3,)
        [m]
    height : float
        Of the D-ring, standing; it may be anywhere from the point up to there. [m]

    Returns
    -------
    array, shape (n,)
        [m]

    Examples
    --------
    >>> straight_distance(np.array([[3.0, 0.0, 0.0], [3.0, 0.0, -5.0]]), np.array([0.0, 0.0, 1.0]), 2.0)
    array([3., 5.])
    """
    level = np.hypot(points[:, 0] - anchor[0], points[:, 1] - anchor[1])
    below = anchor[2] - points[:, 2]
    aside = below - np.clip(below, 0.0, height)
    distance: Floats = np.hypot(level, aside)
    return distance


def near_edges(edges: EdgePoints, near: NDArray[np.bool_]) -> tuple[EdgePoints, Integers]:
    """Those of some edge points that are near enough to matter, in runs that stand one behind the other.

    Parameters
    ----------
    edges : EdgePoints
    near : array of bool, shape (n,)

    Returns
    -------
    tuple of EdgePoints and array of int, shape (m,)
        The points, and which of the n each of them is. A chain that is cut is no longer closed.

    Notes
    -----
    A body swings along a chain no further than its rope reaches. If every point left out is out of the rope's reach,
    what is left gives the same answers as the whole.
    """
    at: list[Integers] = []
    chains: list[int] = []
    closed: list[bool] = []
    for number, is_closed in enumerate(edges.closed):
        members = np.flatnonzero(edges.chain == number)
        for run in _runs(near[members], closed=is_closed):
            at.append(members[run])
            chains += [len(closed)] * len(run)
            closed.append(is_closed and len(run) == len(members))
    index = np.concatenate(at) if at else np.empty(0, np.int64)
    part = EdgePoints(
        names=edges.names,
        edge=edges.edge[index],
        points=edges.points[index],
        outward=edges.outward[index],
        chain=np.array(chains, np.int64),
        closed=tuple(closed),
        is_opening=edges.is_opening[index],
    )
    return part, index


def _runs(near: NDArray[np.bool_], *, closed: bool) -> list[Integers]:
    """Stretches of points in a row, walked round past the end of a closed chain."""
    n = len(near)
    if near.all():
        return [np.arange(n)] if n else []
    first = int(np.argmin(near)) if closed else 0  # a closed chain is laid open where it is cut
    order = (np.arange(n) + first) % n
    shown = near[order]
    starts = np.flatnonzero(shown & ~np.append(False, shown[:-1]))
    ends = np.flatnonzero(shown & ~np.append(shown[1:], False)) + 1
    return [order[start:end] for start, end in zip(starts, ends, strict=True)]


@dataclass(frozen=True)
class Joined:
    """Edge points near several anchors, with the rope from that anchor over each, as one chain.

    Chains stand one behind the other, parted by points so far out that no rope reaches them, so that no body swings
    from one chain to the next: a walk along one long chain takes a hundredth of the time of one along each of many.
    """

    edges: EdgePoints
    over: RopeOver
    owner: Integers  #: (n,) which anchor; points that part two chains belong to the one before
    source: Integers  #: (n,) which point of all parts, one behind the other, each is


def joined(parts: Sequence[tuple[EdgePoints, RopeOver]]) -> Joined:
    """Join points near several anchors.

    Parameters
    ----------
    parts : sequence of (EdgePoints, RopeOver)
        Of one roof and one D-ring height.

    Returns
    -------
    Joined
        A closed chain is cut at the point where a body would hang highest, which then stands at both of its ends:
        no body that was let go lower swings past it.
    """
    source: list[Integers] = []
    owner: list[int] = []
    first = 0
    for number, (edges, over) in enumerate(parts):
        for order in _orders(edges, over):
            source += [first + order, np.array([first + order[-1]])]  # the last one again, to be moved out of reach
            owner += [number] * (len(order) + 1)
        first += len(edges.points)
    at = np.concatenate(source) if source else np.empty(0, np.int64)
    lengths = [len(one) for one in source]
    apart = np.cumsum(lengths)[1::2] - 1 if lengths else np.empty(0, np.int64)
    edges = _picked(parts, at)
    over = RopeOver(
        heights=parts[0][1].heights,
        lengths=np.concatenate([over.lengths for _, over in parts])[at],
        slopes=np.concatenate([over.slopes for _, over in parts])[at],
        turn=np.concatenate([over.turn for _, over in parts])[at],
        upstream=np.concatenate([np.broadcast_to(over.upstream, over.turn.shape) for _, over in parts])[at],
        is_step=np.concatenate([np.broadcast_to(over.is_step, over.turn.shape) for _, over in parts])[at],
    )
    over.lengths[apart] = _OUT_OF_REACH
    return Joined(edges, over, np.array(owner, np.int64), at)


def _orders(edges: EdgePoints, over: RopeOver) -> list[Integers]:
    """Points of each chain in the order of a walk along it; a closed one ends where it began, at its highest hang."""
    found = []
    for number, closed in enumerate(edges.closed):
        members = np.flatnonzero(edges.chain == number)
        if closed:
            top = int((edges.points[members, 2] + over.to_edge[members]).argmax())
            members = np.roll(members, -top)
            members = np.append(members, members[0])
        found.append(members)
    return found


def _picked(parts: Sequence[tuple[EdgePoints, RopeOver]], at: Integers) -> EdgePoints:
    """Points of all parts as one open chain."""
    return EdgePoints(
        names=parts[0][0].names,
        edge=np.concatenate([edges.edge for edges, _ in parts])[at],
        points=np.concatenate([edges.points for edges, _ in parts])[at],
        outward=np.concatenate([edges.outward for edges, _ in parts])[at],
        chain=np.zeros(len(at), np.int64),
        closed=(False,),
        is_opening=np.concatenate([edges.is_opening for edges, _ in parts])[at],
    )
