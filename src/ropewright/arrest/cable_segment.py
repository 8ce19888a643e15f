"""One piece of elastic line between two places: the elastic catenary, in forms that stay exact for a light line."""

from __future__ import annotations

import math
from typing import NamedTuple

__all__ = ["CableError", "LineSlopes", "Piece", "Slopes", "line_slopes", "piece_between", "piece_of", "piece_slopes"]

#: Half of what the line's slope angle (hyperbolic measure) changes along a piece; beyond it the line would be longer
#: than e to this power times the span, and its end would hang plumb.
_DEEPEST = 15.0

#: Newton steps allowed; from the length without stretch a handful is enough.
_STEPS = 60


class CableError(Exception):
    """A line whose equations have no solution, or none that was found; never a guess in its place."""


class Piece(NamedTuple):
    """A piece of line in balance.

    ::

                  T2, v2 = v1 + w s
                   /
          z   o   /     H: level part of the tension, the same all along
          ^      o      v: upward part of the tension on what lies to the left
          |    /        s: line in the piece, unstressed
          +--o---> x
            v1
    """

    horizontal: float  #: H, above 0 [N]
    v1: float  #: at the left end; negative where the line falls to the right [N]
    v2: float  #: at the right end [N]
    run: float  #: level distance between the ends [m]
    rise: float  #: right end above left end [m]
    s: float  #: unstressed line [m]

    @property
    def t1(self) -> float:
        """Tension at the left end [N]."""
        return math.hypot(self.horizontal, self.v1)

    @property
    def t2(self) -> float:
        """Tension at the right end [N]."""
        return math.hypot(self.horizontal, self.v2)

    @property
    def tension_integral(self) -> float:
        """Integral of tension over unstressed line [N m]; times 1/EA it is the piece's stretch."""
        h, a, b, t1, t2 = self.horizontal, self.v1, self.v2, self.t1, self.t2
        return 0.5 * (self.s * (t2 + a * (a + b) / (t1 + t2)) + h * h * _span_per_h(self))

    def energy(self, compliance: float, height: float) -> float:
        """Stretch energy and height energy, for a left end at `height` above any datum [J]."""
        h, a, b, s = self.horizontal, self.v1, self.v2, self.s
        w = (b - a) / s if s > 0 else 0.0
        stretch = 0.5 * compliance * s * (h * h + (a * a + a * b + b * b) / 3.0)
        sunk = compliance * w * s * s * (a / 2.0 + w * s / 6.0) + self.tension_integral - self.t1 * s
        return stretch + w * s * height + sunk

    def at(self, s: float, compliance: float) -> tuple[float, float]:
        """Place (x, z) of the line's point at unstressed distance `s` from the left end [m]."""
        if s <= 0:
            return 0.0, 0.0
        w = (self.v2 - self.v1) / self.s
        part = self._replace(v2=self.v1 + w * s, s=s)
        return _run(part, compliance), _rise(part, compliance)


class Slopes(NamedTuple):
    """How a piece over a given run changes with H and with v1."""

    s_h: float
    s_v: float
    rise_h: float
    rise_v: float
    s_run: float  #: how its line and its rise change with the run itself
    rise_run: float


class LineSlopes(NamedTuple):
    """How a piece of given unstressed line changes with H, with v1 and with the line itself."""

    run_h: float
    run_v: float  #: and the rise with H: they are the same
    rise_v: float
    run_s: float
    rise_s: float


def piece_between(run: float, horizontal: float, v1: float, weight: float, compliance: float) -> Piece:
    """Piece of line that leaves its left end with given tension and spans a level distance.

    Parameters
    ----------
    run : float
        Level distance, 0 or more. [m]
    horizontal : float
        H, above 0. [N]
    v1 : float
        Upward part of the tension at the left end. [N]
    weight : float
        Per unstressed length, 0 or more. [N/m]
    compliance : float
        1/EA, 0 for a line that can't stretch. [1/N]

    Returns
    -------
    Piece

    Raises
    ------
    CableError
        If the line would have to hang plumb, or Newton's method does not settle.

    Notes
    -----
    x(s) = H s/EA + (H/w) (asinh(v2/H) - asinh(v1/H)), z(s) = (v1 s + w s^2/2)/EA + (T2 - T1)/w: the elastic catenary
    (Irvine, *Cable Structures*, from memory; equations read in the source of the mooring code they are tested with).
    The identities asinh b - asinh a = 2 atanh((b - a)/(sqrt(1 + a^2) + sqrt(1 + b^2))) and
    T2 - T1 = w s (v1 + v2)/(T1 + T2) take the division by w out, so that a weightless line is no special case.

    Examples
    --------
    >>> piece = piece_between(3.0, 300.0, 400.0, 0.0, 0.0)  # weightless: the straight line of 3 m by 4 m
    >>> piece.s, piece.rise
    (5.0, 4.0)
    """
    s = _length_without_stretch(run, horizontal, v1, weight)
    for _ in range(_STEPS):
        piece = Piece(horizontal, v1, v1 + weight * s, run, 0.0, s)
        gap = _run(piece, compliance) - run
        step = gap / (horizontal * (compliance + 1.0 / piece.t2))
        # the length without stretch is too long, and x(s) may bend either way: never step below nothing
        s = s - step if s > step else 0.5 * s
        if abs(step) <= 4e-16 * s:
            break
    else:
        if abs(step) > 1e-12 * s:
            raise CableError("the length of a piece of line did not settle")
    piece = Piece(horizontal, v1, v1 + weight * s, run, 0.0, s)
    return piece._replace(rise=_rise(piece, compliance))


def piece_of(s: float, horizontal: float, v1: float, weight: float, compliance: float) -> Piece:
    """Piece of so much unstressed line that leaves its left end with given tension; see `piece_between`.

    Raises
    ------
    CableError
        If there would be less than no line in it.

    Examples
    --------
    >>> piece = piece_of(5.0, 300.0, 400.0, 0.0, 0.0)
    >>> piece.run, piece.rise
    (3.0, 4.0)
    """
    if not s >= 0:
        raise CableError("a support would take in the point of the line that a load hangs from")
    piece = Piece(horizontal, v1, v1 + weight * s, 0.0, 0.0, s)
    return piece._replace(run=_run(piece, compliance), rise=_rise(piece, compliance))


def line_slopes(piece: Piece, compliance: float) -> LineSlopes:
    """Partial derivatives of a piece's run and rise, by H, v1 and its line.

    Notes
    -----
    d run/d v1 = d rise/d H: both are slopes of the piece's complementary energy; `docs/derivations-cable.md`.
    """
    h, a, b, t1, t2 = piece.horizontal, piece.v1, piece.v2, piece.t1, piece.t2
    per_h = _span_per_h(piece)
    level = h * h * per_h * _sinhc(_angle(piece)) / (t1 * t2)  # H^2 times the integral of 1/T^3
    give = compliance + 1.0 / t2
    return LineSlopes(
        run_h=compliance * piece.s + per_h - level,
        run_v=-h * piece.s * (a + b) / ((t1 + t2) * t1 * t2),
        rise_v=compliance * piece.s + level,
        run_s=h * give,
        rise_s=b * give,
    )


def piece_slopes(piece: Piece, compliance: float) -> Slopes:
    """Partial derivatives of a piece's line and rise, by H, v1 and its run: those of `line_slopes`, run held fast."""
    d = line_slopes(piece, compliance)
    s_h, s_v = -d.run_h / d.run_s, -d.run_v / d.run_s
    return Slopes(s_h, s_v, d.run_v + d.rise_s * s_h, d.rise_v + d.rise_s * s_v, 1.0 / d.run_s, d.rise_s / d.run_s)


def _length_without_stretch(run: float, h: float, v1: float, w: float) -> float:
    eta = w * run / (2.0 * h)
    u1 = math.asinh(v1 / h)
    if eta > _DEEPEST or abs(u1 + eta) > 2 * _DEEPEST:
        raise CableError("the line would hang plumb: its level tension is nothing beside its weight")
    return run * math.cosh(u1 + eta) * _sinhc(eta)


def _run(piece: Piece, compliance: float) -> float:
    return piece.horizontal * (compliance * piece.s + _span_per_h(piece))


def _rise(piece: Piece, compliance: float) -> float:
    a, b, s = piece.v1, piece.v2, piece.s
    return s * (a + b) * (0.5 * compliance + 1.0 / (piece.t1 + piece.t2))


def _span_per_h(piece: Piece) -> float:
    """Integral of 1/T over unstressed line: the level run of the line per H, but for its stretch."""
    total = piece.t1 + piece.t2
    return 2.0 * piece.s / total * _atanhc((piece.v2 - piece.v1) / total)


def _angle(piece: Piece) -> float:
    """How far the slope angle turns, in hyperbolic measure."""
    return 2.0 * math.atanh((piece.v2 - piece.v1) / (piece.t1 + piece.t2))


def _atanhc(q: float) -> float:
    return math.atanh(q) / q if abs(q) > 1e-4 else 1.0 + q * q / 3.0


def _sinhc(x: float) -> float:
    return math.sinh(x) / x if abs(x) > 1e-4 else 1.0 + x * x / 6.0
