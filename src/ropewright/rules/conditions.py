"""When a limit applies: conditions on other facts, answered with yes, no or can't tell."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ropewright.errors import InputError, RulesError
from ropewright.quantity import Range
from ropewright.rules.facts import Fact, Told, find_fact, in_words, read_fact
from ropewright.rules.figure import OPERATORS, Figure, read_figure

__all__ = ["Case", "Condition", "all_of", "any_of", "read_case"]


@dataclass(frozen=True, slots=True)
class Condition:
    """One demand on one fact.

    Parameters
    ----------
    fact : str
    allowed : tuple of bool or str
        Answers that meet it; empty for a figure.
    refused : tuple of str
        Words that do not meet it, all others do.
    bounds : tuple of (operator, Figure)
        What a figure must meet, all of it.
    """

    fact: str
    allowed: tuple[bool | str, ...] = ()
    refused: tuple[str, ...] = ()
    bounds: tuple[tuple[str, Figure], ...] = ()

    def met(self, told: Mapping[str, Told]) -> bool | None:
        """Return whether it is met; None if that can't be told."""
        value = told.get(self.fact)
        if value is None:
            return None
        if isinstance(value, Range):
            return _all(_within(value, operator, figure) for operator, figure in self.bounds)
        return value in self.allowed if self.allowed else value not in self.refused

    @property
    def written(self) -> list[bool | str]:
        """As a rules pack writes it."""
        if self.bounds:
            return [f"{operator}{figure.text}" for operator, figure in self.bounds]
        return list(self.allowed) or [f"!={word}" for word in self.refused]

    def __str__(self) -> str:
        if self.bounds:
            return " and ".join(f"{self.fact} {operator} {figure.text}" for operator, figure in self.bounds)
        words = [in_words(one) for one in self.allowed]
        return f"{self.fact} is {' or '.join(words)}" if words else f"{self.fact} is not {' or '.join(self.refused)}"


#: Conditions that must all be met.
Case = tuple[Condition, ...]


def all_of(case: Case, told: Mapping[str, Told]) -> bool | None:
    """Whether every condition is met; an empty case is.

    Examples
    --------
    >>> case = read_case({"residential": True}, "when")
    >>> all_of(case, {"residential": True}), all_of(case, {"residential": False}), all_of(case, {})
    (True, False, None)
    """
    return _all(condition.met(told) for condition in case)


def any_of(cases: tuple[Case, ...], told: Mapping[str, Told]) -> bool | None:
    """Whether one of several cases is met; with no case, none is."""
    answers = [all_of(case, told) for case in cases]
    return True if True in answers else None if None in answers else False


def _all(answers: Iterable[bool | None]) -> bool | None:
    """Return False if one is, else None if one is, else True."""
    found = set(answers)
    return False if False in found else None if None in found else True


def _within(value: Range, operator: str, figure: Figure) -> bool | None:
    """Whether a whole range meets a bound; None if only a part of it does."""
    low, high = figure.is_met(operator, value.low), figure.is_met(operator, value.high)
    return low if low == high else None


def read_case(raw: object, field: str) -> Case:
    """Conditions from a table of a rules pack: ``{ roof_slope = ">4:12", residential = true }``.

    Parameters
    ----------
    raw : mapping of fact to condition
        A yes or no, a word or several, ``!=`` and a word, or an operator and a figure.
    field : str
        Where it stands, for the error.

    Raises
    ------
    RulesError, QuantityError
        For an unknown fact, or a condition of another kind than the fact.

    Examples
    --------
    >>> [str(condition) for condition in read_case({"power_line_voltage": [">50 kV", "<=200 kV"]}, "when")]
    ['power_line_voltage > 50 kV and power_line_voltage <= 200 kV']
    """
    if not isinstance(raw, Mapping):
        raise RulesError(field, raw, "give a table of facts, such as { residential = true }")
    return tuple(_condition(str(name), value, f"{field}.{name}") for name, value in raw.items())


def _condition(name: str, value: object, field: str) -> Condition:
    try:
        fact = find_fact(name)
    except InputError as error:
        raise RulesError(field, name, error.expected) from error
    parts = value if isinstance(value, list) else [value]
    if not parts:
        raise RulesError(field, value, "give at least one condition")
    if fact.dimension:
        return Condition(name, bounds=tuple(_bound(fact, part, field) for part in parts))
    refused = [part[2:].strip() for part in parts if isinstance(part, str) and part.startswith("!=")]
    if refused and len(refused) < len(parts):
        raise RulesError(field, value, "give either words that are meant or words that are not, not both")
    words = tuple(_word(fact, part, field) for part in refused or parts)
    return Condition(name, refused=tuple(map(str, words))) if refused else Condition(name, allowed=words)


def _word(fact: Fact, part: object, field: str) -> bool | str:
    try:
        read = read_fact(fact.name, part)
    except InputError as error:
        raise RulesError(field, part, error.expected) from error
    assert isinstance(read, bool | str)
    return read


def _bound(fact: Fact, part: object, field: str) -> tuple[str, Figure]:
    text = part.strip() if isinstance(part, str) else ""
    operator = next((sign for sign in OPERATORS if text.startswith(sign)), None)  # two-letter signs come first
    if operator is None or fact.dimension is None:
        raise RulesError(field, part, f"give an operator and a figure, such as '<={fact.example}'")
    return operator, read_figure(text[len(operator) :].strip(), fact.dimension, field)
