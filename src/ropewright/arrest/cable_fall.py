"""Falls onto a horizontal line, one after the other: by energy and in time, and the worse of both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ropewright.arrest.cable import Cable, CableState, PointLoad
from ropewright.arrest.cable_balance import hang_cable
from ropewright.arrest.cable_energy import EnergyCatch, energy_catch
from ropewright.arrest.cable_motion import HangingWorker, LineMotion, line_motion
from ropewright.arrest.cable_worker import LineWorker

__all__ = ["LineFall", "falls_on_line"]


@dataclass(frozen=True)
class LineFall:
    """A fall onto a line, worked out twice; each figure of it is the worse of the two."""

    bound: EnergyCatch
    motion: LineMotion
    resting: CableState  #: with everybody who has fallen so far hanging still

    @property
    def worker(self) -> LineWorker:
        """Who falls."""
        return self.bound.worker

    @property
    def force(self) -> float:
        """Greatest force on the faller [N]."""
        return max(self.bound.force, self.motion.peak_force)

    @property
    def tension(self) -> float:
        """Greatest tension anywhere in the line [N]."""
        return max(self.bound.lowest.tension, self.motion.peak_tension)

    @property
    def anchor_forces(self) -> tuple[float, float]:
        """Greatest force on the left and on the right end anchor [N]."""
        pairs = zip(self.bound.lowest.anchor_forces, self.motion.peak_ends, strict=True)
        left, right = (max(pair) for pair in pairs)
        return left, right

    @property
    def line_drop(self) -> float:
        """How far the line above the faller goes down from where it lay: what the sag adds to the clearance [m]."""
        return max(self.bound.line_drop, self.motion.line_drop)

    @property
    def sag_at_worker(self) -> float:
        """The line above the faller at its lowest, plumb below the straight line between its supports [m]."""
        return self.bound.sag_at_worker - self.bound.line_drop + self.line_drop

    @property
    def stop_distance(self) -> float:
        """From first tension to the lowest point [m]."""
        return max(self.bound.stop_distance, self.motion.stop_distance)

    @property
    def total_fall(self) -> float:
        """Of the faller, from release to the lowest point [m]."""
        return self.worker.free_fall + self.stop_distance

    @property
    def absorber(self) -> float:
        """Opening of the absorber in the lanyard [m]."""
        return max(self.bound.absorber, self.motion.absorber)

    @property
    def line_absorber(self) -> float:
        """Opening of the absorber in line, in all [m]."""
        return max(self.bound.lowest.opening, self.motion.opening)


def falls_on_line(cable: Cable, workers: Sequence[LineWorker], loads: Sequence[PointLoad] = ()) -> list[LineFall]:
    """Falls of several workers onto one line, each while those before hang on it.

    Parameters
    ----------
    cable : Cable
    workers : sequence of LineWorker
        In the order in which they fall; one who is pulled off by the fall before comes next.
    loads : sequence of PointLoad
        That hang on the line all along.

    Returns
    -------
    list of LineFall

    Raises
    ------
    CableError
        If one of the falls can't be worked out.
    ValueError
        If somebody stands beyond the anchors or over a support.

    Notes
    -----
    Nobody's fall is taken to add to another's at one instant; the loads stand at separate points, as they do. The
    appendix to the rule says that one fall may pull others off and gives no formula (29 CFR 1926 Subpart M App. C
    II(h)(6), read). Absorbers stay open as the fall before left them; the more open of the two ways counts.

    Examples
    --------
    >>> cable = Cable((20.0,), (20.05,), weight=2.45, stiffness=1.7e6)
    >>> first, second = falls_on_line(cable, [LineWorker(8.0, 100.0, 1.0), LineWorker(12.0, 100.0, 1.0)])
    >>> second.tension > first.tension
    True
    """
    hanging = [HangingWorker(LineWorker.still(load)) for load in loads if load.force > 0]
    falls: list[LineFall] = []
    opened = 0.0
    for worker in workers:
        resting = [one.worker.resting for one in hanging]
        bound = energy_catch(cable, worker, resting, opened=opened)
        motion = line_motion(cable, worker, hanging, opened=opened, aim=bound)
        opened = max(bound.lowest.opening, motion.opening)
        hanging = [HangingWorker(one.worker, paid) for one, paid in zip(hanging, motion.others_opened, strict=True)] + [
            HangingWorker(worker, max(bound.absorber, motion.absorber))
        ]
        falls.append(LineFall(bound, motion, hang_cable(cable, [*resting, worker.resting], opened=opened)))
    return falls
