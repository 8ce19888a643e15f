"""Hauling a load: what pulleys gain, what their friction takes, how much rope is pulled, how many people pull."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = [
    "GRIP_SUSTAINED",
    "GRIP_WEAKEST",
    "HaulSystem",
    "efficiency_of",
    "haulers",
    "pull_with_efficiency",
    "pulley_efficiency_for",
]

#: Pull of one hauler on a rope, kept up. [N] Judgement from a mean grip of 209 N on a moving rope (rescue belay study
#: quoted at the International Technical Rescue Symposium 2006, slide read).
GRIP_SUSTAINED = 200.0

#: Pull of the weakest hand of the same study; for a line that one hand must hold alone. [N] Read second hand.
GRIP_WEAKEST = 46.0


@dataclass(frozen=True, slots=True)
class HaulSystem:
    """Pulleys between a load and the haulers.

    ::

        anchor o----.           a simple system of 3 parts: three strands carry the load; two pulleys bend the rope,
               |    |           and the haulers pull the tail the way the load goes; with a third pulley on the
               |  .-+-- tail    anchor they pull the other way (`redirects` 1)
              (o)--'
               |
             load

    Parameters
    ----------
    parts : tuple of int
        Strands that carry the load in each simple system, from the load to the haulers, each 1 or more: (3,) for
        three to one, (3, 3) for three to one that pulls on the tail of another.
    efficiency : float
        Of one pulley: tension out over tension in, for half a turn, above 0 and at most 1. [-]
    redirects : int
        Pulleys beyond those that gain, which only turn the tail to another direction.

    Raises
    ------
    ValueError
        If a value is out of its range.

    Examples
    --------
    >>> system = HaulSystem((3,), efficiency=0.9)
    >>> round(system.advantage, 2), system.ratio
    (2.71, 3)
    """

    parts: tuple[int, ...]
    efficiency: float = 1.0
    redirects: int = 0

    def __post_init__(self) -> None:
        if not self.parts or min(self.parts) < 1 or self.redirects < 0:
            raise ValueError("a system has one strand or more in each stage, and 0 redirects or more")
        if not 0 < self.efficiency <= 1:  # also catches nan
            raise ValueError(f"efficiency must be above 0 and at most 1, got {self.efficiency}")

    @property
    def ratio(self) -> int:
        """Rope pulled per height raised: the advantage without friction [-]."""
        return math.prod(self.parts)

    @property
    def advantage(self) -> float:
        """Load over pull while the load rises [-].

        Notes
        -----
        1 + eta + ... + eta^(n-1) for n strands, since each pulley passes on eta of the tension; stages multiply, and
        a redirect takes another eta.
        """
        stages = (sum(self.efficiency**k for k in range(n)) for n in self.parts)
        return math.prod(stages) * self.efficiency**self.redirects

    @property
    def lowering_advantage(self) -> float:
        """Load over the pull below which the load runs back down, where friction helps [-]."""
        stages = (sum(self.efficiency**-k for k in range(n)) for n in self.parts)
        return math.prod(stages) * self.efficiency**-self.redirects

    @property
    def overall_efficiency(self) -> float:
        """Advantage over the ratio: share of the haulers' work that reaches the load [-]."""
        return self.advantage / self.ratio

    def pull(self, load: float) -> float:
        """Pull of the haulers that raises a load [N]."""
        return load / self.advantage

    def hold(self, load: float) -> float:
        """Pull that holds a load still if friction is not counted on [N]."""
        return load / self.ratio

    def runs_back(self, load: float) -> float:
        """Pull below which the load runs back down in spite of friction [N]."""
        return load / self.lowering_advantage

    def rope(self, height: float) -> float:
        """Rope that the haulers pull to raise a load by a height [m]."""
        return self.ratio * height

    def rise_per_throw(self, throw: float) -> float:
        """Height gained until the moving pulleys have run their length, and the system must be set back [m].

        Parameters
        ----------
        throw : float
            Way that each moving pulley has, from where it starts to its anchor pulley. [m]

        Notes
        -----
        The moving pulley of a stage goes as fast as the tail of the stage before: the last one runs out first.
        """
        return throw / math.prod(self.parts[:-1])

    def resets(self, height: float, throw: float) -> int:
        """How often the system must be set back to raise a load by a height.

        Examples
        --------
        >>> HaulSystem((3,)).resets(10.0, 4.0), HaulSystem((3, 3)).resets(10.0, 4.0)
        (2, 7)
        """
        throws = height / self.rise_per_throw(throw)
        return max(0, math.ceil(throws - 1e-9) - 1)

    def anchor_force(self, load: float) -> float:
        """Most that an anchor carries that holds everything, with all strands side by side [N]."""
        return load + self.pull(load)


def haulers(pull: float, per_person: float = GRIP_SUSTAINED) -> int:
    """People needed for a pull.

    Parameters
    ----------
    pull : float
        On the rope, 0 or more. [N]
    per_person : float
        What each of them keeps up, above 0. [N]

    Raises
    ------
    ValueError
        If a value is out of its range.

    Examples
    --------
    >>> haulers(361.9), haulers(361.9, GRIP_WEAKEST)
    (2, 8)
    """
    if not (pull >= 0 and per_person > 0):  # also catches nan
        raise ValueError("the pull must be 0 or more, and what each person pulls above 0")
    return max(1, math.ceil(pull / per_person - 1e-9))


def efficiency_of(load: float, pull: float, ratio: float) -> float:
    """Overall efficiency of a machine from what it was seen to do: load over pull, over its ratio [-].

    Examples
    --------
    >>> round(efficiency_of(100.0, 20.0, 6.0), 4)
    0.8333
    """
    if not (load > 0 and pull > 0 and ratio > 0):  # also catches nan
        raise ValueError("load, pull and ratio must be above 0")
    return load / (pull * ratio)


def pull_with_efficiency(load: float, ratio: float, efficiency: float) -> float:
    """Pull that raises a load with a machine of known overall efficiency [N].

    Examples
    --------
    >>> round(pull_with_efficiency(1000.0, 5.0, 0.75), 2)
    266.67
    """
    if not (load >= 0 and ratio > 0 and 0 < efficiency <= 1):  # also catches nan
        raise ValueError("load must be 0 or more, ratio above 0, efficiency above 0 and at most 1")
    return load / (ratio * efficiency)


def pulley_efficiency_for(parts: Sequence[int], advantage: float) -> float:
    """Efficiency of one pulley with which a system has a measured advantage.

    Parameters
    ----------
    parts : sequence of int
        As in `HaulSystem`.
    advantage : float
        Measured load over pull while it rises, above 1 and at most the ratio. [-]

    Returns
    -------
    float
        [-]

    Raises
    ------
    ValueError
        If no pulley gives such an advantage.

    Examples
    --------
    >>> round(pulley_efficiency_for((3,), 2.0), 4)  # 1 + eta + eta^2 = 2
    0.618
    """
    if not 1 < advantage <= math.prod(parts):
        raise ValueError(f"no pulley gives this system an advantage of {advantage}")
    low, high = 0.0, 1.0
    for _ in range(60):  # the advantage grows with the efficiency: halving settles to the last digit
        middle = 0.5 * (low + high)
        if HaulSystem(tuple(parts), middle).advantage < advantage:
            low = middle
        else:
            high = middle
    return high
