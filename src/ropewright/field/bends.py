"""Friction at the bends of a taut rope before the edge: how far the rope has turned, as a mean over its length."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.path import TautPath, TautPaths

__all__ = ["mean_turn", "upstream_turns"]

Floats = NDArray[np.float64]

#: A bend this near the anchor is the anchor. [m]
_AT_ANCHOR = 1e-6


def mean_turn(path: TautPath) -> float:
    """Turn between a point of the rope and its end on the edge, as a mean over the rope's length. [rad]

    Parameters
    ----------
    path : TautPath
        From the anchor to an edge point; the turn over that edge itself is not in it.

    Notes
    -----
    A leg works by exp(-mu t) in a catch, with t what the rope turns between it and the edge. The mean of that over the
    legs is at least exp(-mu mean t), since the exponential is convex: with the mean turn too little rope works, at
    any friction, which errs high in force.

    Examples
    --------
    3 m of rope up to a ridge where it turns by 60 degrees, and 1 m down to the edge:

    >>> points = np.array([[0.0, 0, 0], [3, 0, 0], [3.5, 0, -0.75 ** 0.5]])
    >>> round(float(np.degrees(mean_turn(TautPath(points, ("ridge",), np.array([60.0]), 4.0)))), 6)
    45.0
    """
    legs = np.linalg.norm(np.diff(path.points, axis=0), axis=1)[::-1]
    turned = np.concatenate([[0.0], np.cumsum(np.radians(path.turn_deg[::-1]))])
    whole = float(legs.sum())
    return float(legs @ turned) / whole if whole > 0 else 0.0


def upstream_turns(paths: TautPaths, points: Floats, wanted: NDArray[np.bool_]) -> Floats:
    """Mean turn of the taut rope to each edge point, shape (n,); 0 where it runs straight or is not wanted. [rad]

    Parameters
    ----------
    paths : TautPaths
    points : array, shape (n, 3)
        On the edges. [m]
    wanted : array of bool, shape (n,)
    """
    turns = np.zeros(len(points))
    at = np.flatnonzero(wanted)
    if len(at):
        away = np.linalg.norm(paths.last_bends(points[at]) - paths.anchor, axis=1)
        bent = at[away > _AT_ANCHOR]
        if len(bent):
            turns[bent] = _mean_turns(paths.corners(points[bent]))
    return turns


def _mean_turns(ropes: list[Floats]) -> Floats:
    """Mean turn of each rope by its corners, those with as many corners at once; see `mean_turn`. [rad]"""
    turns = np.zeros(len(ropes))
    counts = np.array([len(rope) for rope in ropes])
    for count in np.unique(counts).tolist():
        alike = np.flatnonzero(counts == count)
        legs = np.diff(np.array([ropes[i] for i in alike]), axis=1)
        far = np.linalg.norm(legs, axis=2)
        cosine = (legs[:, 1:] * legs[:, :-1]).sum(axis=2) / np.maximum(far[:, 1:] * far[:, :-1], 1e-300)
        turn = np.arccos(np.clip(cosine, -1.0, 1.0))
        # what each leg but the last turns between it and the edge
        turned = np.cumsum(turn[:, ::-1], axis=1)[:, ::-1]
        whole = far.sum(axis=1)
        turns[alike] = np.divide((far[:, :-1] * turned).sum(axis=1), whole, out=np.zeros(len(alike)), where=whole > 0)
    return turns
