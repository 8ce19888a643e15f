"""A layout of anchors: what was asked for, what was chosen and what stays uncovered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ropewright.findings import Finding, Verdict
from ropewright.job.layout_site import Places
from ropewright.job.model import Job

__all__ = ["Bare", "Cut", "Layout", "Placed", "Setting", "Wanted"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Wanted:
    """How a layout is to be looked for."""

    keep: bool = True  #: the job's anchors stay and cost nothing; else the roof is taken as bare
    most: int | None = None  #: new anchors at most; None: as many as it takes
    spacing: float | None = None  #: between places for anchors; None: as the job has it [m]
    places: float | None = None  #: between places to cover; None: as the job has it [m]
    share: float | None = None  #: least share of draws in which the whole layout must hold [-]
    draws: int = 1024
    seconds: float = 60.0  #: for each program that is solved [s]


@dataclass(frozen=True, slots=True)
class Setting:
    """One worker's line on one anchor of a layout."""

    worker: str
    line: str
    stop: float  #: from the anchor to the stop: enough for the places that are left to this anchor [m]
    longest: float  #: longest at which every edge that it reaches still holds [m]
    swing: float  #: greatest swing drop at `stop` [m]
    restrained: bool  #: no edge is reached at `stop`
    verdict: Verdict  #: worst over every edge that is reached at `stop`
    reason: str  #: the question that rules there
    places: int  #: how many of the worker's places are reached at `stop`


@dataclass(frozen=True)
class Placed:
    """An anchor of a layout."""

    name: str
    point: Floats  #: shape (3,) [m]
    on: str  #: the ridge, hip or framing line it lies on; empty for one of the job's own
    kept: bool  #: it was there before
    settings: tuple[Setting, ...]  #: none where it is there but not needed


@dataclass(frozen=True, slots=True)
class Bare:
    """Places of one worker that a layout leaves uncovered for one and the same reason."""

    worker: str
    area: str
    why: str
    places: tuple[int, ...]  #: numbers of the places


@dataclass(frozen=True)
class Cut:
    """A setting that was proposed and that the whole plan refused."""

    workers: tuple[str, ...]
    on: str  #: the ridge, hip or framing line, or the name of an anchor that was there
    point: Floats  #: place of the anchor, shape (3,) [m]
    refused: float  #: setting, anchor to stop [m]
    longest: float | None  #: longest shorter one that is not refused; None: none is [m]
    why: str
    finding: Finding  #: of the line as it was proposed


@dataclass(frozen=True)
class Layout:
    """Anchors chosen for a job, with the proof that fewer would not do."""

    job: Job
    wanted: Wanted
    places: Places
    candidates: Floats  #: (m, 3) places where an anchor could have gone [m]
    anchors: tuple[Placed, ...]  #: new ones
    kept: tuple[Placed, ...]  #: the job's own
    bound: int  #: no fewer new anchors cover what can be covered
    proven: bool  #: the number (or, with `Wanted.most`, the cover) is proven best
    bare: tuple[Bare, ...]
    covered: Bools  #: (p,) every worker who must get to the place is held there
    share: float | None  #: of draws in which the whole layout holds, if it was asked for [-]
    findings: tuple[Finding, ...]  #: what does not hold, worst first, of these lines on these anchors and of the job
    verdict: Verdict
    notes: tuple[str, ...] = field(default=())
    cuts: tuple[Cut, ...] = field(default=())  #: what was left out of the choice, since the whole plan refused it
    bound_uncut: int = 0  #: the bound before anything was left out: it rests on nothing that was refused

    @property
    def count(self) -> int:
        """Number of new anchors."""
        return len(self.anchors)

    @property
    def uncovered(self) -> Sequence[int]:
        """Numbers of the places that somebody who works there can't be held at."""
        return [int(at) for at in np.flatnonzero(~self.covered)]

    @property
    def holds_in_draws(self) -> bool:
        """True if the whole layout holds in the share of draws that was asked for, or none was."""
        return self.wanted.share is None or (self.share is not None and self.share >= self.wanted.share)

    @property
    def holds(self) -> bool:
        """True if every place is covered and everything asked holds."""
        return bool(self.covered.all()) and self.verdict is Verdict.HOLDS and self.holds_in_draws
