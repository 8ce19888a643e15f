"""The catch of falls that begin with a slide: at likely friction, at the lowest, and on the rope of the worst start."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.corners import CatchSpread, PartRanges, Spread, catch_corners
from ropewright.arrest.model_error import published_errors
from ropewright.field import FallGeometry, RopeOver
from ropewright.job.catching import catch_rig, is_harder, parts_of, rope_and_fall
from ropewright.job.rig import Rig
from ropewright.job.sliding import Sliding
from ropewright.quantity import Range

__all__ = ["catch_sliding"]

Floats = NDArray[np.float64]

#: Inputs whose high end is the hard one whatever the others are; see `ropewright.arrest.corners`.
_HARD = ("mass", "grab_lock", "modulus", "fast_modulus", "friction", "lockout_stiffness", "lanyard_stiffness")


def catch_sliding(rig: Rig, over: RopeOver, geometry: FallGeometry, sliding: Sliding) -> CatchSpread:
    """Catches over every edge point that is reached, of bodies that slid there.

    Parameters
    ----------
    rig : Rig
    over : RopeOver
    geometry : FallGeometry
        On the rope of `sliding`, with its height of the unsafe end.
    sliding : Sliding

    Returns
    -------
    CatchSpread, shape (n,)
        Likely values take the slide at likely friction. The high end of the force is also that of the start that is
        worst for a rope, on its own shorter length. Derived in docs/derivations-slide.md.
    """
    spread = catch_rig(rig, over, geometry, sliding.length)
    slides = geometry.reached & (sliding.high > 0)
    if slides.any():
        spread = _with_likely(rig, over, geometry, sliding, spread)
    return _with_hardest(rig, over, geometry, sliding, spread)


def _with_likely(
    rig: Rig, over: RopeOver, geometry: FallGeometry, sliding: Sliding, spread: CatchSpread
) -> CatchSpread:
    fall, *rest = rope_and_fall(rig, over, replace(geometry, slide=sliding.likely), sliding.length)
    parts = parts_of(rig)
    likely = {item.name: Range.exact(getattr(parts, item.name).likely) for item in fields(parts)}
    found = catch_corners(PartRanges(**likely), fall, *rest)

    def moved(name: str) -> Spread:
        was, now = getattr(spread, name), getattr(found, name).likely
        return Spread(np.minimum(was.low, now), now, np.maximum(was.high, now))

    names = [item.name for item in fields(spread) if isinstance(getattr(spread, item.name), Spread)]
    changes: dict[str, Any] = {name: moved(name) for name in names}
    return replace(spread, **changes)


def _with_hardest(
    rig: Rig, over: RopeOver, geometry: FallGeometry, sliding: Sliding, spread: CatchSpread
) -> CatchSpread:
    """Greatest force also of the start with the greatest fall for its working rope, where less rope is then out."""
    rows = np.arange(len(sliding.length))
    falls = geometry.free_fall[:, None] + sliding.heights - (sliding.length[:, None] - sliding.ropes)
    # the body side of the edge gives up what is not out
    _, near, far, turn = rope_and_fall(rig, over, geometry, sliding.length)
    short = sliding.length[:, None] - sliding.ropes
    from_near = np.minimum(short, near[:, None])
    worked = (near[:, None] - from_near) + (far[:, None] - (short - from_near)) * np.exp(
        -rig.friction.high * turn[:, None]
    )
    worked = np.maximum(worked, 0.05)
    worst = np.where(falls > 0, falls / worked, -1.0).argmax(axis=1)
    other = np.flatnonzero(geometry.reached & (short[rows, worst] > 1e-6) & (falls[rows, worst] > 0))
    if not len(other):
        return spread
    k = worst[other]
    near_k = near[other] - from_near[other, k]
    far_k = np.maximum(far[other] - (short - from_near)[other, k], 0.01)
    parts = parts_of(rig)
    hard = replace(parts, **{name: Range.exact(getattr(parts, name).high) for name in _HARD})
    fall_k = np.maximum(falls[other, k], 0.0)
    errors = published_errors(rope=is_harder(rig, fall_k, near_k, far_k, turn[other]))
    found = catch_corners(hard, fall_k, near_k, far_k, turn[other], errors=errors)
    high = spread.peak_force.high.copy()
    high[other] = np.maximum(high[other], found.peak_force.high)
    solved = spread.solved.copy()
    solved[other] &= found.solved
    force = Spread(spread.peak_force.low, spread.peak_force.likely, high)
    return replace(spread, peak_force=force, solved=solved)
