"""Clearance that each fall needs below the edge, worked out twice: by summed allowances and by simulation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.book import BookClearance, Datum, book_clearance, book_rope_stretch
from ropewright.findings import Source, SourceStatus
from ropewright.job.catching import parts_of
from ropewright.job.falls import Falls
from ropewright.job.model import Job
from ropewright.job.rig import Rig

__all__ = ["Clearances", "clearances", "margin_of"]

Floats = NDArray[np.float64]

#: Room left below the soles where neither job nor pack says how much. [m] 3 ft, common practice, no source.
_PRACTICE_MARGIN = 0.9144
_PRACTICE = Source("common practice, no source", "3 ft below the soles", SourceStatus.PRACTICE)
_JOB = Source("the job file", "", SourceStatus.USER)


@dataclass(frozen=True)
class Clearances:
    """Needed below each of n edge points, margin and swing included; nothing over a mere step. [m]"""

    book: Floats
    simulated: Floats  #: at likely inputs
    simulated_high: Floats  #: at the unsafe end
    margin: float
    sum: BookClearance  #: from the D-ring's level before the fall
    start: Floats  #: D-ring above the edge before the fall
    falls: Falls
    lock: float  #: travel of the grab until it locks, at the unsafe end [m]
    body: float  #: D-ring above the soles and its shift, at the unsafe end [m]
    floor_known: NDArray[np.bool_]  #: False for the rims of openings whose floor nobody told
    sources: tuple[Source, ...]

    def formula(self, *, simulated: bool) -> str:
        """Say how the number is made up."""
        if simulated:
            return (
                "needed below the edge = drop to taut + lock + travel to lowest + body + swing drop "
                "+ the law's own error + margin below feet"
            )
        return f"needed = {' + '.join(term.name for term in self.sum.terms)} - D-ring above the edge at the start"

    def terms(self, i: int, *, simulated: bool) -> Mapping[str, float | str]:
        """Return each term at one point, keyed with its unit."""
        if simulated:
            return {
                "drop_to_taut_m": float(-self.falls.geometry.taut[i]),
                "lock_m": self.lock,
                "travel_to_lowest_m": float(self.falls.stop[2][i] - self.falls.errors.opening[i]),
                "body_m": self.body,
                "swing_drop_m": float(self.falls.swing_drop[i]),
            }
        terms = {f"{term.key}_m": float(np.broadcast_to(term.value, self.book.shape)[i]) for term in self.sum.terms}
        return {**terms, "d_ring_start_m": float(self.start[i])}


def margin_of(job: Job) -> tuple[float, Source]:
    """Room to leave below the soles, and who asks for it: the job, the pack or practice.

    Parameters
    ----------
    job : Job

    Returns
    -------
    tuple of float and Source
        [m]
    """
    if job.clearance_margin is not None:
        return job.clearance_margin, _JOB
    allowed = job.pack.allowance("margin")
    return (_PRACTICE_MARGIN, _PRACTICE) if allowed is None else (allowed.value.high, allowed.source)


def clearances(job: Job, rig: Rig, falls: Falls, floor_known: NDArray[np.bool_]) -> Clearances:
    """Clearance needed below each edge point.

    Parameters
    ----------
    job : Job
    rig : Rig
    falls : Falls
    floor_known : array of bool, shape (n,)
        False where nobody told what lies below (an opening's floor).

    Returns
    -------
    Clearances
        nan where the edge is not reached.
    """
    margin, asked = margin_of(job)
    summed, sources = _book(job, rig, falls, margin)
    start = falls.geometry.start
    # An answer that the simulation can't give is no answer: nothing stops that fall.
    unsolved = falls.geometry.reached & ~falls.solved

    def needed(values: Floats) -> Floats:
        return np.where(falls.steps.is_step, 0.0, np.where(unsolved, np.inf, values))

    return Clearances(
        book=needed(summed.total - start),
        simulated=needed(falls.feet[0] + margin),
        simulated_high=needed(falls.feet[1] + margin),
        margin=margin,
        sum=summed,
        start=start,
        falls=falls,
        lock=rig.lock.high,
        body=rig.worker.d_ring + job.d_ring_shift.high,
        floor_known=floor_known,
        sources=(*sources, asked),
    )


def _book(job: Job, rig: Rig, falls: Falls, margin: float) -> tuple[BookClearance, tuple[Source, ...]]:
    """Sum of allowances from the D-ring's level before the fall; nan where the edge is not reached."""
    pack, reached = job.pack, falls.geometry.reached
    deceleration, shift = pack.allowance("deceleration"), pack.allowance("d_ring_shift")
    absorber = rig.line.lanyard.absorber
    opens = absorber.length.high if absorber else 0.0
    stop = max(opens + rig.slip.high, deceleration.value.high if deceleration else 0.0)
    parts = parts_of(rig)
    limit = pack.governing("arrest_force", job.facts)
    # Practice takes the force of the stop: the absorber's, or the most that the pack allows without one.
    force = absorber.force.high if absorber else float(limit.value) if limit else 8000.0
    rope = np.where(reached, np.maximum(falls.length - rig.line.lanyard.length, 0.0), 0.0)
    allowances: dict[str, float | Floats] = {
        "free_fall": _zeroed(falls.geometry.free_fall, reached) + rig.lock.high,
        "deceleration": stop,
        "rope_stretch": book_rope_stretch(force, rope, parts.modulus.low),
        "harness_shift": max(job.d_ring_shift.high, shift.value.high if shift else 0.0),
        "d_ring_height": rig.worker.d_ring,
        "swing_drop": _zeroed(falls.swing_drop, reached),
        "margin": margin,
    }
    summed = book_clearance(Datum.D_RING, allowances)
    total = np.where(reached, summed.total, np.nan)
    named = tuple(allowance.source for allowance in (deceleration, shift) if allowance)
    return BookClearance(summed.terms, total, summed.datum), (*named, rig.stiffness.source)


def _zeroed(values: Floats, reached: NDArray[np.bool_]) -> Floats:
    """Values where reached, 0 elsewhere: the book takes no nan."""
    return np.where(reached, np.maximum(values, 0.0), 0.0)
