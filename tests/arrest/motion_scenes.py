"""Plain roofs for falls in three dimensions: one straight edge, with the anchor in sight of all of it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ropewright.arrest.motion_scene import Scene, Solid
from ropewright.arrest.rim import Rim, RimEdge

#: Slope of the facet above the edge. [rad]
SLOPE = np.radians(30.0)
UP = np.array([0.0, -np.sin(SLOPE), np.cos(SLOPE)])


def on_slope(along: float, upslope: float) -> np.ndarray:
    """Point of the facet, from the foot of the edge's zero."""
    return np.array([along, upslope * np.cos(SLOPE), upslope * np.sin(SLOPE)])


def straight(anchor: np.ndarray):
    """Rope that runs straight from the anchor to points on or above the facet."""
    return lambda points: (np.linalg.norm(points - anchor, axis=1), np.tile(anchor, (len(points), 1)))


def eave_scene(anchor: ArrayLike, things: tuple[Solid, ...] = (), half: float = 60.0) -> Scene:
    """A level eave along x at height 0; the building lies toward +y."""
    eave = RimEdge(np.array([-half, 0.0, 0.0]), np.array([half, 0.0, 0.0]), UP, "eave")
    return Scene(Rim([eave], straight(np.asarray(anchor, float)), spacing=half), things)


def rake_scene(anchor: ArrayLike, pitch: float) -> Scene:
    """A rake that climbs along +x, on a facet whose level lines run along y, toward the building."""
    along = np.array([np.cos(pitch), 0.0, np.sin(pitch)])
    up = np.array([-np.sin(pitch), 0.0, np.cos(pitch)])
    rake = RimEdge(-40.0 * along, 40.0 * along, up, "rake")
    return Scene(Rim([rake], straight(np.asarray(anchor, float)), spacing=80.0))
