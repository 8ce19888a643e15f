"""A worker on a horizontal line, and what ties the worker to it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ropewright.arrest.cable import PointLoad
from ropewright.arrest.parts import GRAVITY

__all__ = ["LineWorker"]


@dataclass(frozen=True, slots=True)
class LineWorker:
    """A worker tied to a horizontal line by a lanyard, with or without an energy absorber in it.

    Parameters
    ----------
    at : float
        Level distance from the left anchor of the place under which the worker falls. [m]
    mass : float
        With clothing and tools, above 0. [kg]
    free_fall : float
        Fall until the lanyard is tight on the line at rest, 0 or more. [m]
    stiffness : float
        Of the lanyard and what else stretches between line and body; infinite: rigid, which errs high in force. [N/m]
    fast_stiffness, relaxation_time : float
        What a fast pull adds to it and then relaxes, as in a `Chain`. [N/m], [s]
    absorber_force, absorber_length : float
        The energy absorber in the lanyard: rigid below this force, opens at it for at most this length, then rigid
        again; force or length 0: none. [N], [m]

    Raises
    ------
    ValueError
        If a number is out of its range.

    Examples
    --------
    >>> round(LineWorker(at=10.0, mass=100.0, free_fall=1.8).weight, 3)
    980.665
    """

    at: float
    mass: float
    free_fall: float
    stiffness: float = math.inf
    fast_stiffness: float = 0.0
    relaxation_time: float = math.inf
    absorber_force: float = 0.0
    absorber_length: float = 0.0

    def __post_init__(self) -> None:
        if not (0 < self.mass < math.inf and self.stiffness > 0):  # also catches nan
            raise ValueError("mass and stiffness must be above 0, the mass finite")
        finite = (self.free_fall, self.fast_stiffness, self.absorber_force, self.absorber_length)
        if not all(0 <= value < math.inf for value in finite) or not self.relaxation_time > 0:
            raise ValueError("free fall, fast stiffness and absorber must be 0 or more and finite, relaxation above 0")

    @classmethod
    def still(cls, load: PointLoad) -> LineWorker:
        """Return a body that weighs as much as a load and hangs where it hangs."""
        return cls(load.at, load.force / GRAVITY, 0.0)

    @property
    def weight(self) -> float:
        """Weight of the worker [N]."""
        return self.mass * GRAVITY

    @property
    def resting(self) -> PointLoad:
        """The worker hanging still on the line."""
        return PointLoad(self.at, self.weight)

    @property
    def has_absorber(self) -> bool:
        """True if there is an absorber in the lanyard that can open."""
        return self.absorber_force > 0 and self.absorber_length > 0

    @property
    def fast_compliance(self) -> float:
        """Stretch per force of the lanyard pulled at once [m/N]."""
        return 1.0 / (self.stiffness + self.fast_stiffness)
