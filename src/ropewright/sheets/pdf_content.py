"""What the PDF says, as plain text ready to be set: the template only lays it out."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

from ropewright.findings import SEVERITY, Finding, Verdict
from ropewright.job.assessment import Assessment, RigRow
from ropewright.job.model import Job, Line
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.sheets.figures import drawn_thing, finding_numbers, input_text, number_text, share_text
from ropewright.sheets.look import VERDICT_LOOKS, look_of, verdict_word
from ropewright.sheets.map import map_description, map_svg, on_white
from ropewright.sheets.section import Clearance, clearance_svg, clearances
from ropewright.sheets.words import (
    ANSWERS,
    CAUTION,
    INVENTED,
    area_to_tie,
    length_to_tie,
    named,
    place_of,
    record_line,
    rules_line,
)

__all__ = ["pdf_content"]

#: Findings spelled out on the cover.
ON_COVER = 3


def pdf_content(assessment: Assessment, *, drawn: str | None = None) -> dict[str, Any]:
    """Everything the template sets, as JSON values.

    Parameters
    ----------
    assessment : Assessment
    drawn : str, optional
        Its map, on paper of any colour, if it was drawn before.

    Returns
    -------
    dict
        Text in the job's units, drawings as SVG. Equal for equal assessments.
    """
    job = assessment.job
    return {
        "paper": "us-letter" if job.units is UnitSystem.US else "a4",
        "job": _job(job),
        "caution": CAUTION,
        "answer": _answer(assessment),
        "looks": {look.word: _look(verdict) for verdict, look in VERDICT_LOOKS.items()},
        "map": {"svg": on_white(drawn or map_svg(assessment)), "alt": map_description(assessment)},
        "rig": [_rig_row(assessment, row) for row in assessment.rig],
        "clearances": [_clearance(clearance, job.units) for clearance in clearances(assessment)],
        "draws": [_draws_row(finding, job.units) for finding in assessment.findings if finding.drawn is not None],
        "findings": [_finding(finding, job) for finding in assessment.findings],
        "assumed": list(dict.fromkeys((*assessment.assumed, *job.notes))),
        "sources": _sources(assessment.findings),
        "rescue": _rescue(job),
        "sign": _sign_off(assessment),
    }


def _job(job: Job) -> dict[str, Any]:
    return {
        "name": job.name,
        "address": job.address,
        "date": job.date.isoformat() if job.date else "",
        "day": [job.date.year, job.date.month, job.date.day] if job.date else None,
        "prepared_by": job.prepared_by,
        "invented": INVENTED if job.invented else "",
        "rules": rules_line(job),
        "record": record_line(job),
    }


def _look(verdict: Verdict | None) -> dict[str, Any]:
    look = look_of(verdict)
    return {
        "colour": look.colour,
        "on": look.on,
        "hatch": [list(lines) for lines in look.hatch],
        "meaning": look.meaning,
    }


def _answer(assessment: Assessment) -> dict[str, Any]:
    counted = Counter(finding.verdict for finding in assessment.findings)
    worst_first = sorted(SEVERITY, key=lambda verdict: -SEVERITY[verdict])
    telling = [finding for finding in assessment.findings if finding.verdict is not Verdict.HOLDS]
    return {
        "verdict": verdict_word(assessment.verdict),
        "sentence": ANSWERS[assessment.verdict],
        "counts": [[verdict_word(verdict), counted[verdict]] for verdict in worst_first],
        "worst": [_on_cover(finding) for finding in telling[:ON_COVER]],
        "more": max(0, len(telling) - ON_COVER),
    }


def _on_cover(finding: Finding) -> dict[str, str]:
    return {
        "verdict": verdict_word(finding.verdict),
        "place": place_of(finding),
        "summary": finding.summary,
        "do": _what_to_do(finding),
    }


def _what_to_do(finding: Finding) -> str:
    if finding.remedy is not None:
        return f"{finding.remedy.text} {_proof(finding)}"
    return finding.decide


def _proof(finding: Finding) -> str:
    remedy = finding.remedy
    if remedy is None:
        return ""
    after = f"Assessed again with it: {verdict_word(remedy.verdict_after)}"
    if not remedy.proven:
        return f"{after}; the limit is then met, but must still be confirmed."
    return f"{after}, the whole job {verdict_word(remedy.job_after)}." if remedy.job_after else f"{after}."


def _kept(line: Line | None) -> str:
    """How the rope beyond the stop is kept, where it was told."""
    return "" if line is None or line.loose_rope == "unknown" else f"; the rest of it {line.loose_rope}"


def _rig_row(assessment: Assessment, row: RigRow) -> dict[str, Any]:
    job = assessment.job
    line = next((line for line in job.lines if line.name == row.line), None)
    in_job = show(row.length_set, Dimension.LENGTH, job.units, toward="low", style="feet-inches")
    shortened = row.length_holds is not None and row.length_holds < row.length_set
    return {
        "worker": row.worker,
        "line": named("line", row.line),
        "anchor": named("anchor", row.anchor),
        "tie": length_to_tie(job, row.length_set, row.length_holds),
        "note": f"the job file has {in_job}" if shortened or row.length_holds is None else "as in the job file",
        "until": "" if row.verdict is Verdict.HOLDS else "Not to be used until every finding about it holds.",
        "measured": f"from the anchor to {'the stop under the rope grab' if line and line.grab else 'the lanyard'}",
        "rope": f"{row.rope}{_kept(line)}",
        "termination": row.termination,
        "lanyard": row.lanyard,
        "areas": [area_to_tie(job, stop) for stop in row.areas],
        "worst_edge": row.worst_edge,
        "verdict": verdict_word(row.verdict),
    }


def _clearance(clearance: Clearance, units: UnitSystem) -> dict[str, str]:
    def up(metres: float) -> str:
        return number_text(metres, Dimension.LENGTH, units, "high")

    available = number_text(clearance.available, Dimension.LENGTH, units, "low")
    return {
        "worker": clearance.worker,
        "line": named("line", clearance.line),
        "edge": clearance.edge,
        "verdict": verdict_word(clearance.verdict),
        "svg": clearance_svg(clearance, units),
        "alt": (
            f"Clearance of {clearance.worker} at {clearance.edge}: needed by the book {up(clearance.book)}; simulated "
            f"{up(clearance.high)} at the unsafe end, {up(clearance.likely)} likely; "
            f"down to {clearance.below or 'what lies below'} {available}."
        ),
    }


def _finding(finding: Finding, job: Job) -> dict[str, Any]:
    return {
        "verdict": verdict_word(finding.verdict),
        "question": finding.question,
        "place": place_of(finding),
        "point": _point(finding, job.units),
        "summary": finding.summary,
        "numbers": _numbers(finding, job),
        "formula": finding.formula,
        "inputs": [input_text(key, value, job.units) for key, value in finding.inputs.items()],
        "sources": [str(source) for source in finding.sources],
        "decide": finding.decide,
        "remedy": finding.remedy.text if finding.remedy else "",
        "proof": _proof(finding),
        "draws": f"{finding.drawn.text} {finding.drawn.first}" if finding.drawn else "",
        "id": finding.id,
    }


def _draws_row(finding: Finding, units: UnitSystem) -> dict[str, Any]:
    """What draws made of one finding, as a row of the table of doubt."""
    drawn = finding.drawn
    assert drawn is not None
    first = next((pin for pin in drawn.pin_down if pin.advice), None)
    return {
        "worker": finding.where.worker,
        "edge": finding.where.edge,
        "thing": drawn_thing(finding),
        "verdict": verdict_word(finding.verdict),
        "values": [number_text(value, finding.dimension, units, "high") for value in drawn.values],
        "here": share_text(drawn.here, interval=True),
        "everywhere": share_text(drawn.everywhere, interval=True),
        "first": f"{first.advice} ({first.share:.0%})".replace("%", " %") if first else "",
        "count": f"{drawn.draws:,}",
    }


def _numbers(finding: Finding, job: Job) -> dict[str, str]:
    """Value, limit and margin; the limit also as the law writes it, where the law counts in other units."""
    numbers = finding_numbers(finding, job.units)
    if finding.limit is None or job.pack.units is job.units:
        return numbers
    for limit in job.pack.limits:
        near = limit.figure is not None and math.isclose(limit.figure.value, finding.limit, rel_tol=1e-9)
        if near and limit.figure is not None and limit.source in finding.sources:
            return {**numbers, "law": limit.figure.text}
    return numbers


def _point(finding: Finding, units: UnitSystem) -> str:
    if finding.where.point is None:
        return ""
    x, y, z = (number_text(metres, Dimension.LENGTH, units) for metres in finding.where.point)
    return f"{x} east, {y} north, {z} up from the job's origin"


def _sources(findings: Sequence[Finding]) -> list[dict[str, str]]:
    """Each document once for each way in which it is known, with all its clauses, in order of title."""
    clauses: dict[tuple[str, str, str], set[str]] = {}
    for source in (source for finding in findings for source in finding.sources):
        compared = source.compared.isoformat() if source.compared else ""
        clauses.setdefault((source.document, source.status.value, compared), set()).add(source.clause)
    return [
        {"document": document, "clause": "; ".join(sorted(named - {""})), "status": status, "compared": compared}
        for (document, status, compared), named in sorted(clauses.items())
    ]


def _rescue(job: Job) -> dict[str, str]:
    minutes = job.rescue.minutes
    return {
        "method": job.rescue.method,
        "by": job.rescue.by,
        "minutes": "" if minutes is None else f"{minutes:g} minutes",
    }


def _sign_off(assessment: Assessment) -> list[dict[str, str]]:
    """Who signs: the competent person, a qualified person where one was asked for, and everybody on a line."""
    asked = [finding for finding in assessment.findings if finding.verdict is Verdict.ASK]
    lines = [{"role": "Competent person on site", "name": ""}]
    if asked:
        matters = "the matter" if len(asked) == 1 else f"the {len(asked)} matters"
        lines.append({"role": f"Qualified person, for {matters} to be decided", "name": ""})
    return lines + [{"role": "Worker", "name": name} for name in _unique(member.name for member in assessment.job.crew)]


def _unique(names: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(names))
