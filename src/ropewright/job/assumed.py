"""What the plan takes as so without being told; each is printed."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.field.reach import STEP_DOWN
from ropewright.job.law_errors import error_assumptions
from ropewright.job.model import Job
from ropewright.job.rig import Rig
from ropewright.job.sliding import sliding_assumption
from ropewright.job.step_down import step_rule
from ropewright.quantity import Dimension, show
from ropewright.roof import EdgeType

__all__ = ["assumptions"]


def assumptions(job: Job, rigs: tuple[Rig, ...]) -> tuple[str, ...]:
    """Each thing that was taken as so without being told.

    Parameters
    ----------
    job : Job
    rigs : tuple of Rig

    Returns
    -------
    tuple of str
        One sentence each, no two alike.
    """
    return tuple(
        dict.fromkeys(
            [*_of_the_method(job), *error_assumptions(rigs), *_of_the_rigs(rigs), *job.roof.notes, *job.notes]
        )
    )


def _of_the_method(job: Job) -> Iterator[str]:
    yield sliding_assumption(job)
    yield (
        "A fall is taken plumb at each edge point, and the swing after it judged by where the body comes to hang; only "
        "the worst in force, in room below and in swing, and those nearest to a thing within reach of the rope, are "
        "also followed in three dimensions."
    )
    if any(edge.type is EdgeType.WALL for edge in job.roof.edges):
        step = show(STEP_DOWN, Dimension.LENGTH, job.units, toward="high")
        yield (
            f"Over an edge that is a step of no more than {step} down to a lower part of the same roof nobody falls: "
            "who stumbles there comes to the edges of that part, which are asked for themselves."
        )
        yield from _of_steps(job)
    yield "Walls stand straight under the edge of the roof; soffits are left out."
    yield "Anchor, lanyard webbing and body do not give, which makes the force higher than it will be."
    yield "Force on a person is taken as that on a rigid mass of the same weight, which is higher."
    shift = show(job.d_ring_shift.high, Dimension.LENGTH, job.units, toward="high")
    yield f"The D-ring shifts by up to {shift} on the harness."
    for line in job.site.power_lines:
        if line.confirmed_dead_by:
            yield f"Overhead line {line.name} counts as dead, as {line.confirmed_dead_by} confirmed; it must stay so."
    if job.clearance_margin is None:
        yield "Below the soles the margin of the pack is kept, or 3 ft by common practice where it has none."
    if job.swing_drop_limit is None:
        yield "No limit on swing was set; from a drop of 2 ft a person is asked."


def _of_steps(job: Job) -> Iterator[str]:
    rule = step_rule(job)
    if rule.bound > 0.0:
        bound = show(rule.bound, Dimension.LENGTH, job.units, toward="low")
        held = "is not held against the room that an arrest needs" if rule.settled else "is put to a person"
        yield (
            f"A drop of less than {bound} onto nothing but a lower part of the same roof {held}; the falls over the "
            "edges of that part are judged with the speed and the rope that whoever falls down there brings along."
        )


def _of_the_rigs(rigs: tuple[Rig, ...]) -> Iterator[str]:
    for rig in rigs:
        rope = rig.line.rope
        if rope.stiffness is None:
            yield f"Stretch of the rope on line {rig.line.name} was not told: {rig.stiffness.basis}."
        if rope.condition == "unknown":
            yield f"Condition of the rope on line {rig.line.name} is not known and counts as bad."
        if rig.line.grab is None:
            yield f"Line {rig.line.name} has no rope grab: all of its length counts as slack."
        elif not rig.line.grab.follows:
            yield f"The grab on line {rig.line.name} is moved by hand: it may stand anywhere up to the stop."
        elif rig.slip_force is None and rig.slip.high > 0:
            yield f"The grab's slip force on line {rig.line.name} is not known: its slide only lengthens the fall."
    if rigs:
        yield "How hard the rope rubs on the edge is not known; the whole published range is used."
