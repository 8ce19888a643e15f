"""Falls in motion on a real roof: its rim with the ropes of one anchor, what stands round it, and how falls begin."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.arrest.motion_launch import Launch
from ropewright.arrest.motion_scene import Scene, Solid
from ropewright.arrest.rim import Rim, RimEdge
from ropewright.arrest.rim_windows import ACCURATE
from ropewright.field.below import Surroundings
from ropewright.field.edges import EdgePoints
from ropewright.field.reach import FallGeometry
from ropewright.roof.facets import facet_normal
from ropewright.roof.path import TautPaths
from ropewright.roof.surface import Roof

__all__ = ["launch_down", "launch_over", "met_names", "rim_of", "scene_of", "upstream_share"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: A facet that faces up less than this is a wall; nobody slides on it (cosine of 89.4 deg). [-]
_WALL = 0.01
#: Edges shorter in plan are left out. [m]
_SHORT = 1e-3
#: A point this far from a facet's plane is on it. [m]
_ON_FACET = 0.02


def rim_of(
    roof: Roof, paths: TautPaths, *, spacing: float = 0.5, accuracy: float = ACCURATE, within: float = np.inf
) -> Rim:
    """Edges of a roof that one can fall over, with the taut rope from one anchor to all of them.

    Parameters
    ----------
    roof : Roof
    paths : TautPaths
        Of the anchor.
    spacing : float
        Distance at which the rope is looked at first, above 0. [m]
    accuracy : float
        The rope's length between samples is off by this much at most. [m]
    within : float
        Edges further from the anchor than this, in a straight line, get straight ropes: no body comes there. [m]

    Returns
    -------
    Rim
        Its edges have the names that the roof's edges have.
    """

    def straight(points: Floats) -> tuple[Floats, Floats]:
        return np.linalg.norm(points - paths.anchor, axis=1), np.tile(paths.anchor, (len(points), 1))

    edges, reaches = [], []
    for edge in roof.boundary:
        if float(np.hypot(*(edge.end - edge.start)[:2])) < _SHORT:
            continue
        up = facet_normal(roof.by_id[edge.facets[0]])
        edges.append(RimEdge(edge.start, edge.end, up if up[2] > _WALL else np.array([0.0, 0.0, 1.0]), edge.name))
        run = edge.end - edge.start
        share = np.clip((paths.anchor - edge.start) @ run / float(run @ run), 0.0, 1.0)
        away = float(np.linalg.norm(edge.start + share * run - paths.anchor))
        reaches.append(paths.reach if away <= within else straight)
    return Rim(edges, reaches, spacing=spacing, accuracy=accuracy)


def scene_of(rim: Rim, around: Surroundings) -> Scene:
    """Rim of a roof with the things round it, in their order."""
    return Scene(rim, [Solid(thing.top, thing.base, thing.outline) for thing in around.things])


def met_names(scene: Scene, around: Surroundings, met: Integers) -> tuple[str, ...]:
    """Name of what each fall met, shape (n,): a thing, the wall under an edge, what lies below; '' for nothing."""
    walls = [f"wall under {edge.name}" for edge in scene.rim.edges]
    names = [*(thing.name for thing in around.things), *walls, "what lies below", ""]  # -2 and -1 count from the end
    return tuple(names[k] for k in met)


def launch_over(
    rim: Rim,
    edges: EdgePoints,
    geometry: FallGeometry,
    length: Floats,
    *,
    chosen: Integers | None = None,
    outward: ArrayLike = 0.0,
    velocity: ArrayLike = (0.0, 0.0, 0.0),
    lanyard: ArrayLike = 0.0,
    upstream: ArrayLike = 1.0,
    edge_friction: ArrayLike = 0.0,
    wall_friction: ArrayLike = 0.0,
    floor: ArrayLike = -np.inf,
) -> Launch:
    """Falls over edge points, from where each begins in `geometry`.

    Parameters
    ----------
    rim : Rim
        Of the same roof as the points.
    edges : EdgePoints
    geometry : FallGeometry
    length : array, shape (n,)
        Rope out, anchor to D-ring, without the grab's travel to lock. [m]
    chosen : array of int, shape (m,), optional
        Points to start from; all that are reached where not given.
    outward : float or array, shape (m,)
        How far out from the edge the body falls. [m]
    velocity, lanyard, upstream, edge_friction, wall_friction, floor
        See `Launch`; shape (m,) or (m, 3).

    Returns
    -------
    Launch, shape (m,)
    """
    index = np.flatnonzero(geometry.reached) if chosen is None else np.asarray(chosen, np.int64)
    number = {edge.name: k for k, edge in enumerate(rim.edges)}
    out = np.broadcast_to(np.asarray(outward, float), len(index))[:, None]
    place = edges.points[index].copy()
    place[:, :2] += out * edges.outward[index]
    place[:, 2] += geometry.start[index]
    return Launch(
        edge=np.array([number[edges.names[k]] for k in edges.edge[index]], np.int64),
        place=place,
        length=np.asarray(length, float)[index],
        lanyard=lanyard,
        upstream=upstream,
        velocity=velocity,
        edge_friction=edge_friction,
        wall_friction=wall_friction,
        floor=floor,
    )


def launch_down(
    rim: Rim,
    points: Floats,
    length: ArrayLike,
    *,
    roof_friction: ArrayLike,
    lanyard: ArrayLike = 0.0,
    edge_friction: ArrayLike = 0.0,
    wall_friction: ArrayLike = 0.0,
) -> tuple[Launch, Integers]:
    """Falls that begin as a slide down the slope, from rest on the roof.

    Parameters
    ----------
    rim : Rim
    points : array, shape (n, 3)
        On the roof. [m]
    length : float or array, shape (n,)
        Rope out, anchor to D-ring. [m]
    roof_friction, lanyard, edge_friction, wall_friction : float or array, shape (n,)
        See `Launch`; those that are arrays must be of shape (n,).

    Returns
    -------
    tuple of Launch, shape (m,), and array of int, shape (m,)
        Falls, and which points they start from: those whose line of steepest descent leads straight over an edge of
        the same facet. From others it leads into a valley or down to another facet, which is not followed.
    """
    edge, found = _edge_below(rim, np.asarray(points, float))

    def of_found(values: ArrayLike) -> Floats:
        return np.broadcast_to(np.asarray(values, float), len(points))[found]

    launch = Launch(
        edge=edge[found],
        place=np.asarray(points, float)[found],
        length=of_found(length),
        lanyard=of_found(lanyard),
        edge_friction=of_found(edge_friction),
        roof_friction=of_found(roof_friction),
        wall_friction=of_found(wall_friction),
    )
    return launch, found


def _edge_below(rim: Rim, points: Floats) -> tuple[Integers, Integers]:
    """Edge of the rim that steepest descent from each point leads over, -1 for none, and the points that have one."""
    best, edge = np.full(len(points), np.inf), np.full(len(points), -1)
    for k, one in enumerate(rim.edges):
        down = one.up[:2]
        size = float(np.hypot(*down))
        toward = float(down @ one.out[:2])
        if size < _WALL or toward <= 1e-9 * size:
            continue
        on_facet = np.abs((points - one.start) @ one.up) < _ON_FACET
        way = (one.start - points)[:, :2] @ one.out[:2] / toward
        cross = points[:, :2] + way[:, None] * down
        along = (cross - one.start[:2]) @ one.along[:2] * one.length / one.level_length**2
        hits = on_facet & (way >= -1e-9) & (along >= 0.0) & (along <= 1.0) & (way < best)
        best[hits], edge[hits] = way[hits], k
    return edge, np.flatnonzero(edge >= 0)


def upstream_share(paths: TautPaths, points: Floats, friction: float) -> Floats:
    """Share of the rope beyond each edge point that works in a catch, where it rubs over ridges further up, shape (n,).

    Parameters
    ----------
    paths : TautPaths
    points : array, shape (n, 3)
        On the edges. [m]
    friction : float
        Of rope on the ridge, 0 or more. [-]

    Notes
    -----
    Each leg works by the capstan factors of the bends between it and the edge; see
    `ropewright.arrest.parts.effective_length`.
    """
    shares = np.ones(len(points))
    for k, point in enumerate(np.asarray(points, float)):
        path = paths.path(point)
        legs = np.linalg.norm(np.diff(path.points, axis=0), axis=1)[::-1]
        turned = np.concatenate([[0.0], np.cumsum(np.radians(path.turn_deg[::-1]))])
        shares[k] = float((legs * np.exp(-friction * turned)).sum() / legs.sum()) if legs.sum() > 0 else 1.0
    return shares
