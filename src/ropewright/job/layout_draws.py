"""Lines of a layout shortened until all of them hold together in a share of draws of what is in doubt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ropewright.job.layout_reach import Reach
from ropewright.job.layout_stops import draws_held
from ropewright.job.model import Job
from ropewright.job.work import Work

__all__ = ["Draws"]

Bools = NDArray[np.bool_]

#: Rounds in which settings are shortened for draws that don't hold; each takes at least one place for an anchor.
_ROUNDS = 40
_WHY = "falls would hold in too few of the draws"


@dataclass
class Draws:
    """What every line must hold alone is asked first, so that the bound on the number of anchors stays one.

    Only where all lines do and their draws don't fall together is more asked of each.
    """

    job: Job
    work: Work
    share: float  #: asked of the whole layout [-]
    count: int  #: draws
    held: float = np.nan  #: share of draws in which the last proposal held [-]
    _least: float = np.nan  #: asked of each line [-]
    _round: int = 0
    _known: dict[tuple[int, int, int], Bools] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._least = self.share

    @property
    def is_exact(self) -> bool:
        """True as long as no more is asked of a line than the whole layout must hold."""
        return self._least == self.share

    def shorten(self, reaches: Sequence[Reach], stops: Sequence[Mapping[int, int]]) -> bool:
        """Lower the longest setting of lines that hold in too few draws; was any?

        Parameters
        ----------
        reaches : sequence of Reach
        stops : sequence of mapping of int to int
            For each kind of gear, the columns chosen and the settings on them, in steps.
        """
        self._round += 1
        together, alone = np.ones(self.count, bool), dict[tuple[int, int], float]()
        for number, (reach, own) in enumerate(zip(reaches, stops, strict=True)):
            for column, steps in own.items():
                here = self._draws(number, reach, column, steps)
                together &= here
                alone[number, column] = float(here.mean())
        self.held = float(together.mean())
        while True:
            short = [at for at, held in alone.items() if held < self._least]
            if short or self.held >= self.share or self._least == 1.0:
                break
            more = 1.0 - (1.0 - self.share) / max(len(alone), 2) if self.is_exact else (1.0 + self._least) / 2
            self._least = 1.0 if 1.0 - more < 1.0 / self.count else more
        if self._round > _ROUNDS:
            return False
        lowered = [self._lower(number, reaches[number], column) for number, column in short]
        return any(lowered)

    def _lower(self, number: int, reach: Reach, column: int) -> bool:
        """Lower the longest setting of a line to the longest that holds in enough draws; a restraint stays one."""
        before = int(reach.longest[column])
        low, high = int(min(reach.restrained[column], reach.longest[column])), int(reach.longest[column]) + 1
        while high - low > 1:
            middle = (low + high) // 2
            if self._draws(number, reach, column, middle).mean() >= self._least:
                low = middle
            else:
                high = middle
        reach.longest[column] = low
        reach.limited[column] = _WHY
        return low < before

    def _draws(self, number: int, reach: Reach, column: int, steps: int) -> Bools:
        """Draws in which a setting holds, shape (draws,)."""
        key = (number, column, steps)
        if key not in self._known:
            near, stop = reach.near[column], steps * reach.step
            self._known[key] = draws_held(self.job, self.work, reach.gear.rig, near, stop, self.count)
        return self._known[key]
