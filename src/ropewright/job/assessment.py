"""What assessing a job leaves: findings, the fall field along every edge, zones and the rig table."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.findings import Finding, Verdict
from ropewright.job.model import Job

__all__ = ["AreaStop", "Assessment", "EdgeField", "FollowedFall", "RigRow", "Zone", "ZoneField"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class EdgeField:
    """The falls of one worker on one line, over every boundary point of the roof (and every opening's rim).

    All arrays run over the same n points; quantities that have no meaning where the edge can't be reached are nan.
    """

    worker: str
    line: str
    edge: tuple[str, ...]  #: name of the edge or opening of each point
    points: Floats  #: (n, 3) on the edge [m]
    taut: Floats  #: (n,) taut path from the anchor [m]
    reached: NDArray[np.bool_]  #: (n,) can this worker get here on this line
    slide_speed: Floats  #: (n,) greatest speed over the edge after a slip further up the roof; 0: nobody slides [m/s]
    slide_from: Floats  #: (n, 3) where that slide begins; the point itself where nobody slides [m]
    free_fall: Floats  #: (n,) as the pack defines it, at the unsafe end [m]
    force_likely: Floats  #: (n,) peak force on the person [N]
    force_low: Floats  #: (n,)
    force_high: Floats  #: (n,)
    deceleration: Floats  #: (n,) as the pack defines it, at the unsafe end [m]
    stop_time: Floats  #: (n,) from first tension to rest, likely [s]
    needed_book: Floats  #: (n,) clearance needed below the edge, summed allowances [m]
    needed_likely: Floats  #: (n,) clearance needed below the edge, simulated [m]
    needed_high: Floats  #: (n,) the same at the unsafe end [m]
    available: Floats  #: (n,) from the edge down to the first thing hit [m]
    below: tuple[str, ...]  #: (n,) name of that thing
    hang: Floats  #: (n, 3) where the D-ring comes to hang [m]
    swing_drop: Floats  #: (n,) [m]
    drag: Floats  #: (n,) how far the rope is dragged along the edge by the swing [m]
    hit: tuple[str, ...]  #: (n,) what the body meets while it swings, empty if nothing
    power: Floats  #: (n,) distance to the nearest overhead line, inf without one [m]
    verdict: tuple[Verdict | None, ...]  #: (n,) None where not reached
    reason: tuple[str, ...]  #: (n,) the question that rules there, such as ``clearance``


@dataclass(frozen=True)
class FollowedFall:
    """One fall that was followed in three dimensions; numbers are nan where there is nothing to tell."""

    worker: str
    line: str
    edge: str
    point: Floats  #: (3,) edge point it goes over [m]
    asked: str  #: what it was followed for: ``force``, ``clearance``, ``swing`` or both, ``near ...`` or ``slide``
    outcome: str  #: ``hangs``, ``lies``, ``met``, ``swings`` (on and on) or ``times out``
    slide_speed: float  #: as it goes over the edge; 0 for a fall that starts there or slides as part of it [m/s]
    peak_force: float  #: on the D-ring [N]
    met: str  #: what ended it, empty if nothing
    met_place: Floats  #: (3,) D-ring there [m]
    met_speed: float  #: [m/s]
    wall_place: Floats  #: (3,) D-ring at the hardest contact with the wall under the edge [m]
    wall_speed: float  #: speed into that wall; 0: not touched [m/s]
    hang: Floats  #: (3,) D-ring once it hangs still [m]
    rest_time: float  #: [s]
    drag: float  #: way that the loaded rope is dragged along the edge [m]
    drag_tension: float  #: greatest tension while it is [N]
    solved: bool  #: False: its energy does not balance, and there are no numbers


class Zone:
    """Names of what holds at a point inside the roof."""

    RESTRAINED = "restrained"
    CAUGHT = "caught"
    NOT_HELD = "not held"
    OUT_OF_REACH = "out of reach"


@dataclass(frozen=True)
class ZoneField:
    """What holds over the roof's surface for one worker, on a square grid in plan."""

    worker: str
    line: str
    points: Floats  #: (m, 3) on the roof [m]
    step: float  #: grid step [m]
    zone: tuple[str, ...]  #: (m,) names from `Zone`


@dataclass(frozen=True, slots=True)
class AreaStop:
    """Where to tie the stopper for work in one area; lengths from the anchor to the stop."""

    area: str
    length_holds: float | None  #: longest at which every edge that it reaches holds; None: no length does [m]
    length_reaches: float | None  #: shortest that gets everywhere in the area; None: none does [m]
    length_to_tie: float | None  #: the shorter of both, rounded down; None: no length holds [m]
    reached: float  #: share of the area's places that are reached with that [-]


@dataclass(frozen=True)
class RigRow:
    """One row of the rig table: what to set for one worker."""

    worker: str
    line: str
    anchor: str
    length_set: float  #: anchor to stop, as the job has it [m]
    length_holds: float | None  #: longest at which every reachable edge holds; None: no length does [m]
    rope: str
    termination: str
    lanyard: str
    worst_edge: str
    verdict: Verdict
    areas: tuple[AreaStop, ...] = ()  #: for each area that the worker works in; none where the job tells none


@dataclass(frozen=True)
class Assessment:
    """The finished answer; everything shown is made from this and nothing is worked out again."""

    job: Job
    findings: tuple[Finding, ...]  #: worst first
    fields: tuple[EdgeField, ...]
    zones: tuple[ZoneField, ...]
    rig: tuple[RigRow, ...]
    assumed: tuple[str, ...]  #: each thing taken as so without being told
    verdict: Verdict
    followed: tuple[FollowedFall, ...] = ()  #: falls that were followed in three dimensions
