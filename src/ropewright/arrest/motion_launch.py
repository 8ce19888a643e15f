"""How falls in three dimensions begin, and what falls."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

__all__ = ["Body", "Launch"]


@dataclass(frozen=True)
class Launch:
    """How each of n falls begins; fields broadcast to one shape (n,), places and speeds to (n, 3).

    Parameters
    ----------
    edge : int or array
        Index of the edge of the rim that the fall goes over.
    place : array, shape (3,) or (n, 3)
        D-ring as the fall begins: over or beside the edge, or on the facet above it. [m]
    length : float or array
        Anchor to D-ring as just taut, 0 or more; the grab's travel to lock comes on top, from the chain. [m]
    lanyard : float or array
        Part of that length which is not rope, on the body side, 0 or more. [m]
    upstream : float or array
        Share of the rope beyond the edge that works: less than 1 where it rubs over a ridge further up. [-]
    velocity : array, shape (3,) or (n, 3)
        [m/s]
    edge_friction, roof_friction, wall_friction : float or array
        Rope on the edge, body on the roof, body on the wall, 0 or more. [-]
    floor : float or array
        Height at which something lies below this fall, wherever it goes, beside the things of the scene. [m]

    Raises
    ------
    ValueError
        If a number is out of its range or a shape is another.
    """

    edge: ArrayLike
    place: ArrayLike
    length: ArrayLike
    lanyard: ArrayLike = 0.0
    upstream: ArrayLike = 1.0
    velocity: ArrayLike = (0.0, 0.0, 0.0)
    edge_friction: ArrayLike = 0.0
    roof_friction: ArrayLike = 0.0
    wall_friction: ArrayLike = 0.0
    floor: ArrayLike = -np.inf

    def __post_init__(self) -> None:
        for name in ("length", "lanyard", "upstream", "edge_friction", "roof_friction", "wall_friction"):
            values = np.asarray(getattr(self, name), float)
            if not ((values >= 0) & np.isfinite(values)).all():  # also catches nan
                raise ValueError(f"{name} must be 0 or more and finite")
        if np.isnan(np.asarray(self.floor, float)).any():
            raise ValueError("floor must be a number")
        for name in ("place", "velocity"):
            values = np.asarray(getattr(self, name), float)
            if values.ndim not in (1, 2) or values.shape[-1] != 3 or not np.isfinite(values).all():
                raise ValueError(f"{name} must be finite numbers of shape (3,) or (n, 3), got shape {values.shape}")

    @property
    def shapes(self) -> list[tuple[int, ...]]:
        """Shapes that the number of falls follows from."""
        names = ("edge", "length", "lanyard", "upstream", "edge_friction", "roof_friction", "wall_friction", "floor")
        points = [np.shape(self.place)[:-1], np.shape(self.velocity)[:-1]]
        return [np.shape(getattr(self, name)) for name in names] + points


@dataclass(frozen=True)
class Body:
    """What a falling person is here: a mass at the D-ring, and an upright cylinder that meets things.

    Parameters
    ----------
    below, above : float or array, shape (n,)
        Lowest and highest point of the body from the D-ring, as it hangs, 0 or more. [m]
    radius : float
        Half its width, 0 to 1. [m]

    Raises
    ------
    ValueError
        If a number is out of its range.
    """

    below: ArrayLike = 0.0
    above: ArrayLike = 0.0
    radius: float = 0.3

    def __post_init__(self) -> None:
        for name in ("below", "above"):
            values = np.asarray(getattr(self, name), float)
            if not ((values >= 0) & np.isfinite(values)).all():
                raise ValueError(f"{name} must be 0 m or more and finite")
        if not 0 <= self.radius <= 1:
            raise ValueError(f"radius must be 0 m to 1 m, got {self.radius:g}")
