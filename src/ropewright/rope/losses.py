"""What takes strength from a rope: one function a cause, each giving the share that is left and its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ropewright.errors import InputError
from ropewright.findings import Source, SourceStatus, Verdict
from ropewright.quantity import Range
from ropewright.rope.bend import bend_retention
from ropewright.rope.fibre import Family, Fibre, fibre_properties
from ropewright.rope.names import Condition
from ropewright.rope.tables import Figure, figures
from ropewright.rope.termination import EndKind, EndUse, Termination

__all__ = [
    "Loss",
    "Trigger",
    "basis_loss",
    "bend_loss",
    "condition_loss",
    "edge_loss",
    "termination_loss",
    "wet_loss",
]


@dataclass(frozen=True, slots=True)
class Trigger:
    """Something that must be settled before any number counts.

    Parameters
    ----------
    subject : str
        ``strength basis``, ``condition``, ``termination`` or ``edge``.
    verdict : Verdict
        `FAILS`: the rope or the end is not to be used; `ASK`: a person must decide.
    reason : str
        Why, or what must be decided.
    source : Source
    """

    subject: str
    verdict: Verdict
    reason: str
    source: Source


@dataclass(frozen=True, slots=True)
class Loss:
    """Share of the strength that one cause leaves, before it is put to a rope."""

    name: str
    figure: Figure
    #: [-]
    factor: Range
    inputs: Mapping[str, float | str] = field(default_factory=dict)
    note: str = ""
    triggers: tuple[Trigger, ...] = ()
    assumed: tuple[str, ...] = ()


def _least(first: Range, second: Range) -> Range:
    """Lower of two ranges, end by end."""
    return Range(min(first.low, second.low), min(first.likely, second.likely), min(first.high, second.high))


def _strength_figure(key: str) -> Figure:
    return figures("strength_figures")[key]


def basis_loss(basis: str) -> Loss:
    """Take an average, or a figure that nobody has named, down to a minimum."""
    figure = _strength_figure(f"basis/{basis}")
    triggers: tuple[Trigger, ...] = ()
    if basis == "unknown":
        reason = "Say what the strength is: batch minimum, mean less 3 sd, maker's minimum or average."
        triggers = (Trigger("strength basis", Verdict.ASK, reason, figure.source),)
    return Loss("minimum breaking strength as new", figure, figure.value, {"basis": basis}, figure.note, triggers)


def wet_loss(fibre: Fibre, wet: bool | None) -> Loss | None:
    """Loss of a wet rope; where nobody says that it stays dry, the low end counts it as wet."""
    figure = fibre_properties().get(fibre.name, {}).get("wet factor")
    if wet is False or figure is None or figure.value.low == 1.0:
        return None
    if wet:
        return Loss("wet", figure, figure.value, {"fibre": fibre.name}, figure.note)
    factor = Range(figure.value.low, 1.0, 1.0)
    assumed = (f"{fibre.name.capitalize()} rope may get wet: the low end counts it as wet.",)
    return Loss("wet", figure, factor, {"fibre": fibre.name}, assumed[0], assumed=assumed)


#: What a person must do about each condition before its number counts.
_CONDITION_TRIGGERS: Mapping[str, tuple[Verdict, str]] = {
    "damaged": (Verdict.FAILS, "Damaged rope is out of service at once: tag it or destroy it."),
    "fallen-on": (Verdict.FAILS, "Rope that has caught a fall is out of service at once."),
    "unknown": (
        Verdict.ASK,
        "Nobody has said what this rope has been through: a competent person must, or it is retired.",
    ),
    "worn": (Verdict.ASK, "Wear is on the list of what takes a rope out: a competent person must look at it."),
}


def condition_loss(condition: Condition) -> Loss | None:
    """Loss of a rope in use, and what takes it out of service before any number."""
    figure = _strength_figure(f"condition/{condition.state}")
    if condition.state == "new":
        return None
    triggers: tuple[Trigger, ...] = ()
    if condition.state in _CONDITION_TRIGGERS:
        verdict, reason = _CONDITION_TRIGGERS[condition.state]
        # the rule that makes someone look at the rope stands behind a question that has no figure
        source = figure.source if figure.settles else Source("29 CFR 1926.502", "(d)(21)")
        triggers = (Trigger("condition", verdict, reason, source),)
    told = "Nothing was told of the rope's age and wear: taken as in use and good."
    assumed = (told,) if condition.state_assumed else ()
    inputs = {"condition": condition.state}
    return Loss("condition and age", figure, figure.value, inputs, figure.note, triggers, assumed)


def _by_rule(retention: float, source: Source | None) -> Figure:
    """Figure of the rule's word on knots; a pack's own value comes with its own source."""
    if not 0.0 < retention <= 1.0:
        raise ValueError(f"rule_knot_retention must be above 0 and at most 1, got {retention}")
    figure = _strength_figure("knot/by rule")
    if source is None and retention == figure.value.likely:
        return figure
    return Figure("knot/by rule", Range.exact(retention), "-", source or Source("rules pack", "knot retention"))


def _ruling(candidates: list[Figure]) -> tuple[Range, Figure]:
    """Lowest of several figures end by end, and the one that sets the low end; among equals the best known."""
    factor = candidates[0].value
    for candidate in candidates[1:]:
        factor = _least(factor, candidate.value)
    setting = [candidate for candidate in candidates if candidate.value.low == factor.low]
    return factor, next((candidate for candidate in setting if candidate.settles), setting[0])


def _end_triggers(end: Termination, construction: str) -> tuple[Trigger, ...]:
    """Triggers of an end, whatever it leaves."""
    source = end.retention.source

    def trigger(verdict: Verdict, reason: str) -> Trigger:
        return Trigger("termination", verdict, reason, source)

    found = []
    if end.use is EndUse.NEVER:
        found.append(trigger(Verdict.FAILS, f"The {end.name} is never to be used."))
    if end.use is EndUse.EMERGENCY_ONLY:
        found.append(trigger(Verdict.FAILS, f"A {end.name} is for emergencies only, where nothing else is practical."))
    if end.use is EndUse.JOINS_ROPES:
        found.append(
            trigger(Verdict.ASK, f"A {end.name} joins two ropes: say who judged that this line may be joined.")
        )
    if end.kind is EndKind.UNKNOWN:
        found.append(trigger(Verdict.ASK, "Say how the line is ended."))
    if end.kind is EndKind.SPLICE and construction != "laid":
        found.append(trigger(Verdict.ASK, "The figure for a splice is that of laid rope: ask the maker of this one."))
    return tuple(found)


def termination_loss(
    end: Termination,
    fibre: Fibre,
    construction: str,
    *,
    rule_knot_retention: float | None,
    rule_source: Source | None,
    documented: Figure | None,
) -> Loss:
    """Loss at the end of the line: the table's, or the rule's or a slippery fibre's where they are lower.

    A figure that the user can document takes the place of the table and of the rule's general word.
    """
    triggers = _end_triggers(end, construction)
    inputs = {"termination": end.name}
    if documented is not None:
        if not 0.0 <= documented.value.low <= documented.value.high <= 1.0:
            raise InputError("termination retention", documented.value, "give the share of strength left, 0 to 1")
        return Loss("termination", documented, documented.value, inputs, documented.note, triggers)
    candidates = [end.retention]
    if end.kind.may_be_knot:
        candidates += _knot_candidates(fibre, rule_knot_retention, rule_source)
    factor, figure = _ruling(candidates)
    return Loss("termination", figure, factor, inputs, figure.note, triggers)


def _knot_candidates(fibre: Fibre, rule_knot_retention: float | None, rule_source: Source | None) -> list[Figure]:
    """Figures that cap a knot besides its own."""
    found = [] if rule_knot_retention is None else [_by_rule(rule_knot_retention, rule_source)]
    slippery = _strength_figure("knot/high-modulus fibre")
    if fibre.family is Family.HIGH_MODULUS:
        found.append(slippery)
    if fibre.family is Family.UNKNOWN:  # it may be one: the low end counts that
        factor = Range(slippery.value.low, 1.0, 1.0)
        found.append(
            Figure(slippery.key, factor, "-", slippery.source, slippery.grade, slippery.samples, slippery.note)
        )
    return found


def bend_loss(ratio: float | None) -> Loss | None:
    """Loss of a fibre rope bent over something; None: not bent beyond its own end."""
    if ratio is None:
        return None
    figure = bend_retention(ratio, "fibre")
    return Loss("bend", figure, figure.value, {"bend_ratio": ratio}, figure.note)


def edge_loss(bare_edge: bool | None) -> Loss | None:
    """Loss over a bare edge, by the rule's word; None: nobody knows, so that the low end counts one."""
    if bare_edge is False:
        return None
    figure = _strength_figure("edge/bare" if bare_edge else "edge/unknown")
    reason = (
        "The rope bears on a bare edge: pad it, take another way or use wire."
        if bare_edge
        else "Say whether the rope bears on a bare edge anywhere."
    )
    trigger = Trigger("edge", Verdict.ASK, reason, Source("29 CFR 1926 Subpart M App C", "II(h)(5)", SourceStatus.READ))
    return Loss("edge", figure, figure.value, {"bare_edge": str(bare_edge)}, figure.note, (trigger,))
