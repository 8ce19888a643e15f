"""One line's sheet as a PDF: what it is, how long, how to end it and put it away, what to look for, when to bin it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from ropewright.findings import Source, SourceStatus, Verdict
from ropewright.job.rope_sheet import RopeSheet
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.quantity.show import Toward
from ropewright.rope.stow import Way
from ropewright.rope.termination import terminations
from ropewright.sheets.end_drawing import end_svg
from ropewright.sheets.ink import CAUTION
from ropewright.sheets.knot_drawing import knot_steps_svg
from ropewright.sheets.pdf import compiled
from ropewright.sheets.stow_drawing import stow_steps_svg
from ropewright.sheets.words import INVENTED, named

__all__ = ["sheet_content", "sheet_pdf"]

#: Stands in the file where the job has no date, so that the bytes depend on nothing but the job.
_NO_DATE = date(2000, 1, 1)

_ANSWERS = {
    Verdict.HOLDS: "May be a lifeline, as it is tied and as it was told.",
    Verdict.DOUBTFUL: "NOT as a lifeline until the doubt is settled.",
    Verdict.ASK: "NOT as a lifeline until a competent person has decided.",
    Verdict.FAILS: "NOT AS A LIFELINE.",
}
_WAYS = {
    Way.STRAIGHT_IN: "straight into a bag or bucket",
    Way.BACK_AND_FORTH: "back and forth, wrapped and locked off",
    Way.COIL: "a coil, every loop the same way",
    Way.COIL_TURNED_BACK: "a coil, every other loop turned back",
}


def sheet_pdf(sheet: RopeSheet) -> bytes:
    """Return the sheet as a tagged PDF (PDF/UA-1), the same bytes for the same line.

    Parameters
    ----------
    sheet : RopeSheet

    Returns
    -------
    bytes
        US letter for a job in US units, A4 for a metric one.
    """
    return compiled(sheet_content(sheet), sheet.job.date or _NO_DATE, template="rope_sheet")


def sheet_content(sheet: RopeSheet) -> dict[str, Any]:
    """All that stands on the sheet, ready to set; lengths and room rounded up, strengths down.

    Parameters
    ----------
    sheet : RopeSheet

    Returns
    -------
    dict
    """
    job, line = sheet.job, sheet.line
    invented = f" ({INVENTED.lower()})" if job.invented else ""
    holds = sheet.allowed.verdict is Verdict.HOLDS
    return {
        "title": f"Rope sheet: {named('line', line.name)}",
        "paper": "us-letter" if job.units is UnitSystem.US else "a4",
        "job": f"{job.name}{invented}",
        "who": f"On {named('anchor', line.anchor)}, for {' and '.join(sheet.workers) or 'nobody yet'}.",
        "caution": CAUTION,
        "may": holds,
        "answer": _ANSWERS[sheet.allowed.verdict],
        "reason": f"{sheet.allowed.reason} ({sheet.allowed.source})",
        "facts": list(_facts(sheet)),
        "stop_what": f"Tie the {'stopper' if line.grab else 'lanyard'} at",
        "stop": _length(sheet, line.length, "low"),
        "parts": [[_length(sheet, part.length), part.name] for part in sheet.parts],
        "length": _length(sheet, sheet.length),
        "not_counted": sheet.not_counted,
        **_ending(sheet),
        "stow": _stowing(sheet),
        "look_for": [[what, looks] for what, looks, _ in sheet.look_for],
        "look_source": f"Along the rope: {sheet.look_for[0][2]}. What each looks like is common knowledge, no source.",
        "retire": [[words, _cited(source)] for words, source in sheet.retire],
    }


def _length(sheet: RopeSheet, length: float, toward: Toward = "high") -> str:
    return show(length, Dimension.LENGTH, sheet.job.units, toward=toward, style="feet-inches")


def _force(sheet: RopeSheet, force: float) -> str:
    return show(force, Dimension.FORCE, sheet.job.units, toward="low")


def _cited(source: Source) -> str:
    return "" if source.status is SourceStatus.PRACTICE else f"({source})"


def _facts(sheet: RopeSheet) -> Iterator[list[str]]:
    rope, chain, work = sheet.line.rope, sheet.chain, sheet.work
    metric = sheet.job.units is UnitSystem.METRIC
    across = f"{rope.diameter * 1e3:.3g} mm" if metric else f"{rope.diameter / 0.0254:.3g} in"
    yield ["Rope", f"{rope.fibre}, {rope.construction}, {rope.stretch}"]
    yield ["Diameter", f"{across}"]
    yield ["Told of it", f"{rope.condition}; strength is its {rope.strength_basis}"]
    yield ["Strength as new", f"{_force(sheet, chain.as_new.low)} at least"]
    left = f"{_force(sheet, chain.low)} at the low end, {_force(sheet, chain.likely)} likely"
    yield ["Left with its end", left]
    if sheet.asked is not None:
        yield ["Rules ask for", f"{show(sheet.asked.force, Dimension.FORCE, sheet.job.units, toward='high')}"]
    least, most = work.factors
    yield [
        "Loads, nobody on it",
        f"up to {_force(sheet, work.low)} ({most:g}:1) to {_force(sheet, work.high)} ({least:g}:1)",
    ]
    whole = "not told: measure it" if rope.length is None else _length(sheet, rope.length, "low")
    yield ["Whole rope", whole]


def _ending(sheet: RopeSheet) -> dict[str, Any]:
    tied, termination = sheet.tied, sheet.line.termination
    said = "nobody has said how" if termination == "unknown" else termination
    ending: dict[str, Any] = {"ending": said, "knot": None, "eye": None, "warnings": [], "end_notes": []}
    if tied is None:
        ending["rules"] = [[words, _cited(source)] for words, source in sheet.ending]
        drawn = end_svg(terminations()[termination].kind)
        if drawn:
            ending["eye"] = {"svg": drawn, "alt": f"Scheme of a {termination} round a thimble."}
            ending["end_notes"] = ["A scheme, not to scale."]
        return ending
    knot, share = tied.knot, tied.strength.value
    ending["ending"] = knot.name
    ending["rules"] = [[rule.text, _cited(rule.source)] for rule in tied.rules]
    tails = [f"Tails at least {_length(sheet, tied.tail)}."] if tied.tail else []
    ending["warnings"] = [*knot.warnings, *tails]
    ending["knot"] = {"svg": knot_steps_svg(knot), "alt": " ".join(knot.steps)}
    counted = f"; counted with at most {tied.rule_share.value.high:.0%} by guidance" if tied.rule_share else ""
    ending["end_notes"] = [
        f"It leaves {share.low:.0%} to {share.high:.0%} of the strength ({tied.strength.source}){counted}."
    ]
    return ending


def _stowing(sheet: RopeSheet) -> dict[str, Any]:
    stowed, units = sheet.stowed, sheet.job.units
    room = show(stowed.room.high, Dimension.VOLUME, units, toward="high")
    heavy = show(stowed.mass.high, Dimension.MASS, units, toward="high")
    facts = [
        ["Rope", f"{_length(sheet, sheet.stowed_length)}, {heavy} at its heaviest"],
        ["Bag or bucket", f"{room} or more"],
    ]
    if stowed.verdict is not None:
        word = {Verdict.HOLDS: "yes", Verdict.ASK: "only if it packs well: try it"}.get(stowed.verdict, "no")
        facts.append(["Fits the one told", word])
    return {
        "title": _WAYS[sheet.way],
        "svg": stow_steps_svg(sheet.way),
        "alt": f"Steps of putting the rope away {_WAYS[sheet.way]}.",
        "facts": facts,
        "note": "Leaves no twist. How rope packs is judged: no published figure was found. Steps are common practice.",
    }
