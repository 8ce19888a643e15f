"""Knot and link types of curves, by SnapPy and Spherogram (Culler, Dunfield, Goerner, Weeks): used by tests alone.

A diagram is read off a projection of the polygon. Knots with a hyperbolic complement are named by their complement
(Gordon and Luecke 1989: it tells the knot but for its mirror image). The trefoil and the cinquefoil are named by knot
Floer homology, which detects both (Ghiggini 2008; Farber, Reinoso and Wang 2022); both from memory.
"""

from __future__ import annotations

import gc
import warnings
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

with warnings.catch_warnings():
    warnings.simplefilter("ignore", ResourceWarning)  # a file of its own that SnapPy leaves open
    import snappy  # noqa: F401 - makes complements known to Spherogram
    import spherogram

    gc.collect()

Floats = NDArray[np.float64]

_VIEW = np.array([0.137, 0.211, 1.0])


def closed(curve: Floats, far: float = 80.0) -> Floats:
    """Open curve closed at infinity: both ends run on straight and join round a great circle far outside."""
    middle = curve.mean(0)
    ends = []
    for end, inside in ((curve[0], curve[4]), (curve[-1], curve[-5])):
        way = end - inside
        ends.append(end + way / np.linalg.norm(way) * far - middle)
    (p, q), t = ends, np.linspace(0.0, 1.0, 80)[1:-1, None]
    u, w = q / np.linalg.norm(q), p / np.linalg.norm(p)
    angle = float(np.arccos(np.clip(u @ w, -1.0, 1.0)))
    if np.pi - angle < 0.05:
        across = np.cross(u, [0.2, 0.1, 1.0])
        across /= np.linalg.norm(across)
        arc = np.cos(np.pi * t) * u + np.sin(np.pi * t) * across
    else:
        arc = (np.sin((1 - t) * angle) * u + np.sin(t * angle) * w) / np.sin(angle)
    reach = np.linalg.norm(q) * (1 - t) + np.linalg.norm(p) * t
    return np.concatenate([curve, [middle + q], middle + arc * reach, [middle + p]])


def link(curves: Sequence[Floats]) -> Any:
    """Diagram of closed polygons; None if no two sides cross."""
    view = _VIEW / np.linalg.norm(_VIEW)
    right = np.cross(view, [0.31, 1.0, 0.17])
    right /= np.linalg.norm(right)
    frame = np.column_stack([right, np.cross(view, right), view])
    starts = [curve @ frame for curve in curves]
    a, b = np.concatenate(starts), np.concatenate([np.roll(part, -1, axis=0) for part in starts])
    owner = np.repeat(np.arange(len(curves)), [len(part) for part in starts])
    i, j = np.triu_indices(len(a), 1)
    way, apart = b - a, a[j] - a[i]
    turn = way[i, 0] * way[j, 1] - way[i, 1] * way[j, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        u = (apart[:, 0] * way[j, 1] - apart[:, 1] * way[j, 0]) / turn
        v = (apart[:, 0] * way[i, 1] - apart[:, 1] * way[i, 0]) / turn
    hit = (u > 0) & (u < 1) & (v > 0) & (v < 1)
    i, j, u, v, turn = i[hit], j[hit], u[hit], v[hit], turn[hit]
    if not len(i):
        return None
    over = a[i, 2] + u * way[i, 2] > a[j, 2] + v * way[j, 2]
    positive = np.where(over, turn > 0, turn < 0)
    visits: list[list[tuple[float, int, bool]]] = [[] for _ in curves]
    for k in range(len(i)):
        visits[owner[i[k]]].append((i[k] + u[k], k, bool(over[k])))
        visits[owner[j[k]]].append((j[k] + v[k], k, not over[k]))
    crossings = [spherogram.Crossing(str(k)) for k in range(len(i))]

    def slots(k: int, above: bool) -> tuple[int, int]:
        return ((3, 1) if positive[k] else (1, 3)) if above else (0, 2)

    for met in visits:
        met.sort()
        for (_, k, above), (_, n, then) in zip(met, met[1:] + met[:1], strict=True):
            crossings[k][slots(k, above)[1]] = crossings[n][slots(n, then)[0]]
    return spherogram.Link(crossings)


def knot_type(curve: Floats) -> str:
    """Name in the knot tables of an open curve closed at infinity."""
    found = link([closed(curve)])
    if found is None:
        return "0_1"
    found.simplify("global")
    if not found.crossings:
        return "0_1"
    homology = found.knot_floer_homology()
    told = (homology["seifert_genus"], homology["fibered"], homology["total_rank"])
    if told == (1, True, 3):
        return "3_1"
    if told == (2, True, 5):
        return "5_1"
    names = [str(name).partition("(")[0] for name in found.exterior().identify()]
    return next((name for name in names if name[0].isdigit()), "?")


def handed(curve: Floats) -> int:
    """Concordance number tau of knot Floer homology: changes its sign in a mirror."""
    found = link([closed(curve)])
    found.simplify("global")
    return int(found.knot_floer_homology()["tau"])
