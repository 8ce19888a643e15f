"""How often curves wind round each other: linking number, writhe and twist, by the Gauss integral."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["linking_number", "twist", "writhe"]

Floats = NDArray[np.float64]


def linking_number(first: Floats, other: Floats) -> float:
    """Times that one closed polygon winds round another, by the Gauss integral over every pair of sides.

    Parameters
    ----------
    first, other : array, shape (n, 3) and (m, 3)
        Corners of closed polygons that do not touch; the last is joined to the first.

    Returns
    -------
    float
        A whole number but for rounding; its sign is that of a right-handed screw. [-]

    Notes
    -----
    Lk = 1/(4 pi) * double integral of (dr1 x dr2) . r12 / |r12|^3. For two straight sides the integral is the signed
    area of the spherical quadrangle that their corners span (Banchoff 1976; Klenin and Langowski 2000, method 1a; both
    from memory), so that nothing is lost to the steps.

    Examples
    --------
    >>> ring = np.array([[1.0, 0, 0], [0, 1.0, 0], [-1.0, 0, 0], [0, -1.0, 0]])
    >>> round(linking_number(ring, ring[:, [0, 2, 1]] + [1.0, 0.0, 0.1]), 9)
    -1.0
    """
    return float(_gauss(first, other).sum() / (4 * np.pi))


def writhe(curve: Floats) -> float:
    """Times that a closed polygon crosses over itself, with sign, averaged over all directions of view.

    Parameters
    ----------
    curve : array, shape (n, 3)
        Corners; the last is joined to the first.

    Returns
    -------
    float
        0 for a flat curve; a mirror image has the opposite. [-]

    Notes
    -----
    The same integral with both points on one curve (Fuller 1971, from memory).

    Examples
    --------
    >>> flat = np.array([[1.0, 0, 0], [0, 1.0, 0], [-1.0, 0, 0], [0, -1.0, 0]])
    >>> abs(writhe(flat)) < 1e-12
    True
    """
    parts = _gauss(curve, curve)
    n = len(curve)
    index = np.arange(n)
    for step in (0, 1, n - 1):  # a side with itself or with its neighbour spans nothing
        parts[index, (index + step) % n] = 0.0
    return float(parts.sum() / (4 * np.pi))


def twist(curve: Floats, beside: Floats) -> float:
    """Turns of a ribbon's edge about its middle line: linking number less writhe.

    Parameters
    ----------
    curve : array, shape (n, 3)
        Closed middle line.
    beside : array, shape (n, 3)
        Closed edge, nearer to the middle line than any other part of it.

    Returns
    -------
    float
        [-]

    Notes
    -----
    Lk = Tw + Wr (Calugareanu 1961, White 1969, Fuller 1971; from memory).
    """
    return linking_number(curve, beside) - writhe(curve)


def _gauss(first: Floats, other: Floats) -> Floats:
    """Signed area that each pair of sides spans on the sphere, shape (n, m)."""
    a, b = first[:, None, :], np.roll(first, -1, axis=0)[:, None, :]
    c, d = other[None, :, :], np.roll(other, -1, axis=0)[None, :, :]
    ac, ad, bc, bd = c - a, d - a, c - b, d - b
    normals = [_unit(np.cross(p, q)) for p, q in ((ac, ad), (ad, bd), (bd, bc), (bc, ac))]
    area = np.zeros(ac.shape[:2])
    for one, then in zip(normals, normals[1:] + normals[:1], strict=True):
        area += np.arcsin(np.clip((one * then).sum(2), -1.0, 1.0))
    sign = np.sign((np.cross(d - c, b - a) * ac).sum(2))
    signed: Floats = area * sign
    return signed


def _unit(vectors: Floats) -> Floats:
    size = np.linalg.norm(vectors, axis=2, keepdims=True)
    unit: Floats = vectors / np.where(size > 0, size, 1.0)
    return unit
