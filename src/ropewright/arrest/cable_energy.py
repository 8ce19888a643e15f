"""A fall onto a horizontal line by energy alone: how far everything gives until the fall's energy is taken up."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from ropewright.arrest.cable import Cable, CableState, PointLoad
from ropewright.arrest.cable_balance import find_root, hang_cable
from ropewright.arrest.cable_segment import CableError
from ropewright.arrest.cable_worker import LineWorker

__all__ = ["EnergyCatch", "depth_at", "energy_catch"]

#: Doublings of the load that are tried; the first is the worker's weight.
_DOUBLINGS = 40


@dataclass(frozen=True)
class EnergyCatch:
    """The lowest point of a fall onto a line, by energy."""

    worker: LineWorker
    before: CableState  #: with those who hang on it already, the worker's place marked
    lowest: CableState  #: with the greatest force on it
    force: float  #: on the worker [N]
    absorber: float  #: that the absorber in the lanyard has opened [m]
    lanyard_stretch: float  #: [m]

    @property
    def line_drop(self) -> float:
        """How far the line's point above the worker goes down [m]."""
        return depth_at(self.lowest, self.worker.at) - depth_at(self.before, self.worker.at)

    @property
    def sag_at_worker(self) -> float:
        """That point plumb below the straight line between its supports, at the lowest [m]."""
        return depth_at(self.lowest, self.worker.at) + self.lowest.cable.chord_height(self.worker.at)

    @property
    def stop_distance(self) -> float:
        """From the first tension to the lowest point [m]."""
        return self.line_drop + self.absorber + self.lanyard_stretch

    @property
    def total_fall(self) -> float:
        """Of the worker, from release to the lowest point [m]."""
        return self.worker.free_fall + self.stop_distance


def energy_catch(
    cable: Cable, worker: LineWorker, hanging: Iterable[PointLoad] = (), *, opened: float = 0.0
) -> EnergyCatch:
    """Lowest point of a fall onto a line if nothing but its springs and absorbers takes up energy.

    Parameters
    ----------
    cable : Cable
    worker : LineWorker
    hanging : iterable of PointLoad
        Those who hang on the line already, as dead loads that sink with it. [m], [N]
    opened : float
        What the absorber in line has paid out before. [m]

    Returns
    -------
    EnergyCatch

    Raises
    ------
    CableError
        If the line has no balance on the way, or no force is found that stops the fall.
    ValueError
        If a load stands beyond the anchors or over a support.

    Notes
    -----
    W (h + y) = U(P) - U(0), with U the energy of line, anchors, absorbers and dead loads in the balance at load P and
    y the way from the first tension: quasi-static, without mass of the line. The load stays plumb under its place, and
    what the connector's friction on the line takes is left out, which errs high. Without damping the motion comes to
    rest there if the fall is in the middle of a level span and nobody else's body moves. The published check of such
    a static method against 42 dynamic falls found it to lie above the measured tensions, by 17 % at most (Galy and
    Lan, International Journal of Occupational Safety and Ergonomics, 2017, abstract read).

    Examples
    --------
    >>> taut = Cable((20.0,), (19.99,), stiffness=1.7e6)
    >>> caught = energy_catch(taut, LineWorker(at=10.0, mass=100.0, free_fall=1.0))
    >>> round(caught.force), round(caught.lowest.tension), round(caught.total_fall, 3)
    (6199, 20545, 2.526)
    """
    others = tuple(hanging)
    before = hang_cable(cable, (*others, PointLoad(worker.at, 0.0)), opened=opened)
    start = _held_energy(before, others)

    def catch_at(force: float, absorber: float) -> EnergyCatch:
        state = hang_cable(cable, (*others, PointLoad(worker.at, force)), opened=opened)
        return EnergyCatch(worker, before, state, force, absorber, force * worker.fast_compliance)

    def left_over(caught: EnergyCatch) -> float:
        """Energy of the fall that is not yet taken up."""
        taken = _held_energy(caught.lowest, others) - start + 0.5 * caught.force * caught.lanyard_stretch
        return worker.weight * caught.total_fall - taken - worker.absorber_force * caught.absorber

    opens, length = worker.absorber_force, worker.absorber_length if worker.has_absorber else 0.0
    low, shut = worker.weight, 0.0
    if worker.has_absorber:
        rest, gained = left_over(catch_at(opens, 0.0)), opens - worker.weight
        if rest > 0 and 0 < rest <= gained * length:
            return catch_at(opens, rest / gained)
        if rest > 0:  # it opens all the way, be it under the worker's weight alone
            low, shut = max(opens, worker.weight), length
    force = _stopping_force(lambda load: left_over(catch_at(load, shut)), low)
    return catch_at(force, shut)


def _held_energy(state: CableState, others: Iterable[PointLoad]) -> float:
    """Energy of the line and of the dead loads on it [J]."""
    return state.energy - sum(load.force * depth_at(state, load.at) for load in others)


def depth_at(state: CableState, place: float) -> float:
    """How far the line's point at a load lies below the left anchor [m]."""
    for load, (_, z) in zip(state.loads, state.load_points, strict=True):
        if load.at == place:
            return -z
    raise ValueError(f"no load stands at {place} m")


def _stopping_force(left_over: Callable[[float], float], low: float) -> float:
    """Force at which nothing is left of the fall's energy."""
    high = low
    for _ in range(_DOUBLINGS):
        low, high = high, 2.0 * high
        if left_over(high) <= 0:
            return find_root(left_over, low, high, 1e-10 * low)
    raise CableError("nothing gives enough to stop the fall: give the stiffness of line, lanyard or anchors")
