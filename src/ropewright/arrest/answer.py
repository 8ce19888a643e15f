"""One fall with all that may be said about it: likely, at the ends of its inputs, by draws, and against limits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ropewright.arrest.curve import LoadCurve
from ropewright.arrest.doubtful import FallPoints, chain_of, complete
from ropewright.arrest.model_error import ERRORS
from ropewright.arrest.part_sets import model_errors
from ropewright.arrest.parts import Chain
from ropewright.arrest.single import OneFall, book_fall, one_fall
from ropewright.arrest.steps import ERROR_BOUND
from ropewright.arrest.worst_corner import Corners, worst_corners
from ropewright.findings import Verdict
from ropewright.findings.figures import Figure
from ropewright.quantity import Range

if TYPE_CHECKING:
    from ropewright.arrest.doubt import Doubt, PinDown

__all__ = ["FallAnswer", "FallTask", "LimitAnswer", "answer_fall", "draw_fall"]


@dataclass(frozen=True)
class FallTask:
    """One fall as it was asked for.

    Parameters
    ----------
    inputs : mapping of str to Range
        By the names of `INPUTS`, without the model's errors.
    point : FallPoints, shape (1,)
        What the inputs `free_fall` and `length` are added to.
    curve : LoadCurve, optional
    limits : mapping of str to float
        Greatest `peak_force` [N] and `needed` [m] that hold.
    draws : int
        0: none.
    """

    inputs: Mapping[str, Range]
    point: FallPoints
    curve: LoadCurve | None = None
    limits: Mapping[str, float] | None = None
    draws: int = 0

    def chain(self, case: Mapping[str, float]) -> Chain:
        """Chain of one case of every input."""
        return chain_of(case, self.point, curve=self.curve)

    @property
    def has_absorber(self) -> bool:
        """True if there may be an absorber."""
        none = Range.exact(0.0)
        return self.inputs.get("absorber_force", none).high > 0 and self.inputs.get("absorber_length", none).high > 0

    @property
    def likely(self) -> dict[str, float]:
        """Every input at its likely value, and no model error."""
        known = dict.fromkeys(ERRORS, 1.0) | {name: value.likely for name, value in self.inputs.items()}
        return {name: value.ends.likely for name, value in complete(known).items()}


@dataclass(frozen=True)
class LimitAnswer:
    """One limit, held against the fall."""

    output: str  #: one of `OUTPUTS`
    limit: float
    likely: float  #: the larger of simulation and book, at likely inputs
    worst: float  #: the same with every input and the model's error at its unsafe end
    verdict: Verdict


@dataclass(frozen=True)
class FallAnswer:
    """What there is to say about one fall."""

    task: FallTask
    one: OneFall  #: at likely inputs, without the model's error
    corners: Corners  #: at the ends of the inputs; low and middle without the model's error, high with it
    limits: tuple[LimitAnswer, ...]
    errors: tuple[Figure, ...]  #: the model's errors that bear on this fall


def answer_fall(task: FallTask) -> FallAnswer:
    """Answer one fall, but for its draws.

    Parameters
    ----------
    task : FallTask

    Returns
    -------
    FallAnswer

    Raises
    ------
    CatchError
        If nothing stops the fall at likely inputs.

    Notes
    -----
    A limit holds if it does with every input and the model's error at the unsafe end, fails if it does at likely
    inputs, and is doubtful in between. The clearance is the larger of the simulated one and the book's.

    Examples
    --------
    >>> inputs = {"mass": Range.exact(100.0), "modulus": Range.exact(40e3), "length": Range.exact(4.0),
    ...           "free_fall": Range.exact(2.0), "body_shift": Range(0.25, 0.30, 0.45)}
    >>> found = answer_fall(FallTask(inputs, FallPoints(), limits={"peak_force": 8e3}))
    >>> limit = found.limits[0]
    >>> round(limit.likely), round(limit.worst), limit.verdict.value  # an undamped rope: up to 30 % more
    (7320, 9516, 'doubtful')
    """
    one = one_fall(task.chain(task.likely))
    errors = {name: Range(1.0, 1.0, model_errors()[key].value.high) for name, key in ERRORS.items()}
    corners = worst_corners({**errors, **task.inputs}, task.point, curve=task.curve, error_bound=ERROR_BOUND)
    limits = tuple(_held(task, one, corners, output, limit) for output, limit in (task.limits or {}).items())
    bearing = tuple(model_errors()[key] for name, key in ERRORS.items() if _bears(task, corners, name))
    return FallAnswer(task, one, corners, limits, bearing)


def _bears(task: FallTask, corners: Corners, error: str) -> bool:
    if error == "rope_error" and task.has_absorber and not corners.spent[0]:
        return False  # the absorber sets the force, not the rope
    return any(case[error] != 1.0 for case in corners.cases)


def _held(task: FallTask, one: OneFall, corners: Corners, output: str, limit: float) -> LimitAnswer:
    likely, worst = float(corners.middle[output][0]), float(corners.high[output][0])
    if output == "needed":
        likely = max(likely, _book(task, task.likely))
        worst = max(worst, *(_book(task, case) for case in corners.cases))
    if not one.arrested:
        likely = np.inf
    held = Verdict.HOLDS if worst <= limit else Verdict.FAILS if likely > limit else Verdict.DOUBTFUL
    return LimitAnswer(output, limit, likely, worst, held)


def _book(task: FallTask, case: Mapping[str, float]) -> float:
    """Clearance below the feet by the book, for one case of the inputs. [m]"""
    return float(book_fall(task.chain(case))[0].total) + case["body_shift"] + case["grab_slide"]


def draw_fall(task: FallTask) -> tuple[Doubt, PinDown]:
    """Draws of one fall: its spread, the share that holds each limit, and what to pin down.

    Parameters
    ----------
    task : FallTask
        With `draws` above 0.

    Notes
    -----
    Every range is triangular, the model's errors among them.

    Examples
    --------
    >>> inputs = {"mass": Range(80.0, 100.0, 120.0), "modulus": Range.exact(40e3), "length": Range.exact(4.0)}
    >>> drawn, found = draw_fall(FallTask(inputs, FallPoints(1.0), draws=256))
    >>> drawn.in_doubt, found.order("needed")[0]
    (('mass', 'rope_error'), 'mass')
    """
    from ropewright.arrest.doubt import at_most, doubt, pin_down  # late: a fall without draws starts sooner

    tests = {output: at_most(output, limit) for output, limit in (task.limits or {}).items()}
    drawn = doubt(task.inputs, task.point, draws=task.draws, tests=tests, curve=task.curve)
    return drawn, pin_down(task.inputs, task.point, draws=task.draws, curve=task.curve)
