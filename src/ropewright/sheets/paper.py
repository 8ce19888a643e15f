"""Sheet, scale and the way from metres on the roof to millimetres on paper."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.quantity import UnitSystem

__all__ = ["Box", "Plan", "Scale", "Sheet", "extent_on_paper", "fitting_scale", "sheet_for"]

Floats = NDArray[np.float64]

FOOT = 0.3048  #: [m]


@dataclass(frozen=True, slots=True)
class Sheet:
    """Paper a map is drawn for: the part of a page inside its margins, in mm."""

    name: str
    width: float
    height: float


#: US letter is 215.9 x 279.4 mm (ANSI/ASME Y14.1 size A), A4 210 x 297 mm (ISO 216), both from memory.
_SHEETS = {
    UnitSystem.US: Sheet("US letter", 192.0, 241.0),
    UnitSystem.METRIC: Sheet("A4", 186.0, 257.0),
}


def sheet_for(units: UnitSystem) -> Sheet:
    """Paper that is in the printer where these units are in use.

    Examples
    --------
    >>> sheet_for(UnitSystem.METRIC).name
    'A4'
    """
    return _SHEETS[units]


@dataclass(frozen=True, slots=True)
class Scale:
    """How much smaller than life a drawing is.

    Parameters
    ----------
    ratio : float
        100 for 1:100. [-]
    text : str
        As it stands on the sheet.
    bar : float
        Length that the scale bar stands for. [m]
    bar_step : float
        Length of one of its fields. [m]
    """

    ratio: float
    text: str
    bar: float
    bar_step: float

    def paper(self, metres: float) -> float:
        """Length on paper, in mm.

        Examples
        --------
        >>> Scale(100, "1:100", 5, 1).paper(12.0)
        120.0
        """
        return metres * 1000 / self.ratio


def _metric(ratio: int, bar: float, step: float) -> Scale:
    return Scale(ratio, f"1:{ratio:,}".replace(",", " "), bar, step)


def _inch(inch: str, feet: int, bar: float, step: float) -> Scale:
    """``1/8`` inch on paper for 1 foot, or 1 inch for 20 feet."""
    top, _, under = inch.partition("/")
    ratio = feet * 12 / (int(top) / int(under or "1"))
    return Scale(ratio, f'{inch}" = {feet}\'-0" (1:{ratio:g})', bar * FOOT, step * FOOT)


#: Scales on an architect's or engineer's rule in the trade's use, largest first.
_SCALES: dict[UnitSystem, tuple[Scale, ...]] = {
    UnitSystem.METRIC: (
        _metric(20, 0.8, 0.2),
        _metric(25, 1, 0.25),
        _metric(50, 2, 0.5),
        _metric(75, 3, 1),
        _metric(100, 4, 1),
        _metric(125, 5, 1),
        _metric(150, 6, 2),
        _metric(200, 8, 2),
        _metric(250, 10, 2),
        _metric(300, 10, 5),
        _metric(400, 15, 5),
        _metric(500, 20, 5),
        _metric(750, 30, 10),
        _metric(1000, 40, 10),
        _metric(2000, 80, 20),
    ),
    UnitSystem.US: (
        _inch("1/2", 1, 3, 1),
        _inch("3/8", 1, 4, 1),
        _inch("1/4", 1, 6, 2),
        _inch("3/16", 1, 8, 2),
        _inch("1/8", 1, 10, 5),
        _inch("3/32", 1, 15, 5),
        _inch("1/16", 1, 20, 5),
        _inch("1", 20, 30, 10),
        _inch("1", 30, 40, 10),
        _inch("1", 40, 60, 20),
        _inch("1", 50, 60, 20),
        _inch("1", 60, 80, 20),
        _inch("1", 100, 100, 50),
        _inch("1", 200, 250, 50),
    ),
}


#: Least and greatest corner of something in plan, shape (2, 2) [m], and the room to leave round it on paper [mm].
Box = tuple[Floats, float]


def extent_on_paper(boxes: Sequence[Box], ratio: float) -> Floats:
    """Least and greatest corner of several boxes with the room round them, shape (2, 2).

    Returns
    -------
    array, shape (2, 2)
        From the job's origin, y still up. [mm]

    Examples
    --------
    >>> extent_on_paper([(np.array([[0.0, 0.0], [12.0, 8.0]]), 17.0)], 100.0)
    array([[-17., -17.],
           [137.,  97.]])
    """
    low = np.min([corners[0] * 1000 / ratio - margin for corners, margin in boxes], axis=0)
    high = np.max([corners[1] * 1000 / ratio + margin for corners, margin in boxes], axis=0)
    return np.array([low, high])


def fitting_scale(boxes: Sequence[Box], room: Sequence[float], units: UnitSystem) -> Scale:
    """Largest usual scale at which boxes fit.

    Parameters
    ----------
    boxes : sequence of (corners, margin)
        Least and greatest corner, shape (2, 2) [m], and what to leave round them [mm].
    room : two floats
        Room on paper, wider and deeper than the margins. [mm]
    units : UnitSystem

    Returns
    -------
    Scale
        Beyond the smallest usual scale, a round ratio that fits.

    Raises
    ------
    ValueError
        If the margins alone do not fit.

    Examples
    --------
    >>> house = np.array([[0.0, 0.0], [12.0, 8.0]])
    >>> fitting_scale([(house, 17.0)], (186, 186), UnitSystem.METRIC).text
    '1:100'
    >>> print(fitting_scale([(house, 17.0)], (192, 170), UnitSystem.US).text)
    1/8" = 1'-0" (1:96)
    """

    def fits(ratio: float) -> bool:
        low, high = extent_on_paper(boxes, ratio)
        return bool(np.all(high - low <= np.asarray(room) + 1e-9))

    if not fits(math.inf):
        raise ValueError(f"margins leave no room on a drawing of {room[0]:g} mm by {room[1]:g} mm")
    for scale in _SCALES[units]:
        if fits(scale.ratio):
            return scale
    ratio = 5000
    while not fits(ratio):
        ratio *= 2
    unit = FOOT if units is UnitSystem.US else 1.0
    step = 10.0 ** math.floor(math.log10(0.006 * ratio / unit)) * unit
    return Scale(ratio, f"1:{ratio:,}".replace(",", " "), 5 * step, step)


@dataclass(frozen=True, slots=True)
class Plan:
    """Where a point of the job lies on the sheet: y up in the job, down on paper.

    Parameters
    ----------
    scale : Scale
    origin : tuple of float
        Point of the job in the middle of the drawing. [m]
    middle : tuple of float
        The same on the sheet. [mm]
    """

    scale: Scale
    origin: tuple[float, float]
    middle: tuple[float, float]

    def place(self, points: Floats) -> Floats:
        """Points on the sheet, shape (..., 2), from points of the job, shape (..., 2 or 3), in mm.

        Examples
        --------
        >>> Plan(Scale(100, "1:100", 5, 1), (0.0, 0.0), (90.0, 100.0)).place(np.array([1.0, 2.0, 7.0]))
        array([100.,  80.])
        """
        factor = np.array([1000.0, -1000.0]) / self.scale.ratio
        placed: Floats = (np.asarray(points, float)[..., :2] - self.origin) * factor + self.middle
        return placed
