"""What is in doubt about one worker's falls, and the share of draws in which force and clearance hold."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.chance import SEED, ShareInterval, share_interval
from ropewright.arrest.doubt import Claim, Doubt, doubt
from ropewright.arrest.doubtful import FallPoints, inputs_of
from ropewright.field import RopeOver
from ropewright.job.catching import extra_slide, is_harder, parts_of, rope_and_fall
from ropewright.job.clearance import Clearances
from ropewright.job.falls import Falls
from ropewright.job.model import Job
from ropewright.job.rig import Rig
from ropewright.job.ruled import rulings
from ropewright.job.sliding import friction_on_roof
from ropewright.quantity import Range

__all__ = [
    "CLEARANCE",
    "FORCE",
    "claims_of",
    "draw_falls",
    "draws_that_hold",
    "inputs_in_doubt",
    "points_in_doubt",
    "share_that_holds",
]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

#: What is drawn for, by the kind of its finding.
FORCE, CLEARANCE = "arrest-force", "clearance-simulated"

#: Rounding: room that is short by less is enough, as in the finding itself. [m]
_NOISE = 1e-9


def inputs_in_doubt(job: Job, rig: Rig, kind: str) -> dict[str, Range]:
    """Inputs of a worker's falls with what each may be, by the names of `ropewright.arrest.doubtful.INPUTS`.

    Parameters
    ----------
    job : Job
    rig : Rig
    kind : str
        `FORCE` or `CLEARANCE`.

    Returns
    -------
    dict of str to Range
        Mass, rope, friction, grab, absorber, D-ring shift and the roof's friction as the job tells them. The model's
        own errors have their published spread, that of the rope where `points_in_doubt` says that it applies. What the
        job takes as one number (the line's length, the D-ring's height) is no input in doubt: its unsafe end was taken
        when the file was read.

    Notes
    -----
    The rope that sets the force is the one of a catch. For clearance it may be as soft as in a hang, and a range that
    reaches so far down would make the force look milder than it is.
    """
    given = inputs_of(parts_of(rig)) | {"grab_slide": extra_slide(rig), "body_shift": job.d_ring_shift}
    given |= {"slide_friction": _slide_friction(job)}
    return given | {"modulus": rig.stiffness.arrest} if kind == FORCE else given


def _slide_friction(job: Job) -> Range:
    """Friction of the roof, counted from 0 at its low end to 1 at its likely value.

    The height that the speed of a slide stands for is the greatest of straight falling lines of the friction, so a
    straight line between the two ends never lies below it.
    """
    friction, _ = friction_on_roof(job)
    span = friction.likely - friction.low
    return Range(0.0, 1.0, (friction.high - friction.low) / span) if span > 0 else Range.exact(0.0)


def points_in_doubt(rig: Rig, over: RopeOver, falls: Falls) -> FallPoints:
    """Falls over the edge points that are reached, in their order, as they start.

    Parameters
    ----------
    rig : Rig
    over : RopeOver
    falls : Falls

    Returns
    -------
    FallPoints, shape (k,)
        One for each True of ``falls.geometry.reached``.
    """
    reached = falls.geometry.reached
    fall, near, far, turn = (values[reached] for values in rope_and_fall(rig, over, falls.geometry, falls.length))
    harder = is_harder(rig, fall, near, far, turn)
    eased = np.clip(falls.sliding.high - falls.sliding.likely, 0.0, None)[reached]
    return FallPoints(fall, near, far, turn, rope_error=harder, eased=np.minimum(eased, fall))


def claims_of(job: Job, rig: Rig, over: RopeOver, falls: Falls, clear: Clearances) -> dict[str, Claim]:
    """What must hold of the falls of `points_in_doubt`: ``arrest-force`` and ``clearance-simulated``.

    Parameters
    ----------
    job : Job
    rig : Rig
    over : RopeOver
    falls : Falls
    clear : Clearances

    Returns
    -------
    dict of str to Claim
        Force: every figure of the pack that surely applies, be it one that must still be confirmed; left out where the
        pack has none. Clearance: the body with its margin and swing ends above what lies below; an opening whose floor
        nobody told has no room.
    """
    found = [one for one in rulings(job, "arrest_force", rig.facts) if one.certain and one.has_figure]
    room = _room(rig, over, falls, clear)[falls.geometry.reached]

    def force(outputs: Mapping[str, Floats], _: slice) -> Bools:
        held: Bools = np.logical_and.reduce([one.meets(outputs["peak_force"]) for one in found])
        return held

    def clearance(outputs: Mapping[str, Floats], here: slice) -> Bools:
        return outputs["needed"] <= room[here]  # nan, infinite: does not hold

    return {FORCE: force, CLEARANCE: clearance} if found else {CLEARANCE: clearance}


def _room(rig: Rig, over: RopeOver, falls: Falls, clear: Clearances) -> Floats:
    """How far a body may come down from its start at each edge point, D-ring shift included, shape (n,). [m]"""
    # From the edge to the soles: -taut + lock + travel + shift + D-ring height + swing drop. Draws count from the
    # release, so the fall that they were given is put back.
    fall = rope_and_fall(rig, over, falls.geometry, falls.length)[0]
    room = falls.available - clear.margin - rig.worker.d_ring - falls.hang.drop + falls.geometry.taut + fall
    return np.where(falls.steps.is_step, np.inf, np.where(clear.floor_known, room + _NOISE, -np.inf))


def draw_falls(
    job: Job, rig: Rig, over: RopeOver, falls: Falls, clear: Clearances, *, draws: int, seed: int = SEED
) -> dict[str, Doubt]:
    """What draws of the inputs make of a worker's falls over the edge points that are reached.

    Parameters
    ----------
    job : Job
    rig : Rig
    over : RopeOver
        Of the rig's anchor and the worker's D-ring, over the n edge points.
    falls : Falls
        Of the same points, as `falls_over` gives them; at least one is reached.
    clear : Clearances
        Of the same falls.
    draws : int
        1 or more; a power of two is filled most evenly.
    seed : int

    Returns
    -------
    dict of str to Doubt, shape (k,)
        `FORCE` and `CLEARANCE`, row by row of the same draws; `points_in_doubt` says of which points.
    """
    points, claims = points_in_doubt(rig, over, falls), claims_of(job, rig, over, falls, clear)
    return {
        kind: doubt(
            inputs_in_doubt(job, rig, kind),
            points,
            draws=draws,
            tests={kind: claims[kind]} if kind in claims else None,
            seed=seed,
        )
        for kind in (FORCE, CLEARANCE)
    }


def draws_that_hold(
    job: Job, rig: Rig, over: RopeOver, falls: Falls, clear: Clearances, *, draws: int = 1024, seed: int = SEED
) -> Bools:
    """Draws of the inputs in which a worker's fall holds, at every edge point.

    Parameters
    ----------
    job, rig, over, falls, clear, draws, seed
        As for `draw_falls`; no edge need be reached.

    Returns
    -------
    array of bool, shape (draws, n)
        True where the fall is arrested and every limit on force and clearance is met, and where the edge is not
        reached: nothing falls there. No draw holds where the book's sum of allowances needs more than there is. Each
        input has the same draws at every edge point, for every worker and on every anchor, so that the rows of several
        layouts may be laid over one another.

    Notes
    -----
    Free fall, swing and all that does not change with the inputs drawn is not looked at here: see `edge_answers`.
    """
    reached = falls.geometry.reached
    held = np.ones((draws, len(reached)), bool)
    if reached.any():
        found = draw_falls(job, rig, over, falls, clear, draws=draws, seed=seed)
        held[:, reached] = found[FORCE].held["all"] & found[CLEARANCE].held["all"]
        held[:, reached & ~(clear.book <= falls.available + _NOISE)] = False
    return held


def share_that_holds(
    job: Job, rig: Rig, over: RopeOver, falls: Falls, clear: Clearances, *, draws: int = 1024, seed: int = SEED
) -> ShareInterval:
    """Share of draws in which a worker's fall meets every limit on force and clearance, at every edge point.

    Parameters
    ----------
    job, rig, over, falls, clear, draws, seed
        As for `draws_that_hold`.

    Returns
    -------
    ShareInterval, each of shape (n,)
        With its 95 % confidence interval; 1 where the edge is not reached. [-]

    Notes
    -----
    Pure: the same on every run. Some 200,000 falls a second on two cores, two a draw. A share says how doubtful a fall
    is and never makes one hold that fails at the unsafe end.
    """
    held = draws_that_hold(job, rig, over, falls, clear, draws=draws, seed=seed)
    found = share_interval(held.sum(axis=0), draws)
    return ShareInterval(found.share, np.where(falls.geometry.reached, found.low, 1.0), found.high)
