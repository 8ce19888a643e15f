"""One question over every edge point, and what the answers of all questions make of each point."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.field import EdgePoints, RopeOver
from ropewright.findings import SEVERITY, Finding, Place, Source, SourceStatus, Verdict
from ropewright.job.asking import Question
from ropewright.job.clearance import Clearances
from ropewright.job.falls import Falls
from ropewright.job.law_errors import error_inputs, error_sources
from ropewright.job.model import Job
from ropewright.job.rig import Rig

__all__ = ["BY_GEOMETRY", "BY_SIMULATION", "Asked", "EdgeAnswer", "ruling", "verdict_of"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Bools = NDArray[np.bool_]

BY_SIMULATION = Source(
    "simulation of this fall", "standard linear solid, absorber and grab in series", SourceStatus.DERIVED
)
BY_GEOMETRY = Source("taut rope over the roof", "docs/derivations.md", SourceStatus.DERIVED)

#: Margins that differ by less, as a share, are the same. [-]
_ALIKE = 1e-7

_VERDICTS: Mapping[int, Verdict] = {severity: verdict for verdict, severity in SEVERITY.items()}


@dataclass(frozen=True)
class EdgeAnswer:
    """One question over all n edge points, and how to make the finding of one of them."""

    kind: str
    codes: Integers  #: (n,) severity, 0 where not reached
    margin: Floats  #: (n,) distance on the safe side; nan where not reached, endless where nothing is asked
    #: (n,) True where every figure is met, be it one that must still be confirmed, and where nothing is asked.
    met: Bools
    finding: Callable[[int], Finding]

    def worst(self) -> int | None:
        """Index of the point that rules: worst verdict, then least margin; None if no point is reached."""
        asked = np.flatnonzero(self.margin < np.inf)
        if not len(asked):
            return None
        worst = asked[self.codes[asked] == self.codes[asked].max()]
        least = float(self.margin[worst].min())
        if not np.isfinite(least):
            return int(worst[self.margin[worst].argmin()])
        # Where many places are alike the first of them is named, whatever the rounding of each.
        alike = self.margin[worst] <= least + _ALIKE * max(abs(least), 1.0)
        return int(worst[np.argmax(alike)])


@dataclass(frozen=True)
class Asked:
    """What every answer of one worker needs."""

    job: Job
    rig: Rig
    edges: EdgePoints
    over: RopeOver
    falls: Falls
    clear: Clearances

    def question(
        self, kind: str, i: int, text: str, thing: str, formula: str, inputs: Mapping[str, float | str]
    ) -> Question:
        """Return the question at one point."""
        x, y, z = map(float, self.edges.points[i])
        where = Place(
            edge=self.edges.names[self.edges.edge[i]],
            point=(x, y, z),
            worker=self.rig.worker.name,
            line=self.rig.line.name,
            anchor=self.rig.anchor.name,
        )
        first = BY_GEOMETRY if kind in ("free-fall", "swing", "power-line") else BY_SIMULATION
        sources = (first, *error_sources(kind, self.falls.errors, i))
        inputs = {**inputs, **error_inputs(kind, self.falls.errors, i)}
        return Question(f"{kind}/{self.rig.worker.name}", text, thing, where, formula, inputs, sources)


def verdict_of(code: int) -> Verdict:
    """Verdict of a severity."""
    return _VERDICTS[int(code)]


def ruling(answers: tuple[EdgeAnswer, ...], reached: Bools) -> Iterator[tuple[Verdict | None, str]]:
    """Verdict of each edge point and the question that rules there; None where it is not reached.

    Parameters
    ----------
    answers : tuple of EdgeAnswer
    reached : array of bool, shape (n,)

    Yields
    ------
    tuple of Verdict or None, and the kind of question
    """
    codes = np.array([answer.codes for answer in answers])
    for i, row in enumerate(codes.argmax(axis=0)):
        yield (verdict_of(codes[row, i]), answers[row].kind) if reached[i] else (None, "")
