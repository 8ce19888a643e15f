"""Questions about the anchors in use: strength for all who are tied to them, and the duties the pack names."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ropewright.findings import Finding, Place, Source, SourceStatus, Verdict
from ropewright.job.ask_gear import duty_findings
from ropewright.job.asking import Question, answer_by_limit
from ropewright.job.model import Job
from ropewright.job.rig import Rig
from ropewright.job.ruled import rulings
from ropewright.quantity import Dimension, Range, show

__all__ = ["Use", "ask_about_anchors"]


#: Factor that a designed anchor is held to where its certificate names none. [-] 29 CFR 1926.502(d)(15)(i), read.
_LEAST_FACTOR = 2.0
#: Strength that is short by less, as a share, is short by rounding only.
_ROUNDED = 1.0 - 1e-9


@dataclass(frozen=True, slots=True)
class Use:
    """What one worker on a line asks of its anchor."""

    rig: Rig
    force: Range  #: greatest simulated arrest force over all edges; infinite where nothing stops a fall [N]
    free_fall: float  #: longest over all edges; 0 where none is reached [m]
    restrained: bool  #: the line keeps this worker from every edge


def ask_about_anchors(job: Job, uses: tuple[Use, ...]) -> Iterator[Finding]:
    """Everything asked of the anchors in use.

    Parameters
    ----------
    job : Job
    uses : tuple of Use

    Yields
    ------
    Finding
    """
    for anchor in job.anchors:
        users = [use for use in uses if use.rig.anchor.name == anchor.name]
        if not users:
            continue
        x, y, z = map(float, anchor.point)
        lines = dict.fromkeys(use.rig.line.name for use in users)
        where = Place(anchor=anchor.name, point=(x, y, z), line=", ".join(lines))
        yield _anchor_strength(job, users, where)
        if anchor.designed_by:
            yield _designed_against_force(users, where, job)
        told = {"anchor_independent": anchor.independent, "anchored_to_guardrail": "guardrail" in anchor.on.lower()}
        yield from duty_findings(job, told, anchor.name, where)


def _case(users: list[Use], *, designed: bool) -> dict[str, object]:
    """What decides which of a pack's figures an anchor must meet."""
    return {
        **users[0].rig.facts,
        "anchor_designed_by_qualified_person": designed,
        "anchor_users": float(len(users)),
        "free_fall": max(use.free_fall for use in users),
        "restraint": all(use.restrained for use in users),
    }


def _anchor_strength(job: Job, users: list[Use], where: Place) -> Finding:
    anchor, n = users[0].rig.anchor, len(users)
    designed = bool(anchor.designed_by) and anchor.design_factor is not None
    case = _case(users, designed=designed)
    fact = (
        "anchor_allowable" if anchor.basis == "allowable" else "anchor_design_factor" if designed else "anchor_strength"
    )
    if fact == "anchor_design_factor":
        value, dimension = Range.exact(float(anchor.design_factor or 0.0)), Dimension.RATIO
        thing, formula = "Certified factor over the greatest arrest force", "factor as certified"
        inputs: dict[str, float | str] = {"factor": value.low, "by": anchor.designed_by}
    else:
        value, dimension, formula = _for_all(job, fact, anchor.strength, case, n)
        thing = "Anchor strength" if n == 1 else f"Anchor strength {formula.split('; ')[1]}"
        inputs = {"s_anchor_n": anchor.strength.low, "n": n, "basis": anchor.basis}
    return answer_by_limit(
        job,
        Question(
            f"anchor-strength/{anchor.name}",
            "Is the anchor strong enough for everybody tied to it?",
            thing,
            where,
            formula,
            inputs,
        ),
        fact,
        value,
        dimension,
        facts=case,
        nothing="Which strength this anchor must have where its figure is an allowable one, not an ultimate.",
    )


def _for_all(job: Job, fact: str, strength: Range, case: dict[str, object], n: int) -> tuple[Range, Dimension, str]:
    """Strength to hold against the pack's figure: all of it where the figure counts users, else a worker's share."""
    limits = [one.limit for one in rulings(job, fact, {**case, "anchor_users": 2.0})]
    counts = any(
        any(condition.fact == "anchor_users" for condition in limit.when)
        or (limit.growth is not None and limit.growth.fact == "anchor_users")
        for limit in limits
    )
    if counts or n == 1:
        return strength, Dimension.FORCE, f"S = S_anchor, with n users; for {n} workers"
    each = Range(strength.low / n, strength.likely / n, strength.high / n)
    return each, Dimension.FORCE, "S = S_anchor / n; for each worker on it"


def _designed_against_force(users: list[Use], where: Place, job: Job) -> Finding:
    """A designed anchor must really carry its factor times the forces worked out here."""
    anchor = users[0].rig.anchor
    factor = anchor.design_factor or _LEAST_FACTOR
    need, likely = (factor * sum(force) for force in zip(*((u.force.high, u.force.likely) for u in users), strict=True))
    verdict = (
        Verdict.FAILS
        if anchor.strength.likely < likely * _ROUNDED
        else Verdict.DOUBTFUL
        if anchor.strength.low < need * _ROUNDED
        else Verdict.HOLDS
    )
    if anchor.basis != "ultimate" and verdict is not Verdict.FAILS:
        verdict = Verdict.ASK
    strength = show(anchor.strength.low, Dimension.FORCE, job.units, toward="low")
    needed = show(need, Dimension.FORCE, job.units, toward="high") if math.isfinite(need) else "without end"
    return Finding(
        id=f"anchor-force/{anchor.name}",
        question="Does the designed anchor carry its factor times the forces worked out here?",
        verdict=verdict,
        summary=f"Anchor {strength}; {factor:g} times the arrest forces is {needed}.",
        value=anchor.strength.likely,
        low=anchor.strength.low,
        high=anchor.strength.high,
        limit=need,
        operator=">=",
        margin=max(anchor.strength.low - need, 0.0) if verdict is Verdict.HOLDS else anchor.strength.low - need,
        unit="N",
        dimension=Dimension.FORCE,
        where=where,
        formula="S >= k sum(F)",
        inputs={"s_n": anchor.strength.low, "k": factor, "sum_f_n": need / factor},
        sources=(Source("simulation of this job", "greatest arrest force", SourceStatus.DERIVED),),
        decide="What ultimate strength stands behind the allowable figure." if verdict is Verdict.ASK else "",
    )
