"""Questions about the gear of one worker: rope, its end, lanyard, connectors, and who hangs on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from ropewright.findings import Finding, Place, Verdict
from ropewright.job.asking import Question, answer_by_limit, answer_by_person
from ropewright.job.line_strength import line_strength
from ropewright.job.model import Job
from ropewright.job.rig import Rig
from ropewright.job.ruled import rulings
from ropewright.quantity import Dimension, Range, show
from ropewright.rope import EndKind, StrengthChain, suitability, terminations
from ropewright.rules import check
from ropewright.rules.facts import FACTS
from ropewright.rules.line_figures import working_load_by

__all__ = ["ask_about_gear", "duty_findings"]

#: Standard gravity. [m/s2] (CGPM 1901, exact by convention)
_G = 9.80665


def duty_findings(
    job: Job, facts: Mapping[str, object], suffix: str, where: Place, *, case: Mapping[str, object] | None = None
) -> Iterator[Finding]:
    """Put yes-or-no facts to the pack; what is None is not known, and then asked, whatever the pack says of it.

    Parameters
    ----------
    job : Job
    facts : mapping of fact to value
    suffix : str
        Put behind each finding's id, to tell lines and workers apart.
    where : Place
    case : mapping of fact to value, optional
        What else decides which rules apply.

    Yields
    ------
    Finding
    """
    told = {**job.facts, **(case or {}), **facts}
    for fact, value in facts.items():
        found = check(job.pack, told, only=(fact,))
        for finding in found:
            yield replace(finding, id=f"{finding.id}/{suffix}", where=where, summary=_as_told(finding, facts))
        if value is None and not found:
            yield _untold(job, fact, suffix, where)


def _untold(job: Job, fact: str, suffix: str, where: Place) -> Finding:
    """Nobody has said, and the pack has no rule that asks: it is asked all the same, never taken as well."""
    known = FACTS[fact]
    return Finding(
        id=f"{fact.replace('_', '-')}/{suffix}",
        question=known.question,
        verdict=Verdict.ASK,
        summary=f"Nobody has said, and {job.pack.title} carries no rule for it.",
        where=where,
        formula=f"{fact} is as told",
        decide=f"Find out: {known.meaning[0].lower()}{known.meaning[1:]}",
    )


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
    yield from duty_findings(job, _line_duties(rig), rig.line.name, where, case=rig.facts)


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
        facts=rig.facts,
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
        facts=rig.facts,
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
    chain = line_strength(line, job.pack)
    yield answer_by_limit(
        job,
        Question(
            f"line-strength/{line.name}",
            "Is the rope strong enough as new?",
            "Minimum breaking strength as new",
            where,
            "S as told, an average taken down to a minimum",
            {"s_n": rope.strength.low, "basis": rope.strength_basis},
        ),
        "line_strength",
        chain.as_new,
        Dimension.FORCE,
        facts=rig.facts,
    )
    yield _rigged(job, rig, chain, where)
    yield from _triggers(rig, chain, where)
    yield _working(job, rig, chain.as_new, where)


def _rigged(job: Job, rig: Rig, chain: StrengthChain, where: Place) -> Finding:
    """What is left of the rope as it is tied, held against the pack's figure for a line."""
    knotted = terminations()[rig.line.termination].kind is EndKind.KNOT
    steps = {f"step_{i}_{step.name.replace(' ', '_')}": step.factor.low for i, step in enumerate(chain.steps, 1)}
    finding = answer_by_limit(
        job,
        Question(
            f"rigged-strength/{rig.line.name}",
            "Is the line strong enough as it is tied and as it is today?",
            f"Strength left with its {rig.line.termination}",
            where,
            chain.formula,
            {"s0_n": chain.told.low, **steps},
            chain.sources,
        ),
        "knotted_strength" if knotted and rulings(job, "knotted_strength", rig.facts) else "line_strength",
        chain.left,
        Dimension.FORCE,
        facts=rig.facts,
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
    allowed, weight = working_load_by(job.pack, as_new), rig.worker.mass.high * _G
    verdict = Verdict.HOLDS if weight <= allowed.low else Verdict.DOUBTFUL if weight <= allowed.high else Verdict.FAILS
    weighs = show(weight, Dimension.FORCE, job.units, toward="high")
    shown = [show(load, Dimension.FORCE, job.units, toward="low") for load in (allowed.low, allowed.high)]
    share = " to ".join(dict.fromkeys(f"{100 * end:g} %" for end in allowed.share))
    return Finding(
        id=f"working-load/{rig.worker.name}",
        question="Does the worker's weight stay inside the rope's working load?",
        verdict=verdict,
        summary=f"Weight {weighs}; working load {shown[0]} to {shown[1]} ({share} of the strength as new).",
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
        inputs={"m_kg": rig.worker.mass.high, "s_low_n": as_new.low, "share": allowed.share[0]},
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
        inputs = {} if strength is None else {"s_n": strength.low}
        question = Question(f"{name}-strength/{rig.line.name}", text, thing, where, "S as marked", inputs)
        yield answer_by_limit(job, question, fact, strength, Dimension.FORCE, facts=rig.facts)


def _line_duties(rig: Rig) -> dict[str, object]:
    line = rig.line
    known: dict[str, object] = {
        "line_padded": line.edge_protection,
        "end_stop": line.end_stop,
    }
    if line.grab is not None:
        known["grab_marked_for_line"] = line.grab.fits_rope
    if line.rope.condition == "fallen-on":
        known["took_fall"] = True
    return known
