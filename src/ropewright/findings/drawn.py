"""What draws of the inputs made of one finding: spread, share that holds, and what to pin down first."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Drawn", "PinDown", "Share"]


@dataclass(frozen=True, slots=True)
class Share:
    """Share of the draws, with the interval in which the true share lies with 95 % confidence. [-]"""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class PinDown:
    """One input in doubt and what it brings.

    Parameters
    ----------
    input : str
        What it is: ``mass``.
    advice : str
        What to do about it, to start a sentence: ``Weigh the worker``; empty where nothing can be done on site.
    share : float
        Of the spread, by itself and together with others (total Sobol index), so that all may add up to more than 1.
        [-]
    """

    input: str
    advice: str
    share: float


@dataclass(frozen=True, slots=True)
class Drawn:
    """What draws of the inputs made of a finding that has a spread. It never changes the verdict.

    Parameters
    ----------
    draws : int
    levels : tuple of float
        Shares of the draws at which `values` are told. [-]
    values : tuple of float
        So great a share of the draws lies at or below each; SI; infinite where nothing stops the fall.
    here : Share or None
        Draws in which the finding holds where it is told; None where there is no limit to hold.
    everywhere : Share or None
        Draws in which it holds at every edge point that is reached.
    together : Share
        Draws in which it and the other findings drawn for this worker hold at every such point.
    pin_down : tuple of PinDown
        The input that decides most of the spread first.
    text : str
        Spread and shares in words, in the job's units.
    first : str
        What to pin down first, in words; empty where nothing is in doubt.
    """

    draws: int
    levels: tuple[float, ...]
    values: tuple[float, ...]
    here: Share | None
    everywhere: Share | None
    together: Share
    pin_down: tuple[PinDown, ...]
    text: str
    first: str
