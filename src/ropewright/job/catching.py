"""The catch of one worker over many edge points, with the spread that the ranges of their gear leave."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.corners import CatchSpread, PartRanges, catch_corners
from ropewright.arrest.model_error import published_errors
from ropewright.field import FallGeometry, RopeOver
from ropewright.job.rig import Rig
from ropewright.quantity import Range

__all__ = ["catch_rig", "extra_slide", "is_harder", "parts_of", "rope_and_fall"]

Floats = NDArray[np.float64]

#: Least rope that stretches: some of it is free even where the lanyard alone reaches past the edge. [m]
_LEAST_ROPE = 0.3


def parts_of(rig: Rig) -> PartRanges:
    """Ranges of what stops one worker's fall.

    Parameters
    ----------
    rig : Rig

    Returns
    -------
    PartRanges
        The rope is the undamped one of the same peak force; its soft end is the softer of hang and catch, since a
        soft rope needs more clearance. A grab whose slip force is not known takes off no force (see `extra_slide`).
        Anchor, lanyard and body are rigid, which errs high in force.
    """
    rope, absorber, grab = rig.stiffness, rig.line.lanyard.absorber, rig.line.grab
    known_slip = grab is not None and grab.slip_force is not None
    return PartRanges(
        mass=rig.worker.mass,
        modulus=Range(min(rope.static.low, rope.arrest.low), rope.arrest.likely, rope.arrest.high),
        friction=rig.friction,
        grab_lock=rig.lock,
        grab_slip_force=rig.slip_force if known_slip and rig.slip_force else Range.exact(np.inf),
        grab_slip_length=rig.slip if known_slip else Range.exact(0.0),
        absorber_force=absorber.force if absorber else Range.exact(0.0),
        absorber_length=absorber.length if absorber else Range.exact(0.0),
    )


def extra_slide(rig: Rig) -> Range:
    """Slide of a grab whose slip force is not known: it lengthens the fall and takes off no force. [m]"""
    return Range.exact(0.0) if rig.slip_force is not None else rig.slip


def catch_rig(rig: Rig, over: RopeOver, geometry: FallGeometry, length: Floats) -> CatchSpread:
    """Catches over every edge point that is reached.

    Parameters
    ----------
    rig : Rig
    over : RopeOver
    geometry : FallGeometry
    length : array, shape (n,)
        Rope out, anchor to D-ring. [m]

    Returns
    -------
    CatchSpread, shape (n,)
        nan where the edge is not reached. The high ends hold the model's errors at their published size.
    """
    falls = rope_and_fall(rig, over, geometry, length)
    return catch_corners(parts_of(rig), *falls, errors=published_errors(rope=is_harder(rig, *falls)))


def is_harder(rig: Rig, fall: Floats, near: Floats, far: Floats, turn: Floats) -> NDArray[np.bool_]:
    """Where a fall is harder than the drops that the rope's stiffness was found in.

    Parameters
    ----------
    rig : Rig
    fall, near, far, turn : array, shape (n,)
        As `rope_and_fall` gives them. [m], [m], [m], [rad]

    Returns
    -------
    array of bool, shape (n,)
        There the law of an undamped rope may be too low. Elsewhere the range of the stiffness, which spans mild drops
        and hard ones, holds that error already: it must not count twice. A stiffness that was told may come from any
        drop, so that every fall counts as harder.
    """
    working = near + far * np.exp(-rig.friction.high * turn)  # as in `effective_length`, at its shortest
    harder: NDArray[np.bool_] = fall + rig.lock.high > rig.stiffness.fall_factor * working
    return harder


def rope_and_fall(
    rig: Rig, over: RopeOver, geometry: FallGeometry, length: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Free fall, rope before and beyond the edge, and turn over it, at every edge point; nan where it is not reached.

    Parameters
    ----------
    rig : Rig
    over : RopeOver
    geometry : FallGeometry
    length : array, shape (n,)
        Rope out, anchor to D-ring. [m]

    Returns
    -------
    tuple of array, shape (n,)
        [m], [m], [m], [rad]
    """
    past = np.maximum(length - over.to_edge, 0.0)
    rope = np.maximum(length - rig.line.lanyard.length, _LEAST_ROPE)
    # a rope that holds the body above the edge does not bend over it, unless speed carries the body past it
    is_free = (geometry.taut > 0) & (geometry.slide <= 0)
    near = np.where(is_free, rope, np.clip(past - rig.line.lanyard.length, 0.0, rope))
    # speed from a slide is so much more fall
    fall = np.where(geometry.reached, np.maximum(geometry.free_fall, 0.0) + geometry.slide, np.nan)
    # every bend on the way rubs, not the last alone
    return fall, near, rope - near, over.turn + over.upstream
