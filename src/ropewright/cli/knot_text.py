"""What `ropewright knot` says: as text for people and as a document for programs."""

from __future__ import annotations

from typing import Any

import click

from ropewright.cli.main import CAUTION
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.rope.knot_words import HOW_MEASURED, NO_ROPE, tested
from ropewright.rope.knots import TiedKnot
from ropewright.rope.made_ends import MadeEnd
from ropewright.rope.tables import Figure

__all__ = ["document", "made_document", "made_text", "text"]

#: Columns that running text is kept to.
_WIDTH = 100


def document(tied: TiedKnot) -> dict[str, Any]:
    """Answer as JSON: SI numbers, units in the keys; shares of strength are of the rope as new."""
    knot, share = tied.knot, tied.strength.value
    return {
        "name": knot.name,
        "diameter_m": tied.diameter,
        "rules": [{"text": rule.text, "source": str(rule.source), "forbids": rule.forbids} for rule in tied.rules],
        "forbidden_in_lifeline": any(rule.forbids for rule in tied.rules),
        "warnings": list(knot.warnings),
        "use": knot.use,
        "rope_m": tied.rope,
        "in_knot_m": tied.in_knot,
        "loop_m": tied.loop,
        "tail_m": tied.tail,
        "backup_m": tied.backup,
        "rope_in_all_m": tied.rope_in_all,
        "ropes": 2 if knot.name == "double fisherman's bend" else 1,
        "knot_type": knot.type,
        "knot_type_of": knot.type_of,
        "whole_rope_type": knot.whole_type,
        "least_rope_m": tied.least,
        "strength_low": share.low,
        "strength_likely": share.likely,
        "strength_high": share.high,
        "strength": _figure(tied.strength),
        "rule_strength_high": None if tied.rule_share is None else tied.rule_share.value.high,
        "rule_strength": None if tied.rule_share is None else _figure(tied.rule_share),
        "observations": [_figure(figure) for figure in knot.observations],
        "slips_from": None if knot.slips_from is None else _figure(knot.slips_from),
        "steps": list(knot.steps),
        "notes": [HOW_MEASURED, tested(tied)],
        "caution": CAUTION,
    }


def _figure(figure: Figure) -> dict[str, Any]:
    return {
        "low": figure.value.low,
        "likely": figure.value.likely,
        "high": figure.value.high,
        "source": str(figure.source),
        "status": figure.source.status.value,
        "grade": figure.grade.value,
        "samples": figure.samples,
        "settles": figure.settles,
        "note": figure.note,
    }


def text(tied: TiedKnot, units: UnitSystem) -> str:
    """Answer for people: rules, then rope and strength, then the steps."""
    knot, share = tied.knot, tied.strength.value

    def length(metres: float) -> str:
        return show(metres, Dimension.LENGTH, units, toward="high")

    head = [_wrap(f"{knot.name[0].upper()}{knot.name[1:]}. {knot.use}")]
    head += [_wrap(f"! {rule.text} ({rule.source})") for rule in tied.rules]
    head += [_wrap(f"! {warning}") for warning in knot.warnings]
    rows = [
        ("Rope in knot and loop" if knot.has_loop else "Rope in the knot", length(tied.rope)),
        ("Tightest closed knot of its type", f"{length(tied.least)} ({knot.type}: {knot.type_of})"),
    ]
    if knot.has_loop:
        rows.insert(1, ("of that round the loop", length(tied.loop)))
    if tied.tail:
        rows.append(("Tail, at least", f"{length(tied.tail)} (12 diameters; common practice, no source)"))
    if tied.backup:
        rows.append(("Backup: a double overhand", length(tied.backup)))
    rows.append(("To be added to a line for this end", length(tied.rope_in_all)))
    rows.append(("Strength left", f"{share.low:.0%} low, {share.likely:.0%} likely, {share.high:.0%} high"))
    wide = max(len(name) for name, _ in rows) + 3
    table = [f"{name:<{wide}}{value}" for name, value in rows]
    told = [_wrap(f"Strength: {_sourced(tied.strength)}")]
    if tied.rule_share is not None:
        told.append(
            _wrap(f"Guidance: counted with at most {tied.rule_share.value.high:.0%}; {_sourced(tied.rule_share)}")
        )
    told += [_wrap(f"Test: {figure.value.likely:.0%}; {_sourced(figure)}") for figure in knot.observations]
    if knot.slips_from is not None:
        low = show(knot.slips_from.value.low, Dimension.FORCE, units, toward="low")
        told.append(_wrap(f"Seen to slip from {low} on; {_sourced(knot.slips_from)}"))
    told.append(_wrap(tested(tied)))
    steps = [_wrap(f"{number}. {step}") for number, step in enumerate(knot.steps, start=1)]
    return "\n".join([*head, "", *table, "", *told, "", *steps, "", click.wrap_text(CAUTION, width=_WIDTH)])


def made_document(made: MadeEnd) -> dict[str, Any]:
    """Answer about an end that is no knot, under the same keys; what is not known is null."""
    figure, share = made.end.retention, made.end.retention.value
    return {
        "name": made.end.name,
        "diameter_m": made.diameter,
        "rules": [{"text": words, "source": str(source), "forbids": False} for words, source in made.said],
        "forbidden_in_lifeline": False,
        "rope_m": None,
        "tail_m": made.tail,
        "knot_type": None,
        "least_rope_m": None,
        "strength_low": share.low,
        "strength_likely": share.likely,
        "strength_high": share.high,
        "strength": _figure(figure),
        "notes": [NO_ROPE],
        "caution": CAUTION,
    }


def made_text(made: MadeEnd, units: UnitSystem) -> str:
    """Answer about an end that is no knot, for people."""
    share = made.end.retention.value
    head = [_wrap(f"{made.end.name[0].upper()}{made.end.name[1:]}. An end that is no knot.")]
    head += [_wrap(f"! {words} ({source})") for words, source in made.said]
    told = [f"Strength left   {share.low:.0%} low, {share.likely:.0%} likely, {share.high:.0%} high"]
    if made.tail is not None:
        told.append(f"Tails, at least {show(made.tail, Dimension.LENGTH, units, toward='high')}")
    words = [_wrap(f"Strength: {_sourced(made.end.retention)}"), _wrap(NO_ROPE)]
    return "\n".join([*head, "", *told, "", *words, "", click.wrap_text(CAUTION, width=_WIDTH)])


def _sourced(figure: Figure) -> str:
    samples = "samples not stated" if figure.samples is None else f"{figure.samples} samples"
    note = f"; {figure.note}" if figure.note else ""
    return f"{figure.source}, grade {figure.grade.value}, {samples}{note}"


def _wrap(words: str) -> str:
    return click.wrap_text(words, width=_WIDTH, subsequent_indent="  ")
