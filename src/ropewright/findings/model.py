"""Findings: immutable records from which everything printed, drawn or served is made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from types import MappingProxyType

from ropewright.findings.drawn import Drawn
from ropewright.quantity import Dimension

__all__ = ["SEVERITY", "Finding", "Place", "Remedy", "Source", "SourceStatus", "Verdict", "worst"]


class Verdict(StrEnum):
    """The answer to one question; `ASK` means that a qualified person must decide."""

    HOLDS = "holds"
    DOUBTFUL = "doubtful"
    ASK = "ask"
    FAILS = "fails"


#: Worse is larger, so that ``max`` picks the verdict that rules.
SEVERITY: Mapping[Verdict, int] = MappingProxyType(
    {Verdict.HOLDS: 0, Verdict.DOUBTFUL: 1, Verdict.ASK: 2, Verdict.FAILS: 3}
)


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """Worst of several verdicts; with none at all nothing was shown to hold, so `ASK`.

    Examples
    --------
    >>> worst([Verdict.HOLDS, Verdict.DOUBTFUL]).value
    'doubtful'
    >>> worst([]).value
    'ask'
    """
    return max(verdicts, key=SEVERITY.__getitem__, default=Verdict.ASK)


class SourceStatus(StrEnum):
    """How a figure came to be known; it stays with the figure wherever it is shown."""

    READ = "read"
    READ_SECOND_HAND = "read second hand"
    MEMORY = "memory"
    PRACTICE = "practice"
    DERIVED = "derived"
    JUDGEMENT = "judgement"
    USER = "user"

    @property
    def settles(self) -> bool:
        """True if a limit with this standing may give a bare `holds`."""
        return self not in (SourceStatus.MEMORY, SourceStatus.JUDGEMENT)


@dataclass(frozen=True, slots=True)
class Source:
    """Where a limit or a formula comes from.

    Parameters
    ----------
    document : str
        Title as it would be cited: ``29 CFR 1926.502``.
    clause : str
        Clause, table or page; empty if the document has none.
    status : SourceStatus
        How it came to be known.
    compared : date, optional
        Day on which it was last held against its source.
    """

    document: str
    clause: str = ""
    status: SourceStatus = SourceStatus.READ
    compared: date | None = None

    def __str__(self) -> str:
        cited = f"{self.document} {self.clause}".strip()
        return cited if self.status is SourceStatus.READ else f"{cited} [{self.status}]"


@dataclass(frozen=True, slots=True)
class Place:
    """Where on the job a finding bites; whatever does not apply is None.

    ``point`` is (x, y, z) in metres: east, north and up from the job's origin.
    """

    edge: str | None = None
    point: tuple[float, float, float] | None = None
    worker: str | None = None
    line: str | None = None
    anchor: str | None = None
    opening: str | None = None
    facet: str | None = None
    name: str | None = None


@dataclass(frozen=True, slots=True)
class Remedy:
    """The least change found that mends a finding.

    Parameters
    ----------
    text : str
        What to do, in one sentence, in the job's units.
    change : mapping of str to str
        Field of the job file to its new value.
    proven : bool
        True if the job was assessed again with the change and the finding then held.
    verdict_after : Verdict
        What the question's verdict became, and `worst` over the whole job in `job_after`.
    """

    text: str
    change: Mapping[str, str]
    proven: bool
    verdict_after: Verdict
    job_after: Verdict | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """One question asked of the plan, with its answer.

    Parameters
    ----------
    id : str
        Unique within an assessment: ``free-fall/worker-1``.
    question : str
        What was asked, as a question a roofer would ask.
    verdict : Verdict
        The answer.
    summary : str
        One sentence that says the answer with its number, in the job's units.
    value, low, high : float, optional
        Computed value at its likely inputs and its spread, SI. None where the answer is no number.
    limit : float, optional
        What it is held against, SI.
    operator : str, optional
        How: the value must be ``<=``, ``<``, ``>=`` or ``>`` the limit for the finding to hold.
    margin : float, optional
        Distance on the safe side of the limit at the unsafe end of the spread; negative where it is past it.
    unit : str
        SI unit of the numbers: ``m``, ``N``, ``kg``, ``s``, ``deg``, ``V``, ``-``.
    dimension : Dimension, optional
        How to show the numbers in the job's units.
    where : Place
    formula : str
        Formula as text, with the letters of `inputs`.
    inputs : mapping of str to float or str
        Each input as it was used; numbers in SI, keys with their unit as suffix.
    sources : tuple of Source
        The first is that of the limit.
    decide : str
        With `ASK`: what a qualified person must decide.
    remedy : Remedy, optional
    drawn : Drawn, optional
        What draws of the inputs made of it, where they were asked for.
    """

    id: str
    question: str
    verdict: Verdict
    summary: str
    value: float | None = None
    low: float | None = None
    high: float | None = None
    limit: float | None = None
    operator: str | None = None
    margin: float | None = None
    unit: str = "-"
    dimension: Dimension | None = None
    where: Place = field(default_factory=Place)
    formula: str = ""
    inputs: Mapping[str, float | str] = field(default_factory=dict)
    sources: tuple[Source, ...] = ()
    decide: str = ""
    remedy: Remedy | None = None
    drawn: Drawn | None = None
