"""A measured load curve: a rope that loads along one path and unloads along another."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.arrest.parts import Chain

__all__ = ["CurvedChain", "LoadCurve"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class LoadCurve:
    """Force against strain of a rope as measured in a pull, in straight pieces, and how it unloads.

    Parameters
    ----------
    strain : sequence of float, shape (k,)
        From 0, rising; at least two. [-]
    force : sequence of float, shape (k,)
        From 0, rising. [N]
    unloading : float
        Force per unit strain while the load comes off, at least that of the steepest piece. [N]

    Raises
    ------
    ValueError
        If the points don't rise from 0, or the rope would unload above its loading path.

    Notes
    -----
    The force follows the curve as long as strain grows; when it falls, force falls along a straight line, and comes
    back up that line until the curve is met again. Nothing depends on time, so that it neither jumps at first contact
    nor creeps; what lies between the two paths is lost. Beyond the last point the last piece goes on.

    Examples
    --------
    >>> curve = LoadCurve(strain=(0.0, 0.05, 0.10), force=(0.0, 1e3, 4e3), unloading=100e3)
    >>> curve.force_at([0.05, 0.075, 0.2]), curve.strain_at([1e3, 10e3])
    (array([ 1000.,  2500., 10000.]), array([0.05, 0.2 ]))
    >>> curve.energy_at(0.10), round(curve.recovery, 2)
    (array(150.), 0.53)
    """

    strain: tuple[float, ...]
    force: tuple[float, ...]
    unloading: float

    def __post_init__(self) -> None:
        x, f = np.asarray(self.strain, dtype=np.float64), np.asarray(self.force, dtype=np.float64)
        if x.ndim != 1 or len(x) < 2 or x.shape != f.shape:
            raise ValueError(f"a load curve needs as many forces as strains, 2 or more, got {x.shape} and {f.shape}")
        if x[0] != 0 or f[0] != 0 or not ((np.diff(x) > 0).all() and (np.diff(f) > 0).all()):  # also catches nan
            raise ValueError("strain and force of a load curve must rise from 0")
        if not (np.isfinite(x).all() and np.isfinite(f).all()):
            raise ValueError("strain and force of a load curve must be finite")
        if not self.unloading >= self.slopes.max() * (1 - 1e-12):
            raise ValueError(
                f"a rope must unload at least as steeply as its steepest piece, {self.slopes.max():g} N, "
                f"got {self.unloading:g} N"
            )

    @classmethod
    def with_recovery(cls, strain: ArrayLike, force: ArrayLike, recovery: float) -> LoadCurve:
        """Curve that gives back a share of its energy when it unloads from its last point.

        Parameters
        ----------
        strain, force : sequence of float, shape (k,)
            As for the class. [-], [N]
        recovery : float
            Above 0, below 1; the stiffer the curve grows, the less it can give back along a straight line. [-]

        Raises
        ------
        ValueError
            If no straight line gives back that share.

        Examples
        --------
        >>> LoadCurve.with_recovery((0.0, 0.05, 0.10), (0.0, 1e3, 4e3), 0.5).unloading.__round__()
        106667
        """
        x, f = np.asarray(strain, dtype=np.float64), np.asarray(force, dtype=np.float64)
        if not 0 < recovery < 1:
            raise ValueError(f"recovery must be above 0 and below 1, got {recovery:g}")
        # steep enough to pass the check of the points first
        rigid = cls(tuple(x.tolist()), tuple(f.tolist()), np.inf)
        most = rigid.force[-1] ** 2 / (2 * rigid.slopes.max() * float(rigid.energy_at(x[-1])))
        if recovery > most:
            raise ValueError(f"this curve can give back at most {most:.3g} along a straight line, got {recovery:g}")
        return cls(rigid.strain, rigid.force, rigid.force[-1] ** 2 / (2 * recovery * float(rigid.energy_at(x[-1]))))

    @cached_property
    def slopes(self) -> Floats:
        """Force per unit strain of each piece, shape (k - 1,) [N]."""
        slopes: Floats = np.diff(self.force) / np.diff(self.strain)
        return slopes

    @property
    def recovery(self) -> float:
        """Share of the energy that comes back when it unloads from its last point [-]."""
        return self.force[-1] ** 2 / (2 * self.unloading) / float(self.energy_at(self.strain[-1]))

    def force_at(self, strain: ArrayLike) -> Floats:
        """Force on the loading path [N]."""
        x = np.asarray(strain, dtype=np.float64)
        beyond = np.maximum(x - self.strain[-1], 0.0) * self.slopes[-1]
        force: Floats = np.interp(x, self.strain, self.force) + beyond
        return force

    def strain_at(self, force: ArrayLike) -> Floats:
        """Strain on the loading path [-]."""
        f = np.asarray(force, dtype=np.float64)
        beyond = np.maximum(f - self.force[-1], 0.0) / self.slopes[-1]
        strain: Floats = np.interp(f, self.force, self.strain) + beyond
        return strain

    def energy_at(self, strain: ArrayLike) -> Floats:
        """Work that loading to a strain takes, per length of rope [J/m]."""
        x = np.asarray(strain, dtype=np.float64)
        known_x, known_f = np.asarray(self.strain), np.asarray(self.force)
        known = np.concatenate([[0.0], np.cumsum(0.5 * (known_f[1:] + known_f[:-1]) * np.diff(known_x))])
        piece = np.clip(np.searchsorted(known_x, x, side="right") - 1, 0, len(known_x) - 2)
        more = x - known_x[piece]
        energy: Floats = np.asarray(known[piece] + more * (known_f[piece] + 0.5 * self.slopes[piece] * more))
        return energy


@dataclass(frozen=True)
class CurvedChain(Chain):
    """A `Chain` whose rope follows a measured load curve; fields broadcast to one shape (n,).

    Parameters
    ----------
    curve : LoadCurve
        The same rope for all.
    length : float or array, shape (n,)
        Of rope that stretches, above 0. [m]
    stiffness : float or array, shape (n,)
        First piece of the curve over the length; the whole curve goes with it, so that it carries scatter. [N/m]

    Raises
    ------
    ValueError
        As `Chain`; or if there is a second spring, whose part the curve plays.

    Examples
    --------
    >>> curve = LoadCurve((0.0, 0.05, 0.10), (0.0, 1e3, 4e3), unloading=100e3)
    >>> chain = CurvedChain.of(curve, 10.0, mass=100.0, free_fall=1.0)
    >>> chain.parts.stiffness, chain.factor
    (array([2000.]), array([1.]))
    """

    curve: LoadCurve = field(kw_only=True)
    length: ArrayLike = field(kw_only=True)

    @classmethod
    def of(cls, curve: LoadCurve, length: ArrayLike, *, factor: ArrayLike = 1.0, **others: ArrayLike) -> CurvedChain:
        """Chain with a rope of this curve.

        Parameters
        ----------
        curve : LoadCurve
        length : float or array, shape (n,)
            Above 0. [m]
        factor : float or array, shape (n,)
            Force of this rope over that of the curve, above 0. [-]
        **others
            Fields of `Chain`.
        """
        stiffness = np.asarray(factor) * curve.slopes[0] / np.asarray(length, dtype=np.float64)
        return cls(stiffness=stiffness, curve=curve, length=length, **others)

    def __post_init__(self) -> None:
        if not (np.asarray(self.length) > 0).all():
            raise ValueError("length must be above 0")
        super().__post_init__()
        if (self.parts.fast_stiffness > 0).any():
            raise ValueError("a rope with a load curve has no second spring")
        np.broadcast_shapes(np.shape(self.length), self.parts.mass.shape)

    @cached_property
    def lengths(self) -> Floats:
        """Rope that stretches, shape (n,) [m]."""
        return np.broadcast_to(np.asarray(self.length, dtype=np.float64), self.parts.mass.shape)

    @cached_property
    def factor(self) -> Floats:
        """Force over that of the curve, shape (n,) [-]."""
        factor: Floats = self.parts.stiffness * self.lengths / self.curve.slopes[0]
        return factor

    def slow_stretch(self, force: ArrayLike) -> Floats:
        """Stretch of rope and springs under a force, shape (n,) [m]."""
        rope = self.lengths * self.curve.strain_at(np.asarray(force) / self.factor)
        stretch: Floats = rope + np.asarray(force) * self.parts.compliance
        return stretch

    def undamped_peak(self) -> Floats:
        """Peak force with nothing that slides, shape (n,) [N]."""
        from ropewright.arrest.curve_catch import curve_falls

        bare = replace(self, absorber_force=0.0, absorber_length=0.0, grab_slip_force=np.inf, grab_slip_length=0.0)
        return curve_falls(bare).force
