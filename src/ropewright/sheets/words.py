"""Words that stand on more than one sheet."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from ropewright.findings import Finding, Verdict
from ropewright.job.assessment import AreaStop
from ropewright.job.model import Job
from ropewright.quantity import Dimension, show
from ropewright.sheets.ink import CAUTION

__all__ = ["ANSWERS", "CAUTION", "INVENTED", "area_to_tie", "length_to_tie", "named", "place_of", "rules_line"]

INVENTED = "Invented example, not a real site"

#: The answer in one sentence, by the worst verdict of the job.
ANSWERS: Mapping[Verdict, str] = MappingProxyType(
    {
        Verdict.HOLDS: "Everything asked holds.",
        Verdict.DOUBTFUL: "Holds only if the doubtful inputs are on the good side.",
        Verdict.ASK: "A qualified person must decide before anybody ties on.",
        Verdict.FAILS: "Not as it stands: something fails.",
    }
)


def named(noun: str, name: str) -> str:
    """Name of a thing with what it is, unless the name says so itself.

    Examples
    --------
    >>> named("line", "L1"), named("line", "west line")
    ('line L1', 'west line')
    """
    return name if noun in name.lower().split() else f"{noun} {name}"


def place_of(finding: Finding) -> str:
    """Who and where a finding is about, as far as it says.

    Examples
    --------
    >>> from ropewright.findings import Place
    >>> place_of(Finding("a", "?", Verdict.HOLDS, "", where=Place(worker="A. Roofer", edge="east rake")))
    'A. Roofer, east rake'
    """
    where = finding.where
    spot = where.edge or where.opening or where.anchor or where.facet or where.name or ""
    who = where.worker or (named("line", where.line) if where.line else "")
    return ", ".join(part for part in (who, spot) if part)


def length_to_tie(job: Job, length_set: float, length_holds: float | None) -> str:
    """Length at which to tie the stopper, rounded down; says so where no length holds.

    Parameters
    ----------
    job : Job
    length_set : float
        As the job has it. [m]
    length_holds : float or None
        Longest that holds everywhere. [m]

    Returns
    -------
    str
    """
    if length_holds is None:
        return "no length holds"
    return show(min(length_set, length_holds), Dimension.LENGTH, job.units, toward="low", style="feet-inches")


def area_to_tie(job: Job, stop: AreaStop) -> str:
    """Where to tie the stopper for work in one area, rounded down; says how much of it is then reached.

    Parameters
    ----------
    job : Job
    stop : AreaStop

    Returns
    -------
    str
    """
    if stop.length_to_tie is None:
        return f"{stop.area}: no length holds"
    tie = show(stop.length_to_tie, Dimension.LENGTH, job.units, toward="low")
    part = "" if stop.reached >= 1.0 else f", which reaches {math.floor(100 * stop.reached)} % of it"
    return f"{stop.area}: tie the stopper at {tie}{part}"


def record_line(job: Job) -> str:
    """How much of the record was read for a job, with its last hash; empty where none was."""
    if job.record is None:
        return ""
    head, day = job.record.head, job.record.day.isoformat()
    return f"{head.count} entries, the last {head.hash}, gear and people looked up for {day}"


def rules_line(job: Job) -> str:
    """Title of the pack and the day on which it was last held against its sources."""
    return f"{job.pack.title}, compared {job.pack.compared.isoformat()}"
