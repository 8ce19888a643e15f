"""Questions about the gear of one worker: rope, its end, lanyard, connectors, anchor, and who hangs on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from ropewright.findings import SEVERITY, Finding, Place, Source, SourceStatus, Verdict
from ropewright.job.asking import Question, answer_by_limit, answer_by_person
from ropewright.job.model import Job
from ropewright.job.rig import Rig
from ropewright.quantity import Dimension, Range, show
from ropewright.rope import EndKind, StrengthChain, rigged_strength, suitability, terminations, working_load
from ropewright.rules import check

__all__ = ["ask_about_anchors", "ask_about_gear", "duty_findings"]

#: Standard gravity. [m/s2] (CGPM 1901, exact by convention)
_G = 9.80665


def duty_findings(job: Job, facts: Mapping[str, object], suffix: str, where: Place) -> Iterator[Finding]:
    """Put yes-or-no facts to the pack; what is None is not known, and then asked.

    Parameters
    ----------
    job : Job
    facts : mapping of fact to value
    suffix : str
        Put behind each finding's id, to tell lines and workers apart.
    where : Place

    Yields
    ------
    Finding
    """
    told = {**job.facts, **facts}
    for finding in check(job.pack, told, only=tuple(facts)):
        yield replace(finding, id=f"{finding.id}/{suffix}", where=where, summary=_as_told(finding, facts))


def _as_told(finding: Finding, facts: Mapping[str, object]) -> str:
    """Summary of a yes-or-no question: what was told, then what the rule asks."""
    told = [value for fact, value in facts.items() if finding.formula.startswith(f"{fact} is ")]
    if len(told) != 1 or not isinstance(told[0], bool | None):
        return finding.summary
    answer = {True: "Told: yes.", False: "Told: no.", None: "Nobody has said."}[told[0]]
    rule = finding.summary.split(". ", 1)[-1]
    return f"{answer} {rule}"


def ask_about_gear(job: Job, rig: Rig) -> Iterator[Finding]:
    """Everything asked of one worker's line that does not depend on the roof.

    Parameters
    ----------
    job : Job
    rig : Rig

    Yields
    ------
    Finding
    """
    where = Place(worker=rig.worker.name, line=rig.line.name, anchor=rig.anchor.name)
    yield from _user(job, rig, where)
    yield from _rope_kind(rig, where)
    yield from _rope_strength(job, rig, where)
    yield from _hardware(job, rig, where)
    yield from duty_findings(job, _line_duties(rig), rig.line.name, where)


def _user(job: Job, rig: Rig, where: Place) -> Iterator[Finding]:
    yield answer_by_limit(
        job,
        Question(
            f"user-mass/{rig.worker.name}",
            "Is the worker with tools within what the gear was tested for?",
            "Worker with tools",
            where,
            "m as told",
            {"m_kg": rig.worker.mass.high},
        ),
        "user_mass",
        rig.worker.mass,
        Dimension.MASS,
    )
    sharing = [member.name for member in job.crew if member.line == rig.line.name]
    yield answer_by_limit(
        job,
        Question(
            f"users-per-line/{rig.line.name}",
            "Does everybody have a line of their own?",
            f"Workers on line {rig.line.name}:",
            where,
            "n = workers who name this line",
            {"n": len(sharing), "who": ", ".join(sharing)},
        ),
        "users_per_line",
        Range.exact(float(len(sharing))),
        Dimension.COUNT,
        facts={"lifeline_vertical": True, "horizontal_line": False},
    )


def _rope_kind(rig: Rig, where: Place) -> Iterator[Finding]:
    rope = rig.line.rope
    for suited in suitability(rope.fibre, rope.construction, rope.stretch, uv_inhibitor=rope.uv_inhibitor):
        kind = suited.key.split("/")[0]
        yield Finding(
            id=f"rope-{suited.key.replace('/', '-').replace(' ', '-')}/{rig.line.name}",
            question=suited.question,
            verdict=suited.verdict,
            summary=suited.reason,
            where=where,
            formula=f"{kind} as told, looked up in the table of uses",
            inputs={"fibre": rope.fibre, "construction": rope.construction, "stretch": rope.stretch},
            sources=(suited.source,),
            decide=suited.reason if suited.verdict is Verdict.ASK else "",
        )


def _rope_strength(job: Job, rig: Rig, where: Place) -> Iterator[Finding]:
    line, rope = rig.line, rig.line.rope
    chain = rigged_strength(
        rope.strength,
        strength_basis=rope.strength_basis,
        termination=line.termination,
        fibre=rope.fibre,
        construction=rope.construction,
        condition=rope.condition,
        edge=None if line.edge_protection is None else not line.edge_protection,
        rule_knot_retention=_knot_share(job),
    )
    yield answer_by_limit(
        job,
        Question(
            f"line-strength/{line.name}",
            "Is the rope strong enough as new?",
            "Minimum breaking strength as new",
            where,
            "S as told, an average taken down to a minimum",
            {"S_n": rope.strength.low, "basis": rope.strength_basis},
        ),
        "line_strength",
        chain.as_new,
        Dimension.FORCE,
    )
    yield _rigged(job, rig, chain, where)
    yield from _triggers(rig, chain, where)
    yield _working(job, rig, chain.as_new, where)


def _knot_share(job: Job) -> float | None:
    allowed = job.pack.allowance("knot_retention")
    return None if allowed is None else float(allowed.value.low)


def _rigged(job: Job, rig: Rig, chain: StrengthChain, where: Place) -> Finding:
    """What is left of the rope as it is tied, held against the pack's figure for a line."""
    knotted = terminations()[rig.line.termination].kind is EndKind.KNOT
    steps = {f"{i}_{step.name.replace(' ', '_')}": step.factor.low for i, step in enumerate(chain.steps, 1)}
    finding = answer_by_limit(
        job,
        Question(
            f"rigged-strength/{rig.line.name}",
            "Is the line strong enough as it is tied and as it is today?",
            f"Strength left with its {rig.line.termination}",
            where,
            chain.formula,
            {"S0_n": chain.told.low, **steps},
            chain.sources,
        ),
        "knotted_strength" if knotted and job.pack.governing("knotted_strength", job.facts) else "line_strength",
        chain.left,
        Dimension.FORCE,
    )
    if chain.standing is Verdict.ASK:
        # Nobody knows what this rope has been through: a number would say more than anybody knows.
        return replace(
            finding,
            verdict=Verdict.ASK,
            summary="What is left of this line can't be told: " + chain.triggers[0].reason,
            decide="A competent person must look the rope over and say what it is and what it has been through.",
        )
    if finding.verdict is Verdict.HOLDS and not chain.settles:
        return replace(
            finding,
            verdict=Verdict.ASK,
            decide="Confirm from the maker's sheet what this end leaves of this rope: the figures used are remembered, "
            "judged or from weak sources.",
        )
    return finding


def _triggers(rig: Rig, chain: StrengthChain, where: Place) -> Iterator[Finding]:
    for trigger in chain.triggers:
        yield answer_by_person(
            Question(
                f"rope-{trigger.subject.replace(' ', '-')}/{rig.line.name}",
                f"Is the rope's {trigger.subject} fit to be counted on?",
                trigger.subject,
                where,
                "as told",
                {trigger.subject.replace(" ", "_"): _told(rig, trigger.subject)},
                (trigger.source,),
            ),
            trigger.verdict,
            trigger.reason,
            decide=trigger.reason if trigger.verdict is Verdict.ASK else "",
        )


def _told(rig: Rig, subject: str) -> str:
    rope = rig.line.rope
    known = {
        "strength basis": rope.strength_basis,
        "condition": rope.condition,
        "termination": rig.line.termination,
        "edge": {None: "unknown", True: "protected", False: "bare"}[rig.line.edge_protection],
    }
    return known.get(subject, "unknown")


def _working(job: Job, rig: Rig, as_new: Range, where: Place) -> Finding:
    """A worker's weight against the share of the breaking strength that practice lets a rope work under."""
    allowed, weight = working_load(as_new), rig.worker.mass.high * _G
    verdict = Verdict.HOLDS if weight <= allowed.low else Verdict.DOUBTFUL if weight <= allowed.high else Verdict.FAILS
    weighs = show(weight, Dimension.FORCE, job.units, toward="high")
    shown = [show(load, Dimension.FORCE, job.units, toward="low") for load in (allowed.low, allowed.high)]
    return Finding(
        id=f"working-load/{rig.worker.name}",
        question="Does the worker's weight stay inside the rope's working load?",
        verdict=verdict,
        summary=f"Weight {weighs}; working load {shown[0]} to {shown[1]} (10 % to 20 % of the strength as new).",
        value=weight,
        low=rig.worker.mass.low * _G,
        high=weight,
        limit=allowed.low,
        operator="<=",
        margin=allowed.low - weight,
        unit="N",
        dimension=Dimension.FORCE,
        where=where,
        formula=f"m g <= W, {allowed.formula}",
        inputs={"m_kg": rig.worker.mass.high, "S_low_n": as_new.low, "share": allowed.share[0]},
        sources=(allowed.source,),
    )


def _hardware(job: Job, rig: Rig, where: Place) -> Iterator[Finding]:
    asked = (
        ("lanyard_strength", "lanyard", "Is the lanyard strong enough?", "Lanyard strength", rig.line.lanyard.strength),
        (
            "connector_strength",
            "connector",
            "Are the connectors strong enough?",
            "Connector strength",
            rig.line.connector_strength,
        ),
        ("gate_strength", "gate", "Are the connectors' gates strong enough?", "Gate strength", rig.line.gate_strength),
    )
    for fact, name, text, thing, strength in asked:
        inputs = {} if strength is None else {"S_n": strength.low}
        question = Question(f"{name}-strength/{rig.line.name}", text, thing, where, "S as marked", inputs)
        yield answer_by_limit(job, question, fact, strength, Dimension.FORCE)


def _line_duties(rig: Rig) -> dict[str, object]:
    line = rig.line
    known: dict[str, object] = {
        "line_padded": line.edge_protection,
        "end_stop": line.end_stop,
        "lifeline_vertical": True,
    }
    if line.grab is not None:
        known["grab_marked_for_line"] = line.grab.fits_rope
    if line.rope.condition == "fallen-on":
        known["took_fall"] = True
    return known


def ask_about_anchors(job: Job, rigs: tuple[Rig, ...], force: Mapping[str, Range]) -> Iterator[Finding]:
    """Everything asked of the anchors in use.

    Parameters
    ----------
    job : Job
    rigs : tuple of Rig
    force : mapping of worker to Range
        Greatest simulated arrest force of each. [N]

    Yields
    ------
    Finding
    """
    for anchor in job.anchors:
        users = [rig for rig in rigs if rig.anchor.name == anchor.name]
        if not users:
            continue
        x, y, z = map(float, anchor.point)
        where = Place(anchor=anchor.name, point=(x, y, z), line=", ".join(rig.line.name for rig in users))
        yield _anchor_strength(job, users, where)
        if anchor.designed_by:
            yield _designed_against_force(job, users, force, where)
        told = {"anchor_independent": anchor.independent, "anchored_to_guardrail": "guardrail" in anchor.on.lower()}
        yield from duty_findings(job, told, anchor.name, where)


def _anchor_strength(job: Job, users: list[Rig], where: Place) -> Finding:
    anchor, n = users[0].anchor, len(users)
    each = Range(anchor.strength.low / n, anchor.strength.likely / n, anchor.strength.high / n)
    designed = bool(anchor.designed_by) and anchor.design_factor is not None
    allowable = anchor.basis == "allowable"
    fact = "anchor_allowable" if allowable else "anchor_design_factor" if designed else "anchor_strength"
    inputs: dict[str, float | str]
    if fact == "anchor_design_factor":
        value: Range = Range.exact(float(anchor.design_factor or 0.0))
        formula, inputs, dimension = (
            "factor as certified",
            {"factor": value.low, "by": anchor.designed_by},
            Dimension.RATIO,
        )
        thing = "Certified factor over the greatest arrest force"
    else:
        value, dimension = each, Dimension.FORCE
        formula, inputs = "S = S_anchor / n", {"S_anchor_n": anchor.strength.low, "n": n, "basis": anchor.basis}
        thing = "Anchor strength for each worker on it"
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
        facts={"anchor_designed_by_qualified_person": designed, "positioning": False},
        nothing="Which strength this anchor must have where its figure is an allowable one, not an ultimate.",
    )


def _designed_against_force(job: Job, users: list[Rig], force: Mapping[str, Range], where: Place) -> Finding:
    """A designed anchor must really carry its factor times the forces worked out here."""
    anchor = users[0].anchor
    factor = anchor.design_factor or 2.0
    need = factor * sum(force[rig.worker.name].high for rig in users if rig.worker.name in force)
    verdict = Verdict.HOLDS if anchor.strength.low >= need else Verdict.FAILS
    if anchor.basis != "ultimate" and SEVERITY[verdict] < SEVERITY[Verdict.ASK]:
        verdict = Verdict.ASK
    strength, needed = (
        show(anchor.strength.low, Dimension.FORCE, job.units, toward="low"),
        show(need, Dimension.FORCE, job.units, toward="high"),
    )
    return Finding(
        id=f"anchor-force/{anchor.name}",
        question="Does the designed anchor carry its factor times the forces worked out here?",
        verdict=verdict,
        summary=f"Anchor {strength}; {factor:g} times the arrest forces is {needed}.",
        value=anchor.strength.low,
        low=anchor.strength.low,
        high=anchor.strength.high,
        limit=need,
        operator=">=",
        margin=anchor.strength.low - need,
        unit="N",
        dimension=Dimension.FORCE,
        where=where,
        formula="S >= k sum(F)",
        inputs={"S_n": anchor.strength.low, "k": factor, "sum_F_n": need / factor},
        sources=(Source("simulation of this job", "greatest arrest force", SourceStatus.DERIVED),),
        decide="What ultimate strength stands behind the allowable figure." if verdict is Verdict.ASK else "",
    )
