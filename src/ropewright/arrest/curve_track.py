"""One fall on a load curve followed in time, through its first rest and what comes after."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.curve import CurvedChain
from ropewright.arrest.parts import GRAVITY

__all__ = ["Track", "follow_curve"]

Floats = NDArray[np.float64]


class Track(NamedTuple):
    """A fall from its first tension on, at even steps of time."""

    step: float  #: [s]
    travel: Floats  #: of the mass from first tension [m]
    speed: Floats  #: downward [m/s]
    force: Floats  #: [N]
    rope: Floats  #: stretch, permanent set included [m]
    absorber: Floats  #: [m]
    grab: Floats  #: [m]


class _Law:
    """Force of one chain at an extension, with what its rope has been pulled to and its parts have slid."""

    def __init__(self, chain: CurvedChain) -> None:
        p = chain.parts
        self.chain = chain
        self.scale, self.length = float(chain.factor[0]), float(chain.lengths[0])
        self.give = float(p.compliance[0])
        self.absorber = float(p.absorber_force[0]) if p.has_absorber[0] else np.inf
        self.lockout = 1.0 / float(p.lockout_stiffness[0])
        parts = [("absorber", self.absorber, float(p.absorber_length[0]))]
        parts.append(("grab", float(p.grab_slip_force[0]) if p.has_slip[0] else np.inf, float(p.grab_slip_length[0])))
        self.slides = sorted((s for s in parts if np.isfinite(s[1])), key=lambda s: s[1])
        self.slid = {"absorber": 0.0, "grab": 0.0}
        self.peak = 0.0  # greatest force so far, which says where the rope unloads
        knots = {*(self.scale * f for f in chain.curve.force), *(s[1] for s in self.slides)}
        self.forces = np.array(sorted(knots))
        self.extensions = np.array([self.loaded(f) for f in self.forces])
        self.soft = self.length / (self.scale * float(chain.curve.slopes[-1])) + self.give
        self.back = self.length / (self.scale * chain.curve.unloading)

    def loaded(self, force: float) -> float:
        """Elastic extension on the loading path."""
        rope = self.length * float(self.chain.curve.strain_at(force / self.scale))
        return rope + self.give * force + self.locked(force)

    def locked(self, force: float) -> float:
        """What a spent absorber gives beyond its force."""
        return max(force - self.absorber, 0.0) * self.lockout if np.isfinite(self.absorber) else 0.0

    def force_at(self, extension: float) -> float:
        """Force at an extension of the chain; parts slide, and the rope remembers its greatest load."""
        e = extension - sum(self.slid.values())
        for name, force, most in self.slides:
            more = min(max(e - self.loaded(force), 0.0), most - self.slid[name])
            self.slid[name] += more
            e -= more
        force = max(min(self._loading(e), self._unloading(e)), 0.0)
        self.peak = max(self.peak, force)
        return force

    def rope(self, force: float) -> float:
        """Stretch of the rope; slack, it keeps its set."""
        top = self.length * float(self.chain.curve.strain_at(self.peak / self.scale))
        return top - (self.peak - force) * self.back

    def _loading(self, e: float) -> float:
        if e <= self.extensions[-1]:
            return float(np.interp(e, self.extensions, self.forces))
        lockout = self.lockout if np.isfinite(self.absorber) else 0.0
        return float(self.forces[-1] + (e - self.extensions[-1]) / (self.soft + lockout))

    def _unloading(self, e: float) -> float:
        if self.peak == 0.0:
            return np.inf  # nothing to unload from
        start = self.rope(0.0)
        force = (e - start) / (self.back + self.give)
        if force > self.absorber:
            force = (e - start + self.absorber * self.lockout) / (self.back + self.give + self.lockout)
        # past the greatest load the rope is on its curve again
        return force if force < self.peak else np.inf


def follow_curve(chain: CurvedChain, duration: float, error_bound: float, most: int) -> Track:
    """Follow one fall from its first tension on.

    Parameters
    ----------
    chain : CurvedChain, shape (1,)
    duration : float
        Above 0. [s]
    error_bound : float
        See `ropewright.arrest.steps.step_length`. [-]
    most : int
        Steps taken at most.

    Notes
    -----
    Leapfrog, as the kernel's. The rope loses energy only on new paths: once below its greatest load it swings on for
    ever, which real ropes don't; the height of later swings errs high.
    """
    law, mass = _Law(chain), float(chain.parts.mass[0])
    stiffest = 1.0 / (law.back + law.give)
    h = float(np.sqrt(8.0 / 3.0 * error_bound * mass / stiffest))
    steps = min(int(np.ceil(duration / h)), most)
    rows = np.zeros((steps + 1, 6))
    travel, half = 0.0, float(np.sqrt(2 * GRAVITY * chain.parts.drop[0])) + 0.5 * h * GRAVITY
    rows[0, 1] = half - 0.5 * h * GRAVITY
    for i in range(1, steps + 1):
        travel += h * half
        force = law.force_at(travel)
        a = GRAVITY - force / mass
        rows[i] = travel, half + 0.5 * h * a, force, law.rope(force), law.slid["absorber"], law.slid["grab"]
        half += h * a
    return Track(h, *rows.T)
