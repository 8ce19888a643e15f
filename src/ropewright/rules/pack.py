"""A rules pack: its limits, definitions, allowances and the conflicts between its texts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from ropewright.findings import Source, SourceStatus, Verdict
from ropewright.quantity import Dimension, Range, UnitSystem
from ropewright.rules.facts import Told, assume, find_fact, read_facts
from ropewright.rules.limits import Kind, Limit

__all__ = ["Allowance", "Conflict", "Definition", "Pack"]


@dataclass(frozen=True, slots=True)
class Definition:
    """A term as the pack's text defines it; `counts` and `excludes` name what is part of a distance and what is not."""

    term: str
    text: str
    counts: frozenset[str]
    excludes: frozenset[str]
    source: Source
    confidence: str = ""


@dataclass(frozen=True, slots=True)
class Allowance:
    """A term of a sum that the pack or its trade uses: `value` in SI, what for, and where from."""

    name: str
    value: Range
    dimension: Dimension
    text: str
    summary: str
    source: Source
    confidence: str = ""
    overridden_by: str = ""


@dataclass(frozen=True, slots=True)
class Conflict:
    """Texts that disagree, about which facts, and what the program does about it."""

    id: str
    about: tuple[str, ...]
    text: str
    handling: str


@dataclass(frozen=True)
class Pack:
    """Limits of one jurisdiction and what belongs to them.

    Parameters
    ----------
    id, title, jurisdiction, edition, disclaimer, scope : str
    compared : date
        Day on which its figures were last held against `compared_with`.
    compared_with : str
    units : UnitSystem
        Units of its texts.
    limits : tuple of Limit
    definitions, allowances : mapping by name
    conflicts : tuple of Conflict
    based_on : str
        Id of the pack that it overlays, or empty.
    """

    id: str
    title: str
    jurisdiction: str
    edition: str
    disclaimer: str
    scope: str
    compared: date
    compared_with: str
    units: UnitSystem
    limits: tuple[Limit, ...]
    definitions: Mapping[str, Definition] = field(default_factory=dict)
    allowances: Mapping[str, Allowance] = field(default_factory=dict)
    conflicts: tuple[Conflict, ...] = ()
    based_on: str = ""

    @property
    def facts(self) -> tuple[str, ...]:
        """Names of the facts that it judges, sorted."""
        return tuple(sorted({limit.fact for limit in self.limits}))

    @property
    def facts_told(self) -> tuple[str, ...]:
        """Names of all facts that it can be told: those judged, and those that decide which limit applies."""
        return tuple(sorted({name for limit in self.limits for name in _named_in(limit)}))

    def limit(self, limit_id: str) -> Limit | None:
        """Return the limit of an id, None if there is none."""
        return next((limit for limit in self.limits if limit.id == limit_id), None)

    def limits_for(self, fact: str, facts: Mapping[str, object] | None = None) -> tuple[Limit, ...]:
        """Limits of a fact that apply to a case, or can't be excluded from it.

        Parameters
        ----------
        fact : str
            A name of `FACTS`.
        facts : mapping of fact to value, optional
            What is known of the case; None stands for not known.

        Returns
        -------
        tuple of Limit
            Figures that grow with another fact are grown to the case.

        Raises
        ------
        RulesError, QuantityError
            For an unknown fact, or one told as something else than it takes.
        """
        find_fact(fact)
        told = assume(read_facts(facts or {}))
        return tuple(
            limit.at(told)
            for limit in self.limits
            if limit.fact == fact and limit.applies(told) is not False and not _is_excused(limit, told)
        )

    def governing(self, fact: str, facts: Mapping[str, object] | None = None) -> Limit | None:
        """Return the strictest of `limits_for`; among equals one that was read goes before one that is remembered.

        None if there is none, if one that may apply gives no figure, or if the fact is bounded on both sides, so that
        no one limit governs; `check` answers such questions.
        """
        limits = self.limits_for(fact, facts)
        if any(_lacks_figure(limit) for limit in limits) or len({limit.safe_operator[0] for limit in limits}) > 1:
            return None
        return _strictest(limits)

    def power_distance(self, voltage: float) -> Limit:
        """Distance to keep from an overhead line: the larger of all that the pack has for its voltage.

        Parameters
        ----------
        voltage : float
            Nominal, 0 or more. [V]

        Returns
        -------
        Limit
            Without a figure where the pack has none for such a voltage; it then asks.

        Examples
        --------
        >>> from ropewright.rules import load_pack
        >>> load_pack("us-construction").power_distance(200e3).demand
        'at least 15 ft is needed'
        """
        found = _strictest(self.limits_for("power_line_distance", {"power_line_voltage": voltage}))
        return found or self.without_figure("power_line_distance", "the line's owner or operator: the distance to keep")

    def without_figure(self, fact: str, decide: str) -> Limit:
        """Return a limit that only asks, for a fact that the pack says nothing of."""
        return Limit(
            id=f"{fact.replace('_', '-')}-none",
            fact=fact,
            operator="<=" if find_fact(fact).dimension else "is",
            figure=None,
            wanted=(),
            applies_to="",
            summary=f"{self.title} says nothing of it.",
            source=Source(self.title, "no figure in this text", SourceStatus.READ, self.compared),
            past=Verdict.ASK,
            decide=decide,
        )

    def allowance(self, name: str) -> Allowance | None:
        """Return the allowance of a name, None if the pack has none."""
        return self.allowances.get(name)

    def definition(self, term: str) -> Definition | None:
        """Return the definition of a term, None if the pack has none."""
        return self.definitions.get(term)

    def conflicts_about(self, facts: Mapping[str, Told] | tuple[str, ...]) -> tuple[Conflict, ...]:
        """Return the conflicts that touch any of these facts."""
        return tuple(conflict for conflict in self.conflicts if set(conflict.about) & set(facts))


def _strictest(limits: tuple[Limit, ...]) -> Limit | None:
    return max(limits, key=lambda limit: (limit.strictness, limit.settles), default=None)


def _is_excused(limit: Limit, told: Mapping[str, Told]) -> bool:
    """Whether something else satisfies the law; a trigger stays, since it says from where on that is needed."""
    return limit.kind is Kind.LIMIT and limit.satisfied(told) is True


def _lacks_figure(limit: Limit) -> bool:
    return limit.figure is None and limit.operator != "is"


def _named_in(limit: Limit) -> Iterator[str]:
    """Every fact that a limit judges or depends on."""
    yield limit.fact
    for case in (limit.when, *limit.unless):
        yield from (condition.fact for condition in case)
    if limit.growth:
        yield limit.growth.fact
