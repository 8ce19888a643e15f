"""The limits of a pack that bear on one figure of a job, and how severe it is for a figure to be where it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.findings import SEVERITY, Verdict
from ropewright.job.model import Job
from ropewright.quantity import Range
from ropewright.rules import Limit
from ropewright.rules.conditions import all_of
from ropewright.rules.facts import Told, assume, read_facts
from ropewright.rules.limits import Kind

__all__ = ["Judged", "Ruling", "judge", "rulings"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: What a product's drop test is done with: its limits say nothing of a person's fall.
_TEST_MASS = "rigid test mass"


@dataclass(frozen=True, slots=True)
class Ruling:
    """One limit as it bears on a case."""

    limit: Limit
    #: Facts that nobody has told and that decide whether it applies, or whether something else may stand in for it.
    untold: tuple[str, ...] = ()

    @property
    def certain(self) -> bool:
        """True if it applies, whatever is not told."""
        return not self.untold

    @property
    def has_figure(self) -> bool:
        """False where the pack says that its text gives none."""
        return self.limit.figure is not None

    @property
    def at_most(self) -> bool:
        """True if more is worse."""
        return self.limit.safe_operator in ("<=", "<")

    @property
    def bound(self) -> float:
        """Figure in SI; only where there is one."""
        assert self.limit.figure is not None
        return self.limit.figure.value

    def meets(self, values: Floats) -> NDArray[np.bool_]:
        """True where a value meets the figure, shape (n,)."""
        bound, operator = self.bound, self.limit.safe_operator
        guard = 1e-9 * max(abs(bound), 1.0)  # the same as in `Limit.judge`: 6 ft given in metres is 6 ft
        met: NDArray[np.bool_]
        if self.at_most:
            met = values <= bound + guard if operator == "<=" else values < bound - guard
        else:
            met = values >= bound - guard if operator == ">=" else values > bound + guard
        return met

    def margin(self, unsafe: Floats) -> Floats:
        """Distance on the safe side, shape (n,); float noise past the figure is none."""
        away = self.bound - unsafe if self.at_most else unsafe - self.bound
        return np.where(self.meets(unsafe), np.maximum(away, 0.0), away)

    def codes(self, likely: Floats, unsafe: Floats) -> Integers:
        """Severity of each of n values.

        Parameters
        ----------
        likely, unsafe : array, shape (n,)
            At the likely inputs and at their unsafe end.
        """
        if not self.has_figure:
            return np.full(len(likely), SEVERITY[Verdict.ASK])
        limit = self.limit
        past = Verdict.ASK if limit.kind is Kind.TRIGGER or not self.certain else limit.past
        partly = Verdict.DOUBTFUL if limit.settles and self.certain else Verdict.ASK
        codes = np.full(len(likely), SEVERITY[limit.at_best])
        codes[~self.meets(unsafe)] = SEVERITY[partly]
        codes[~self.meets(likely)] = SEVERITY[past]
        return codes


def rulings(job: Job, fact: str, facts: Mapping[str, object] | None = None) -> tuple[Ruling, ...]:
    """Limits of the job's pack that can make an answer about a fact worse, strictest first.

    Parameters
    ----------
    job : Job
    fact : str
        Name of a fact that is a figure.
    facts : mapping, optional
        What else is known of the case; what the job file tells is added.

    Returns
    -------
    tuple of Ruling
        Empty where the pack says nothing of it. What nobody has told does not rule a limit out; it only makes it
        uncertain. A limit that is no stricter than a certain and settled one can't make the answer worse: it is left
        out, so that a figure from memory does not turn a clear answer into a question.
    """
    told = {**job.facts, **(facts or {})}
    known = assume(read_facts(told))
    limits = (limit for limit in job.pack.limits_for(fact, told) if limit.applies_to != _TEST_MASS)
    found = [Ruling(limit, _untold(limit, known)) for limit in limits]
    return tuple(sorted(_that_count(found), key=lambda one: one.limit.strictness, reverse=True))


def _untold(limit: Limit, known: Mapping[str, Told]) -> tuple[str, ...]:
    cases = [limit.when] if limit.applies(known) is None else []
    cases += [case for case in limit.unless if all_of(case, known) is None]
    return tuple(sorted({one.fact for case in cases for one in case if one.met(known) is None}))


def _that_count(found: list[Ruling]) -> list[Ruling]:
    kept = []
    for one in found:
        same_side = [other for other in found if other.at_most is one.at_most and other.has_figure]
        covers = [other.limit.strictness for other in same_side if other.certain and other.limit.settles]
        is_covered = covers and one.limit.strictness <= max(covers)
        if not is_covered or (one.certain and one.limit.settles):
            kept.append(one)
    return kept


@dataclass(frozen=True)
class Judged:
    """What all rulings together say of n values; at least one ruling."""

    codes: Integers  #: (n,) severity
    margin: Floats  #: (n,) least distance on the safe side; that from nothing where no ruling has a figure
    met: NDArray[np.bool_]  #: (n,) every figure that surely applies is met, be it one that must still be confirmed
    ruling: Integers  #: (n,) index of the ruling that decides


def judge(found: tuple[Ruling, ...], low: Floats, likely: Floats, high: Floats) -> Judged:
    """Hold values against all limits that bear on them.

    Parameters
    ----------
    found : tuple of Ruling
        At least one.
    low, likely, high : array, shape (n,)
        No nan. SI.

    Returns
    -------
    Judged
    """
    n = len(likely)
    codes = np.empty((len(found), n), np.int64)
    margins = np.full((len(found), n), np.inf)
    met = np.ones(n, bool)
    for row, one in enumerate(found):
        unsafe = high if one.at_most else low
        codes[row] = one.codes(likely, unsafe)
        if one.has_figure:
            margins[row] = one.margin(unsafe)
            if one.certain:
                met &= one.meets(unsafe)
    # The worst decides; among equals one that surely applies, then one with a figure, then the narrower margin.
    rank = np.array([[2.0 * one.certain + one.has_figure] for one in found])
    narrow = 1.0 / (2.0 + np.maximum(margins, 0.0))
    deciding = (codes * 10.0 + rank + narrow).argmax(axis=0)
    least = margins.min(axis=0)
    without = -high if found[0].at_most else low
    return Judged(codes.max(axis=0), np.where(np.isinf(least) & (least > 0), without, least), met, deciding)


def judge_one(found: tuple[Ruling, ...], value: Range) -> tuple[Verdict, Ruling, float | None]:
    """Verdict of one value, the ruling that decides and the distance to its figure on the safe side."""
    low, likely, high = (np.array([end]) for end in (value.low, value.likely, value.high))
    judged = judge(found, low, likely, high)
    ruling = found[int(judged.ruling[0])]
    verdict = next(verdict for verdict, severity in SEVERITY.items() if severity == judged.codes[0])
    margin = float(ruling.margin(high if ruling.at_most else low)[0]) if ruling.has_figure else None
    return verdict, ruling, margin
