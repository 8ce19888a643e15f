"""What holds for a worker at a point inside the roof: restrained, caught, or not held.

At P the line is out to L(P). Every edge point E with l(A, E) <= L(P) can be fallen over; the worst of those falls is
P's.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["CAUGHT", "NOT_HELD", "OUT_OF_REACH", "RESTRAINED", "zone_codes"]

RESTRAINED, CAUGHT, NOT_HELD, OUT_OF_REACH = range(4)

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


def zone_codes(nearest: Floats, bad: NDArray[np.bool_], length: Floats, needed: Floats, *, margin: float) -> Integers:
    """Which zone each of m points on the roof lies in.

    Parameters
    ----------
    nearest : array, shape (n,)
        Shortest rope with which each edge point is reached. [m]
    bad : array of bool, shape (n,)
        True where the fall over that edge point is not shown to hold.
    length : array, shape (m,)
        Rope out, anchor to D-ring, for a worker at each point. [m]
    needed : array, shape (m,)
        Shortest rope with which the worker gets to each point. [m]
    margin : float
        Rope that must be missing to every edge for a worker to count as restrained. [m]

    Returns
    -------
    array of int, shape (m,)
        `RESTRAINED`, `CAUGHT`, `NOT_HELD` or `OUT_OF_REACH`.

    Examples
    --------
    >>> zone_codes(np.array([5.0, 9.0]), np.array([False, True]), np.array([4.0, 6.0, 10.0, 3.0]),
    ...            np.array([1.0, 1.0, 1.0, 3.5]), margin=0.6).tolist()
    [0, 1, 2, 3]
    """
    closest = nearest.min(initial=np.inf)
    closest_bad = nearest[bad].min(initial=np.inf)
    codes = np.full(len(length), CAUGHT)
    # Within the margin of an edge whose fall does not hold nobody is held: the worker may lean or the rope creep.
    codes[length + margin > closest_bad] = NOT_HELD
    codes[length + margin <= closest] = RESTRAINED
    codes[needed > length] = OUT_OF_REACH
    return codes
