"""One worker with all that holds them, and the ranges that the fall of that worker is worked out with."""

from __future__ import annotations

from dataclasses import dataclass

from ropewright.job.model import Anchor, CrewMember, Job, Line
from ropewright.quantity import Range
from ropewright.rope import RopeStiffness, edge_friction, stiffness_of

__all__ = ["Rig", "rigs_of"]


@dataclass(frozen=True)
class Rig:
    """A worker, their line, its anchor, and how the rope stretches and rubs."""

    worker: CrewMember
    line: Line
    anchor: Anchor
    stiffness: RopeStiffness
    friction: Range  #: rope on the edge it bends over [-]

    @property
    def lock(self) -> Range:
        """Travel of the grab until it locks; nothing without a grab. [m]"""
        return self.line.grab.lock if self.line.grab else Range.exact(0.0)

    @property
    def slip(self) -> Range:
        """Slide of the grab after it has locked. [m]"""
        return self.line.grab.slip if self.line.grab else Range.exact(0.0)

    @property
    def slip_force(self) -> Range | None:
        """Force at which the grab slides; None: not known. [N]"""
        return self.line.grab.slip_force if self.line.grab else None


def rigs_of(job: Job) -> tuple[Rig, ...]:
    """Every worker of the crew with their line and anchor, in the job's order.

    Parameters
    ----------
    job : Job
        Its references have been checked when it was read.

    Returns
    -------
    tuple of Rig
    """
    lines = {line.name: line for line in job.lines}
    anchors = {anchor.name: anchor for anchor in job.anchors}
    return tuple(_rig(worker, lines[worker.line], anchors) for worker in job.crew)


def _rig(worker: CrewMember, line: Line, anchors: dict[str, Anchor]) -> Rig:
    rope = line.rope
    stiffness = stiffness_of(
        rope.fibre,
        rope.construction,
        rope.stretch,
        rope.diameter,
        rope.strength,
        given=rope.stiffness,
        condition=rope.condition,
    )
    return Rig(worker, line, anchors[line.anchor], stiffness, edge_friction("unknown"))
