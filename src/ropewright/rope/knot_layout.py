"""From a knot drawn flat, with its overs and unders, to curves in space."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["Waypoints", "bight", "coil", "cord_round_line", "crossings", "doubled", "lifted", "spline"]

Floats = NDArray[np.float64]
Waypoints = Sequence[tuple[float, ...]]


def spline(waypoints: Waypoints | Floats, parts: int = 40) -> Floats:
    """Smooth curve through waypoints at uneven distances.

    Parameters
    ----------
    waypoints : sequence, shape (n, d)
    parts : int
        Pieces between two waypoints.

    Returns
    -------
    array, shape ((n - 1) * parts + 1, d)

    Examples
    --------
    >>> spline([(0.0, 0.0), (1.0, 1.0), (2.0, 0.0)], 2).shape
    (5, 2)
    """
    from scipy.interpolate import CubicSpline

    points = np.asarray(waypoints, float)
    # the square root of the chord keeps a cubic from overshooting where waypoints crowd (Lee 1989, from memory)
    t = np.concatenate([[0.0], np.cumsum(np.sqrt(np.linalg.norm(np.diff(points, axis=0), axis=1)))])
    curve: Floats = CubicSpline(t, points, bc_type="natural")(np.linspace(0.0, t[-1], parts * (len(points) - 1) + 1))
    return curve


def crossings(flat: Floats) -> Floats:
    """Where a flat curve crosses itself.

    Parameters
    ----------
    flat : array, shape (n, 2)

    Returns
    -------
    array, shape (c, 2)
        Places along the curve of the earlier and the later strand of each crossing, in points.

    Examples
    --------
    >>> crossings(np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [1.0, 1.0], [1.0, -1.0]]))
    array([[0.5, 3.5]])
    """
    start, way = flat[:-1], np.diff(flat, axis=0)
    i, j = np.triu_indices(len(start), 2)
    apart = start[j] - start[i]
    turn = way[i, 0] * way[j, 1] - way[i, 1] * way[j, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        u = (apart[:, 0] * way[j, 1] - apart[:, 1] * way[j, 0]) / turn
        v = (apart[:, 0] * way[i, 1] - apart[:, 1] * way[i, 0]) / turn
    hit = (u >= 0) & (u < 1) & (v >= 0) & (v < 1)
    return np.stack([i[hit] + u[hit], j[hit] + v[hit]], axis=1)


def lifted(waypoints: Waypoints, passes: str, height: float = 1.0) -> Floats:
    """Curve in space over a flat one, high where it passes over and low where it passes under.

    Parameters
    ----------
    waypoints : sequence, shape (n, 2)
        Of the flat curve.
    passes : str
        ``O`` for over and ``U`` for under at each crossing that is met on the way, twice as many as crossings.
    height : float
        Above and below the sheet.

    Returns
    -------
    array, shape (m, 3)

    Raises
    ------
    ValueError
        If the number of passes is wrong, or a crossing is passed over or under twice.

    Examples
    --------
    >>> curve = lifted([(0, 0), (4, 0), (5, 2), (2, 3), (2, -3)], "OU")
    >>> float(curve[:, 2].max()), float(curve[:, 2].min())
    (1.0, -1.0)
    """
    flat = spline(waypoints)
    met = crossings(flat)
    order = np.sort(met.ravel())
    if len(order) != len(passes):
        raise ValueError(f"{len(order)} passes are met, {len(passes)} were given: {flat[order.astype(int)].round(1)}")
    level = dict(zip(order.tolist(), (1.0 if one == "O" else -1.0 for one in passes), strict=True))
    for one, other in met.tolist():
        if level[one] == level[other]:
            raise ValueError(f"the crossing at {flat[int(one)].round(1)} is passed twice in the same way")
    knots = np.concatenate([[0.0], order, [len(flat) - 1.0]])
    heights = np.array([0.0, *(level[place] for place in order.tolist()), 0.0]) * height
    return np.column_stack([flat, _steps(np.arange(len(flat), dtype=float), knots, heights)])


def _steps(at: Floats, places: Floats, heights: Floats) -> Floats:
    """Heights between places: level near each, so that a strand beside another passes it at the same height."""
    index = np.clip(np.searchsorted(places, at, side="right") - 1, 0, len(places) - 2)
    u = np.clip(((at - places[index]) / (places[index + 1] - places[index]) - 0.3) / 0.4, 0.0, 1.0)
    s = u * u * (3 - 2 * u)
    raised: Floats = heights[index] * (1 - s) + heights[index + 1] * s
    return raised


def doubled(middle: Floats, half: float) -> tuple[Floats, Floats]:
    """Two strands side by side along a middle line, `half` to the left and to the right of it on the sheet.

    Examples
    --------
    >>> left, right = doubled(np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0]]), 0.5)
    >>> left[:, 1], right[:, 1]
    (array([0.5, 0.5]), array([-0.5, -0.5]))
    """
    way = np.gradient(middle[:, :2], axis=0)
    way /= np.linalg.norm(way, axis=1)[:, None]
    aside = np.column_stack([-way[:, 1], way[:, 0], np.zeros(len(way))]) * half
    return middle + aside, middle - aside


def bight(middle: Floats, half: float, bulge: float, reach: float) -> Floats:
    """One strand that runs along a middle line, turns in an eye at its end and runs back beside itself.

    Parameters
    ----------
    middle : array, shape (n, 3)
    half : float
        From the middle line to each strand.
    bulge : float
        Half the width of the eye.
    reach : float
        How far the eye goes beyond the middle line's end.

    Returns
    -------
    array, shape (m, 3)
    """
    left, right = doubled(middle, half)
    way = (middle[-1] - middle[-6]) * np.array([1.0, 1.0, 0.0])
    way /= np.linalg.norm(way)
    aside, down = np.array([-way[1], way[0], 0.0]), np.array([0.0, 0.0, middle[-1, 2]])
    profile = [(0.3, 0.75), (0.6, 1.0), (0.88, 0.75), (1.0, 0.0), (0.88, -0.75), (0.6, -1.0), (0.3, -0.75)]
    eye = [middle[-1] + way * reach * far + aside * bulge * out - down * far for far, out in profile]
    keep = max(len(middle) - 12, 8)
    join = np.array([left[keep - 8], left[keep - 1], *eye, right[keep - 1], right[keep - 8]])
    return np.concatenate([left[: keep - 8], spline(join, 16), right[: keep - 8][::-1]])


def coil(lead: Waypoints, turns: int, middle: float, outward: float, *, core: float = 0.8) -> Floats:
    """Rope that runs into a core, turns out at its far end, winds back round the core and leaves through it.

    Sketch, with outward up; what stands in the core besides is wound in with the two strands::

        .--------. E
        |  turns || |      the rope comes up at A, turns out at the top, winds down,
        '--------'| |      comes in below and leaves upward at E
                  A

    Parameters
    ----------
    lead : sequence of (x, y, z)
        Way to the near end of the core, where the rope then stands at x = -`core`, z = 0.
    turns : int
        Round the core, 1 or more; two make a double overhand.
    middle : float
        Height of the middle of the turns, along the axis of y.
    outward : float
        Height at which the rope ends, beyond the far end of the turns.
    core : float
        From the axis to each of the two strands in the core.

    Returns
    -------
    array, shape (n, 3)
    """
    up = float(np.sign(outward - middle))
    length, radius = 0.9 * turns, 2.4
    y = middle + up * np.linspace(length, -length, 8 * turns + 1)
    angle = np.pi + 2 * np.pi * up * np.linspace(0.0, turns, 8 * turns + 1)
    entry = [(-core, h, 0.0) for h in np.arange(middle - up * (length + 1), middle + up * (length + 0.5), up * 1.4)]
    over = [(-core - 0.6, middle + up * (length + 1.6), 0.0)]
    wound = list(zip(radius * np.cos(angle), y, radius * np.sin(angle), strict=True))
    last = angle[-1] + 0.7 * up
    under = [(1.7 * np.cos(last), middle - up * (length + 1.2), 1.7 * np.sin(last))]
    leave = [(core, h, 0.0) for h in np.arange(middle - up * (length + 0.6), outward - up, up * 1.4)]
    return spline([*lead, *entry, *over, *wound, *under, *leave, (core, outward, 0.0)], 12)


def cord_round_line(turns: int, line: float, reach: float) -> Floats:
    """Closed cord laid round an upright line as a sliding hitch, with so many turns above and below its two legs.

    Parameters
    ----------
    turns : int
        On each side, 1 or more.
    line : float
        Diameter of the line. [diameters of the cord]
    reach : float
        How far to the right its two legs run.

    Returns
    -------
    array, shape (n, 3)
        From the end of one leg to the end of the other; the line stands on the axis of y. [diameters of the cord]
    """
    radius, rise = (line + 1) / 2 + 0.35, 1.15
    steps = np.linspace(0.0, turns, 10 * turns + 1)[2:-1]
    angle = -2 * np.pi * steps  # from the right behind the line to the left and back before it
    wound = np.column_stack([radius * np.cos(angle), 0.75 + rise * steps, radius * np.sin(angle)])
    leg = [(reach, 0.6, -0.2), (reach - 2.0, 0.6, -0.2), (radius + 1.2, 0.65, -0.3)]
    top = 0.75 + rise * turns
    bridge = [(radius + 0.35, top + 0.2, 0.9), (radius + 1.0, top * 0.6, 1.5), (radius + 1.1, 0.0, 1.6)]
    half = [*leg, *map(tuple, wound.tolist()), *bridge[:2]]
    return spline([*half, bridge[2], *[(x, -h, z) for x, h, z in half[::-1]]], 12)
