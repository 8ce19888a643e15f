"""One worker with all that holds them, and the ranges that the fall of that worker is worked out with."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.job.model import Anchor, CrewMember, Job, Line
from ropewright.quantity import Range
from ropewright.rope import RopeStiffness, edge_friction, stiffness_of

__all__ = ["Rig", "rigs_of"]

Floats = NDArray[np.float64]


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

    def rope_out(self, standing: Floats, full: float | Floats | None = None) -> Floats:
        """Rope out, anchor to D-ring, for a worker at places on the roof, shape (n,). [m]

        Parameters
        ----------
        standing : array, shape (n,)
            Taut rope from the anchor to the D-ring of a worker who stands there. [m]
        full : float or array, shape (n,), optional
            Rope to the stop and lanyard; the line's own where not given. [m]

        Notes
        -----
        A grab moved by hand can be anywhere up to the stop, so all of it counts. One that trails the worker is at most
        a lanyard further out than the D-ring: it is left behind when the worker climbs and dragged once the lanyard
        is tight.
        """
        full = self.line.reach if full is None else full
        if self.line.grab is None or not self.line.grab.follows:
            return np.full(len(standing), full)
        return np.minimum(full, standing + 2 * self.line.lanyard.length)

    @property
    def facts(self) -> dict[str, object]:
        """What the rules can be told of how this worker is held."""
        return {
            "guided_arrester": self.line.grab is not None,
            "lanyard_absorber": self.line.lanyard.absorber is not None,
            "lifeline_vertical": True,
            "horizontal_line": False,
            "positioning": False,
            "self_retracting": False,
        }


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
