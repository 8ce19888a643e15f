"""One worker's line at one setting: the answers about its falls, and what refuses the setting."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from ropewright.findings import Finding, Verdict
from ropewright.job.ask_anchors import Use, ask_about_anchors
from ropewright.job.ask_falls import edge_answers
from ropewright.job.ask_reach import reach_finding
from ropewright.job.clearance import Clearances, clearances
from ropewright.job.edge_answer import Asked, EdgeAnswer
from ropewright.job.falls import Falls, falls_over
from ropewright.job.model import Job
from ropewright.job.moving import moving_findings
from ropewright.job.rig import Rig
from ropewright.job.ruled import judge, rulings
from ropewright.job.work import Work
from ropewright.quantity import Range

__all__ = ["answers_at", "moving_refusal", "refusal", "use_of"]

_REFUSES = (Verdict.FAILS, Verdict.DOUBTFUL)


def answers_at(
    job: Job, work: Work, rig: Rig, stop: float | None = None
) -> tuple[Falls, tuple[EdgeAnswer, ...], Clearances]:
    """Falls over every edge point, what is asked of them, and the clearance they need.

    Parameters
    ----------
    job : Job
    work : Work
    rig : Rig
    stop : float, optional
        Anchor to stop, no longer than the rig's line is set; that of the line where not given. [m]
    """
    edges, over = work.edges(job), work.over(job, rig)
    falls = falls_over(job, rig, edges, over, work.below(job), stop=stop, slides=work.slides(job, rig))
    clear = clearances(job, rig, falls, work.floors(job))
    answers = edge_answers(job, rig, edges, over, falls, clear)
    return falls, answers, clear


def use_of(rig: Rig, falls: Falls, reach: Finding) -> Use:
    """What one worker's falls ask of the anchor; a fall that nothing stops asks for more than any anchor has.

    Parameters
    ----------
    rig : Rig
    falls : Falls
    reach : Finding
        Which edges the line reaches.
    """
    reached = falls.geometry.reached
    force = Range.exact(0.0)
    if reached.any():
        low, likely, high = (float(part[reached].max()) for part in falls.force)
        force = Range(low, likely, high)
    fall = float(falls.free_fall[reached].max()) if reached.any() else 0.0
    return Use(rig, force, fall, restrained=not reached.any() and reach.verdict is Verdict.HOLDS)


def refusal(job: Job, work: Work, rig: Rig, *, excused: frozenset[str] = frozenset()) -> Finding | None:
    """First finding of a plan for which a line may not be set as it is; None: nothing stands against it.

    Parameters
    ----------
    job : Job
    work : Work
    rig : Rig
        Its anchor need not be one of the job's.
    excused : frozenset of str
        Kinds of findings about the anchor that don't count, since they say the same of it however the line is set.

    Returns
    -------
    Finding or None
        Of what depends on where the anchor is and how its line is set: what is asked of the falls over every edge, the
        margin kept for restraint, the strength of the anchor, and the falls that rule followed in three dimensions.
        What fails or is doubtful refuses, and so does a figure that is missed and must still be confirmed; what only a
        person can decide does not.
    """
    falls, answers, clear = answers_at(job, work, rig)
    edges, over = work.edges(job), work.over(job, rig)
    for answer in answers:
        if not answer.met.all():
            return answer.finding(int(np.argmin(answer.met)))
    reach = reach_finding(job, rig, edges, over, falls)
    if reach.verdict is not Verdict.HOLDS:
        return reach
    for finding in ask_about_anchors(replace(job, anchors=(rig.anchor,)), (use_of(rig, falls, reach),)):
        if finding.verdict in _REFUSES and finding.id.split("/")[0] not in excused:
            return finding
    return next(_refusing(Asked(job, rig, edges, over, falls, clear), work), None)


def moving_refusal(job: Job, work: Work, rig: Rig) -> Finding | None:
    """First finding of the falls followed in three dimensions for which a line may not be set as it is.

    Parameters
    ----------
    job : Job
    work : Work
    rig : Rig
    """
    falls, _, clear = answers_at(job, work, rig)
    return next(_refusing(Asked(job, rig, work.edges(job), work.over(job, rig), falls, clear), work), None)


def _refusing(asked: Asked, work: Work) -> Iterator[Finding]:
    for finding in moving_findings(asked, work):
        if finding.verdict in _REFUSES or _is_missed(asked, finding):
            yield finding


def _is_missed(asked: Asked, finding: Finding) -> bool:
    """Whether the greatest force misses a figure that surely applies, be it one that must still be confirmed."""
    low, likely, high = finding.low, finding.value, finding.high
    if not finding.id.startswith("motion-force/") or low is None or likely is None or high is None:
        return False
    found = rulings(asked.job, "arrest_force", asked.rig.facts)
    ends = (np.array([end]) for end in (low, likely, high))
    return bool(found) and not bool(judge(found, *ends).met[0])
