"""A fall onto a horizontal line in time: bodies with mass, line and lanyards without."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.cable import Cable, PointLoad
from ropewright.arrest.cable_balance import hang_cable
from ropewright.arrest.cable_energy import EnergyCatch, depth_at, energy_catch
from ropewright.arrest.cable_network import Network
from ropewright.arrest.cable_segment import CableError
from ropewright.arrest.cable_span import HungSpan
from ropewright.arrest.cable_tether import Tether
from ropewright.arrest.cable_worker import LineWorker
from ropewright.arrest.parts import GRAVITY

__all__ = ["HangingWorker", "LineMotion", "line_motion"]

Floats = NDArray[np.float64]

#: Share of the fall's energy that may be left unaccounted for. It is a bound on what is shown, not an aim.
ENERGY_TOLERANCE = 0.005

#: Steps up to the first rest, near enough; doubled until energy balances to a fifth of the tolerance.
_STEPS, _DOUBLINGS, _AIM = 150, 5, ENERGY_TOLERANCE / 5


@dataclass(frozen=True, slots=True)
class HangingWorker:
    """A worker who hangs on the line already."""

    worker: LineWorker
    opened: float = 0.0  #: of the absorber in the lanyard [m]


@dataclass(frozen=True)
class LineMotion:
    """A fall onto a line in time, from the first tension to twice the time of the first rest."""

    time: Floats  #: shape (n,) [s]
    force: Floats  #: in the faller's lanyard, shape (n,) [N]
    depth: Floats  #: of the faller below first tension, shape (n,) [m]
    line_depth: Floats  #: of the line's point above the faller, below where it lay before, shape (n,) [m]
    tension: Floats  #: greatest in the line, shape (n,) [N]
    ends: Floats  #: at the left and the right anchor, shape (n, 2) [N]
    others: Floats  #: forces on those who hung there, by place, shape (n, k) [N]
    stop_time: float  #: of the first rest [s]
    absorber: float  #: that the absorber in the faller's lanyard has opened [m]
    others_opened: tuple[float, ...]  #: the same of those who hung there, in the order they were told [m]
    opening: float  #: of the absorber in line [m]
    energy_error: float  #: greatest share of the fall's energy not accounted for [-]

    @property
    def peak_force(self) -> float:
        """Greatest force on the faller [N]."""
        return float(self.force.max())

    @property
    def peak_tension(self) -> float:
        """Greatest tension in the line [N]."""
        return float(self.tension.max())

    @property
    def peak_ends(self) -> tuple[float, float]:
        """Greatest force on the left and on the right anchor [N]."""
        left, right = self.ends.max(axis=0)
        return float(left), float(right)

    @property
    def peak_on_others(self) -> float:
        """Greatest force on anybody who hung there; 0 if nobody did [N]."""
        return float(self.others.max(initial=0.0))

    @property
    def stop_distance(self) -> float:
        """From first tension to the lowest point [m]."""
        return float(self.depth.max())

    @property
    def line_drop(self) -> float:
        """How far the line's point above the faller goes down [m]."""
        return float(self.line_depth.max())


def line_motion(
    cable: Cable,
    faller: LineWorker,
    hanging: Sequence[HangingWorker] = (),
    *,
    opened: float = 0.0,
    aim: EnergyCatch | None = None,
) -> LineMotion:
    """Follow a fall onto a line in time.

    Parameters
    ----------
    cable : Cable
    faller : LineWorker
    hanging : sequence of HangingWorker
        Those who hang still on the line when the fall begins; their bodies move too.
    opened : float
        What the absorber in line has paid out before. [m]
    aim : EnergyCatch, optional
        The same fall by energy, if it is known already; sets the length of the steps and nothing else.

    Returns
    -------
    LineMotion

    Raises
    ------
    CableError
        If the forces of an instant do not settle, the fall does not come to rest, or its energy does not balance.
    ValueError
        If a worker stands beyond the anchors or over a support.

    Notes
    -----
    m y'' = m g - F for every body, plumb under its place; F from the balance of the massless line at each instant.
    Velocity Verlet, with the step halved until energy balances. Bodies and line do not swing sideways, and the line's
    own mass is left out of the motion (it is in the balance): its share is a third of a span's line beside the body.

    Examples
    --------
    >>> cable = Cable((20.0,), (20.05,), weight=2.45, stiffness=1.7e6)
    >>> motion = line_motion(cable, LineWorker(at=10.0, mass=100.0, free_fall=1.0))
    >>> motion.energy_error < 0.005
    True
    """
    if aim is None:
        aim = energy_catch(cable, faller, [one.worker.resting for one in hanging], opened=opened)
    for doubling in range(_DOUBLINGS):
        try:
            motion = _follow(aim, hanging, _first_step(aim) / 2**doubling)
        except CableError:  # a line that locks at once may need shorter steps to be followed at all
            if doubling == _DOUBLINGS - 1:
                raise
            continue
        if motion.energy_error <= _AIM:
            return motion
    if motion.energy_error <= ENERGY_TOLERANCE:
        return motion
    raise CableError(f"the energy of the fall balances only to {motion.energy_error:.1%}")


def _first_step(aim: EnergyCatch) -> float:
    """Length of a step that divides the catch finely [s]."""
    worker, way = aim.worker, aim.stop_distance
    speed = math.sqrt(2.0 * GRAVITY * worker.free_fall)
    return min(math.sqrt(worker.mass * way / aim.force), way / speed if speed else math.inf) / _STEPS


def _follow(aim: EnergyCatch, hanging: Sequence[HangingWorker], step: float) -> LineMotion:
    """Follow the fall at one length of step."""
    run = _Run(aim, hanging, step)
    while not run.done:
        run.advance()
    return run.result()


class _Run:
    """A fall on its way."""

    def __init__(self, aim: EnergyCatch, hanging: Sequence[HangingWorker], step: float) -> None:
        self.aim, self.step = aim, step
        self.network, self.places = _start(aim, hanging)
        self.faller = self.places[0]
        self.masses = np.array([tether.worker.mass for tether in self.network.tethers])
        self.depth = np.zeros(len(self.masses))
        self.speed = np.zeros(len(self.masses))
        self.speed[self.faller] = math.sqrt(2.0 * GRAVITY * aim.worker.free_fall)
        self.lost, self.first_rest, self.steps = 0.0, math.nan, 0
        self._solve()
        self.pull = self._pull()
        self.datum = self._energy()
        self.scale = aim.worker.weight * aim.total_fall
        self.records = [self._record()]

    @property
    def done(self) -> bool:
        """True once twice the time to the first rest is over."""
        return bool(self.steps * self.step >= 2.0 * self.first_rest)

    def advance(self) -> None:
        """One step of velocity Verlet."""
        if self.steps > 100 * _STEPS * 2**_DOUBLINGS or (math.isnan(self.first_rest) and self._too_deep()):
            raise CableError("the fall onto the line does not come to rest")
        self.steps += 1
        self.depth = self.depth + self.step * self.speed + 0.5 * self.step**2 * self.pull
        self._solve()
        before, pull = self.speed, self._pull()
        self.speed = before + 0.5 * self.step * (self.pull + pull)
        self.pull = pull
        self.lost += self.network.settle(self.step)
        self.records.append(self._record())
        was, now = before[self.faller], self.speed[self.faller]
        if math.isnan(self.first_rest) and now <= 0:
            self.first_rest = self.step * (self.steps - 1 + was / (was - now))

    def result(self) -> LineMotion:
        """What was recorded."""
        table = np.array(self.records)
        absorber, *others = (self.network.tethers[place].opened for place in self.places)
        return LineMotion(
            time=self.step * np.arange(len(table), dtype=np.float64),
            force=table[:, 0],
            depth=table[:, 1],
            line_depth=table[:, 2],
            tension=table[:, 3],
            ends=table[:, 4:6],
            others=table[:, 7:],
            stop_time=self.first_rest,
            absorber=absorber,
            others_opened=tuple(others),
            opening=self.network.opened,
            energy_error=float(np.abs(table[:, 6] - self.datum).max() / self.scale),
        )

    def _solve(self) -> None:
        for tether, depth in zip(self.network.tethers, self.depth, strict=True):
            tether.depth = float(depth)
            tether.prepare(self.step)
        self.network.solve()

    def _pull(self) -> Floats:
        pull: Floats = GRAVITY - np.array(self.network.forces) / self.masses
        return pull

    def _too_deep(self) -> bool:
        return bool(self.depth[self.faller] > 3.0 * self.aim.stop_distance + 1.0)

    def _energy(self) -> float:
        moving = 0.5 * float(self.masses @ self.speed**2) - GRAVITY * float(self.masses @ self.depth)
        absorber = self.network.cable.absorber_force * self.network.opened
        springs = sum(tether.energy for tether in self.network.tethers)
        return moving + absorber + springs + self.lost + _line_energy(self.network)

    def _record(self) -> list[float]:
        net, forces = self.network, self.network.forces
        own = forces.pop(self.faller)
        depth = net.nodes[self.faller] - depth_at(self.aim.before, self.aim.worker.at)
        return [own, float(self.depth[self.faller]), depth, net.tension, *net.ends, self._energy(), *forces]


def _start(aim: EnergyCatch, hanging: Sequence[HangingWorker]) -> tuple[Network, list[int]]:
    """Line at rest with everybody on it, and where in it the faller and then the others stand."""
    marked = PointLoad(aim.worker.at, 0.0)
    state = hang_cable(aim.before.cable, [marked, *(one.worker.resting for one in hanging)], opened=aim.before.opening)
    tethers = [Tether(aim.worker, depth_at(state, aim.worker.at))]
    for one in hanging:
        stretch = one.worker.weight / one.worker.stiffness
        datum = depth_at(state, one.worker.at) + stretch + one.opened
        tethers.append(Tether(one.worker, datum, opened=one.opened, stretch=stretch))
    order = sorted(range(len(tethers)), key=lambda i: tethers[i].worker.at)  # as the loads of the state stand
    return Network.at_rest(state, [tethers[i] for i in order]), [order.index(i) for i in range(len(tethers))]


def _line_energy(network: Network) -> float:
    """Energy of the line and its anchors [J], the absorber in line apart."""
    total = 0.0
    for task, thread, (_, z0) in zip(network.tasks, network.threads, network.cable.supports, strict=False):
        span = HungSpan(task, tuple(thread.pieces), thread.start, 0.0)
        total += span.energy + task.weight * span.unstressed * z0
    return total
