"""What can be told about a horizontal line, and what only a qualified person can decide."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ropewright.arrest.cable import Cable, CableState, PointLoad, sag_amplification
from ropewright.arrest.cable_balance import hang_cable
from ropewright.arrest.cable_energy import energy_catch
from ropewright.arrest.cable_fall import LineFall, falls_on_line
from ropewright.arrest.cable_rig import rigged_to_sag
from ropewright.arrest.cable_segment import CableError
from ropewright.arrest.cable_worker import LineWorker
from ropewright.findings import Source, Verdict

__all__ = ["DECIDE", "SAFETY_FACTOR", "SOURCES", "LineAnswer", "SagRow", "answer_line"]

#: Whole system to greatest load. Source: 29 CFR 1926.502(d)(8), 29 CFR 1910.140(c)(11), read.
SAFETY_FACTOR = 2.0

#: Why the verdict is to ask, whatever the numbers.
SOURCES = (Source("29 CFR 1926.502", "(d)(8)"), Source("29 CFR 1910.140", "(c)(11)"))

#: What a qualified person must decide.
DECIDE = (
    "the design of the whole system with this line: it must be at least twice as strong as its greatest load",
    "whether both anchors, each intermediate support and what they are fixed to take these forces in these directions",
    "how the line is put up, tensioned and inspected, and who supervises that and its use",
    "how many workers may be tied to it, and what one fall does to the others",
    "whether the clearance is enough with the line's sag, and how somebody is rescued from the middle of it",
)

#: Sags of the rigged line that are set side by side, as shares of its longest span.
_SAGS = (0.01, 0.02, 0.03, 0.05, 0.08)


@dataclass(frozen=True, slots=True)
class SagRow:
    """The same line rigged with another sag."""

    rigged_sag: float  #: [m]
    angle: float  #: of the loaded line below the straight line to the next support, at the flatter anchor [deg]
    tension: float  #: greatest, under the loads or in the fall [N]
    anchor_force: float  #: on the end anchor that takes more [N]
    sag: float  #: under the load or at the lowest of the fall [m]
    total_fall: float | None  #: of the faller [m]; None without a fall


@dataclass(frozen=True)
class LineAnswer:
    """A line as rigged, under its loads, and in the falls; the verdict is `ask`, whatever the numbers."""

    cable: Cable
    rigged: CableState | None  #: None for a weightless slack line, which takes no shape by itself
    loaded: CableState | None  #: None where nothing hangs on it
    falls: tuple[LineFall, ...]
    by_sag: tuple[SagRow, ...]

    @property
    def verdict(self) -> Verdict:
        """`ask`: a horizontal line is a qualified person's to decide."""
        return Verdict.ASK

    @property
    def shown(self) -> CableState:
        """The line under its loads at rest, or as rigged where nothing hangs on it."""
        state = self.loaded or self.rigged
        assert state is not None  # one of them is there, or the answer could not be made
        return state

    @property
    def tension(self) -> float:
        """Greatest tension of all that was worked out [N]."""
        return max(self.shown.tension, *(fall.tension for fall in self.falls), 0.0)

    @property
    def anchor_forces(self) -> tuple[float, float]:
        """Greatest force on the left and on the right anchor of all that was worked out [N]."""
        every = [self.shown.anchor_forces, *(fall.anchor_forces for fall in self.falls)]
        return max(left for left, _ in every), max(right for _, right in every)

    @property
    def strength_needed(self) -> float:
        """Strength that line and anchors need for the factor of `SAFETY_FACTOR`, before ends and bends [N]."""
        return SAFETY_FACTOR * self.tension

    @property
    def amplification(self) -> float | None:
        """Greatest tension over all that hangs on the line at rest; None where nothing does [-]."""
        total = sum(load.force for load in self.shown.loads)
        return self.shown.tension / total if total > 0 else None

    @property
    def amplification_by_angle(self) -> float | None:
        """The same by the rule of the sag angle, for one load [-]."""
        loads = self.shown.loads
        return _by_angle(self.shown) if len(loads) == 1 and loads[0].force > 0 else None


def answer_line(cable: Cable, loads: Sequence[PointLoad] = (), workers: Sequence[LineWorker] = ()) -> LineAnswer:
    """Answer what can be told about a horizontal line.

    Parameters
    ----------
    cable : Cable
    loads : sequence of PointLoad
        That hang on it at rest.
    workers : sequence of LineWorker
        Who fall onto it, in that order, while the loads hang there.

    Returns
    -------
    LineAnswer

    Raises
    ------
    CableError
        If the line has no balance, or a fall can't be worked out.
    ValueError
        If a load or a worker stands beyond the anchors or over a support.

    Examples
    --------
    >>> answer = answer_line(Cable((20.0,), (20.05,), stiffness=1.7e6), [PointLoad(10.0, 6000.0)])
    >>> answer.verdict.value, round(answer.amplification, 3), round(answer.amplification_by_angle, 3)
    ('ask', 3.084, 3.084)
    """
    slack = cable.weight == 0 and sum(cable.lengths) >= sum(map(math.hypot, cable.spans, cable.rises))
    rigged = None if slack else hang_cable(cable)
    loaded = hang_cable(cable, loads) if loads or rigged is None else None
    falls = tuple(falls_on_line(cable, workers, loads))
    return LineAnswer(cable, rigged, loaded, falls, tuple(_rows(cable, loads, workers)))


def _by_angle(state: CableState) -> float | None:
    """Amplification by the straight lines from the supports of the load's span to the load."""
    (x, z), places = state.load_points[0], state.cable.supports
    left = max(place for place in places if place[0] < x)
    right = min(place for place in places if place[0] > x)
    a, b = (math.degrees(math.atan2(end[1] - z, abs(end[0] - x))) for end in (left, right))
    return sag_amplification(a, b) if a + b > 0 else None


def _rows(cable: Cable, loads: Sequence[PointLoad], workers: Sequence[LineWorker]) -> list[SagRow]:
    """The line rigged slacker and tauter, with the same loads and the first fall, by energy."""
    if cable.weight == 0 or not (loads or workers):
        return []
    rows = []
    for share in _SAGS:
        sag = share * max(cable.spans)
        try:
            rows.append(_row(rigged_to_sag(cable, sag), sag, loads, workers[:1]))
        except CableError:  # too slack to hang over its supports, or sagging more by give of the anchors alone
            continue
    return rows


def _row(cable: Cable, sag: float, loads: Sequence[PointLoad], workers: Sequence[LineWorker]) -> SagRow:
    if not workers:
        state, fall, deepest = (loaded := hang_cable(cable, loads)), None, loaded.sag
    else:
        caught = energy_catch(cable, workers[0], loads)
        state, fall, deepest = caught.lowest, caught.total_fall, caught.sag_at_worker
    first, last = state.spans[0], state.spans[-1]
    left = math.atan2(-first.v_left, first.horizontal) + math.atan2(first.task.rise, first.task.run)
    right = math.atan2(last.v_right, last.horizontal) - math.atan2(last.task.rise, last.task.run)
    angle = math.degrees(min(left, right))
    return SagRow(sag, angle, state.tension, max(state.anchor_forces), deepest, fall)
