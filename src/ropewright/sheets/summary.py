"""The answer in words, on one screen of a terminal."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path

from ropewright.findings import Finding, Remedy, Verdict
from ropewright.job.assessment import Assessment
from ropewright.quantity import Dimension, show
from ropewright.sheets.figures import drawn_thing, share_text
from ropewright.sheets.words import ANSWERS, CAUTION, area_to_tie

__all__ = ["summary_text"]


def summary_text(assessment: Assessment, written: Iterable[Path] = (), *, width: int = 96, lines: int = 34) -> str:
    """Return the answer as plain text: verdict, worst findings first with their mends, what to set, which files.

    Parameters
    ----------
    assessment : Assessment
    written : iterable of Path
        Files that were written, to be named at the end.
    width, lines : int
        Size of the screen to stay within.

    Returns
    -------
    str
    """
    job = assessment.job
    head = [
        f"{job.name}{' (invented example)' if job.invented else ''}",
        f"{assessment.verdict.upper()}. {ANSWERS[assessment.verdict]}",
        f"{_counts(assessment.findings)}; rules: {job.pack.title}.",
        "",
    ]
    foot = [
        "",
        *_rig(assessment),
        *_draws(assessment, width),
        "",
        *(f"wrote {path}" for path in written),
        *textwrap.wrap(CAUTION, width),
    ]
    room = max(6, lines - len(head) - len(foot))
    return "\n".join([*head, *_worst_first(assessment.findings, width, room), *foot])


def _counts(findings: Sequence[Finding]) -> str:
    counted = Counter(finding.verdict for finding in findings)
    order = (Verdict.FAILS, Verdict.ASK, Verdict.DOUBTFUL, Verdict.HOLDS)
    return ", ".join(f"{counted[verdict]} {_noun(verdict)}" for verdict in order if counted[verdict])


def _noun(verdict: Verdict) -> str:
    return {
        Verdict.FAILS: "fail",
        Verdict.ASK: "to ask",
        Verdict.DOUBTFUL: "doubtful",
        Verdict.HOLDS: "hold",
    }[verdict]


def _worst_first(findings: Sequence[Finding], width: int, room: int) -> list[str]:
    """As many findings as fit, worst first; what is left out is counted."""
    telling = [finding for finding in findings if finding.verdict is not Verdict.HOLDS]
    out: list[str] = []
    for shown, finding in enumerate(telling):
        block = _block(finding, width)
        if len(out) + len(block) > room - 1:
            out.append(f"... and {len(telling) - shown} more in findings.json and plan.pdf")
            break
        out += block
    return out


def _block(finding: Finding, width: int) -> list[str]:
    place = finding.where.edge or finding.where.opening or finding.where.anchor or ""
    who = finding.where.worker or finding.where.line or ""
    at = ", ".join(part for part in (who, place) if part)
    text = f"{finding.verdict:<9}{at + ': ' if at else ''}{finding.summary}"
    block = textwrap.wrap(text, width, subsequent_indent=" " * 9)
    follow = finding.remedy.text if finding.remedy else f"to decide: {finding.decide}" if finding.decide else ""
    if follow:
        block += textwrap.wrap(
            f"-> {follow}{_proof(finding.remedy)}", width, initial_indent=" " * 9, subsequent_indent=" " * 12
        )
    return block


def _proof(remedy: Remedy | None) -> str:
    if remedy is None:
        return ""
    return f" (assessed again: {'it then holds' if remedy.proven else 'then met, but to be confirmed'})"


def _draws(assessment: Assessment, width: int) -> list[str]:
    """In which share of draws each worker's falls hold, and what to pin down first for the one that holds least."""
    told: dict[str | None, list[Finding]] = {}
    for finding in assessment.findings:
        if finding.drawn is not None:
            told.setdefault(finding.where.worker, []).append(finding)
    lines: list[str] = []
    for worker, findings in told.items():
        lines += textwrap.wrap(f"{worker}: {_drawn(findings)}", width, subsequent_indent="  ")
    return lines


def _drawn(findings: Sequence[Finding]) -> str:
    drawn = [finding.drawn for finding in findings if finding.drawn is not None]
    shares = [f"{drawn_thing(one)} in {share_text(one.drawn.everywhere)}" for one in findings if one.drawn]
    shares += [f"both in {share_text(drawn[0].together)}"] if len(shares) > 1 else []
    least = min(drawn, key=lambda one: one.everywhere.value if one.everywhere else 1.0)
    return f"{drawn[0].draws:,} draws, share that holds at every edge reached: {', '.join(shares)}. {least.first}"


def _rig(assessment: Assessment) -> list[str]:
    units = assessment.job.units
    rows = []
    for row in assessment.rig:
        if row.length_holds is None:
            stop = "no length holds at every edge it reaches"
        else:
            length = show(min(row.length_set, row.length_holds), Dimension.LENGTH, units, toward="low")
            stop = f"tie the stopper at {length}"
        rows.append(f"{row.worker}: line {row.line} on {row.anchor}, {stop}, {row.verdict} (worst: {row.worst_edge})")
        rows += [f"  {area_to_tie(assessment.job, stop)}" for stop in row.areas]
    return rows
