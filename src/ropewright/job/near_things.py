"""Falls in which a body could meet a thing within reach of its rope: the worst of each edge and thing.

A cheap look that errs to the worse: it is to miss no thing, and finds some that the body then passes by.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.motion_launch import Body
from ropewright.arrest.rim import Rim
from ropewright.field import Hang, Surroundings, Thing, hang_heights, highest_on_way, roll
from ropewright.field.below import level_distance
from ropewright.job.edge_answer import Asked
from ropewright.job.falls import HEAD

__all__ = ["Near", "near_things"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: A body is let down so much further than a plumb fall tells. [m] Judgement: webbing and harness give some 0.1 m at
#: the force of an absorber, and the edge is only known at points.
_SPARE = 0.2
#: Falls over one edge that begin so near each other are alike, but for the nearest to each thing. [m] Judgement.
_ALIKE = 0.5
#: A rope that comes taut no deeper below the edge may pull the body back on to the roof. [m] Judgement.
_BACK = 0.5


@dataclass(frozen=True)
class Near:
    """A fall to follow for a thing."""

    point: int  #: index of the edge point it goes over
    thing: str  #: name of the thing, or of the edge that a wall stands under
    edge: str  #: name of the edge that it goes over
    overlap: float  #: rope to spare as the body touches the thing, at its nearest [m]


def near_things(asked: Asked, rim: Rim, around: Surroundings, body: Body, reached: Integers) -> tuple[Near, ...]:
    """Falls to follow so that no thing within reach of the rope is passed over.

    Parameters
    ----------
    asked : Asked
    rim : Rim
        Of the roof; its edges have the names of the points' edges.
    around : Surroundings
    body : Body
        As it is followed, of one fall.
    reached : array of int, shape (k,)
        Edge points that a fall can begin at.

    Returns
    -------
    tuple of Near
        For each edge and thing the fall that begins nearest, by how far it overlaps; then for the wall under each edge
        the longest swing; then, by overlap again, those with the longest swing and the fastest slide of all that could
        touch a thing. Of the latter none that begins near another over the same edge.

    Notes
    -----
    With l(E) the taut rope to an edge point E and R what the rope lets out at most, the D-ring below the edges is in
    one of the balls of radius R - l(E) round the points that its bend can swing to. Under a ball's centre, a level
    distance d away, a body touches what is higher than its feet: that takes a rope of l(E) + hypot(d, drop).
    What lies behind the walls on both sides of an edge is not touched from there, unless the rope pulls the body back
    on to the roof. The ground everywhere is asked about with the room below.
    """
    if not len(reached):
        return ()
    longest = _longest(asked)
    way = _way(asked, longest)
    firsts: list[Near] = []
    more: list[Near] = []
    for name, needed, over in _needed(asked, rim, around, body, longest):
        if not np.isfinite(needed).any():
            continue
        anywhere = longest - needed[highest_on_way(asked.edges, way, -needed)]
        touched = reached[(anywhere[reached] > 0) & over[reached]]
        for number in np.unique(asked.edges.edge[touched]).tolist():
            here = touched[asked.edges.edge[touched] == number]
            overlap = float(anywhere[here].max())
            points = _worst(asked, here, (longest - needed)[here])
            found = [Near(i, name, asked.edges.names[number], overlap) for i in points]
            firsts.append(found[0])
            more += found[1:]
    chosen: dict[int, Near] = {}
    for one in sorted(firsts, key=lambda one: -one.overlap):
        chosen.setdefault(one.point, one)
    for one in (*_own_walls(asked, reached), *sorted(more, key=lambda one: -one.overlap)):
        if all(one.edge != other.edge or _apart(asked, one, other) > _ALIKE for other in chosen.values()):
            chosen[one.point] = one
    return tuple(chosen.values())


def _own_walls(asked: Asked, reached: Integers) -> Iterator[Near]:
    """Over each edge the fall with the longest swing, which meets the wall under that edge hardest, or nearly so."""
    edges = asked.edges
    for number in np.unique(edges.edge[reached]).tolist():
        here = reached[edges.edge[reached] == number]
        name = edges.names[number]
        yield Near(int(here[asked.falls.swing_drop[here].argmax()]), f"wall under {name}", name, 0.0)


def _apart(asked: Asked, one: Near, other: Near) -> float:
    return float(np.linalg.norm(asked.edges.points[one.point] - asked.edges.points[other.point]))


def _longest(asked: Asked) -> Floats:
    """Most that the rope lets out in a fall over each edge point, shape (n,); -inf where nobody falls. [m]"""
    falls = asked.falls
    most: Floats = falls.length + asked.rig.lock.high + falls.stop[2] + _SPARE
    return np.where(np.isfinite(most), most, -np.inf)


def _way(asked: Asked, longest: Floats) -> Hang:
    """All that a body can swing over that loses none of its energy, on the rope at its longest."""
    falls, to_edge = asked.falls, asked.over.to_edge
    heights = hang_heights(asked.edges.points[:, 2], to_edge)
    above = falls.geometry.start + falls.length - to_edge + falls.sliding.high
    return roll(asked.edges, heights, to_edge, longest, np.maximum(np.nan_to_num(above, posinf=0.0, neginf=0.0), 0.0))


def _worst(asked: Asked, here: Integers, overlap: Floats) -> tuple[int, ...]:
    """Of some falls over one edge that which begins nearest a thing, that with the longest swing and the fastest."""
    falls = asked.falls
    fast = falls.sliding.speed[here]
    chosen = [here[overlap.argmax()], here[falls.swing_drop[here].argmax()]]
    if fast.max() > 0:
        chosen.append(here[fast.argmax()])
    return tuple(dict.fromkeys(int(i) for i in chosen))


def _needed(
    asked: Asked, rim: Rim, around: Surroundings, body: Body, longest: Floats
) -> Iterator[tuple[str, Floats, Bools]]:
    """What can be met.

    Yields
    ------
    tuple of str, array, shape (n,), and array of bool, shape (n,)
        Its name; the rope with which a body under each edge point touches it, inf where it does not [m]; whether
        whoever goes over there can meet it: the wall under their own edge is looked at in every fall.
    """
    number = {edge.name: k for k, edge in enumerate(rim.edges)}
    on = np.array([number.get(name, -1) for name in asked.edges.names])[asked.edges.edge]
    in_rim = on >= 0  # else the edge is too short to fall over
    ground = max((thing.top for thing in around.things if thing.outline is None), default=-np.inf)
    for thing in around.things:
        if thing.outline is not None and thing.top > ground:
            faces = _faces(rim, thing.outline, body)[on] & in_rim
            yield thing.name, np.where(faces, _rope_to(asked, thing, body), np.inf), in_rim
            away = np.maximum(level_distance(asked.edges.points[:, :2], thing.outline) - body.radius, 0.0)
            yield thing.name, away, _pulled_back(asked, thing, body, longest) & in_rim & ~faces
    others = [set(rim.others(k)) for k in range(len(rim.edges))]
    for k in sorted(set().union(*others)):
        edge = rim.edges[k]
        ends = np.array([edge.start[:2], edge.end[:2]])
        wall = Thing(f"wall under {edge.name}", float(max(edge.start[2], edge.end[2])), outline=ends)
        apart = np.array([k in other for other in others])[on] & in_rim
        faces = _faces(rim, ends, body)[on]
        yield wall.name, np.where(apart & faces, _rope_to(asked, wall, body), np.inf), apart


def _pulled_back(asked: Asked, thing: Thing, body: Body, longest: Floats) -> Bools:
    """True where the rope may pull a body back on to the roof, and is long enough for a thing there, shape (n,)."""
    assert thing.outline is not None
    straight = level_distance(asked.rig.anchor.point[None, :2], thing.outline)[0] - body.radius
    taut = asked.falls.geometry.taut
    back: Bools = (np.where(np.isfinite(taut), taut, -np.inf) > -_BACK) & (straight < longest)
    return back


def _rope_to(asked: Asked, thing: Thing, body: Body) -> Floats:
    """Rope with which a body that hangs or swings under each edge point touches a thing, shape (n,). [m]"""
    points, radius, below = asked.edges.points, float(body.radius), float(np.max(body.below))
    assert thing.outline is not None  # what is everywhere is asked about with the room below
    away = np.maximum(level_distance(points[:, :2], thing.outline) - radius, 0.0)
    down = np.maximum(points[:, 2] - below - thing.top, 0.0)
    needed: Floats = asked.over.to_edge + np.hypot(away, down)
    # nobody rises above where they stood
    return np.where(thing.base > points[:, 2] + asked.rig.worker.d_ring + HEAD, np.inf, needed)


def _faces(rim: Rim, outline: Floats, body: Body) -> Bools:
    """True for each edge where something stands before its wall or that of a neighbour, a body's width counted."""
    before = np.array(
        [((outline - edge.start[:2]) @ edge.out[:2]).max() > -float(body.radius) for edge in rim.edges], bool
    )
    around = before.copy()
    for ways in (rim.after, rim.before):
        around |= np.where(ways >= 0, before[ways], False)
    return around
