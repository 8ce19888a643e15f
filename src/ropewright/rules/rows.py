"""Rows of a rules pack as they stand in its file -> limits, definitions, allowances and conflicts."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Collection, Mapping
from datetime import date, datetime
from typing import Any, TypeVar

from ropewright.errors import InputError, RulesError
from ropewright.findings import Source, SourceStatus, Verdict
from ropewright.quantity import Dimension, parse_range
from ropewright.rules.conditions import read_case
from ropewright.rules.facts import Fact, find_fact, read_fact
from ropewright.rules.figure import OPERATORS, read_figure
from ropewright.rules.limits import Growth, Kind, Limit, Standing
from ropewright.rules.pack import Allowance, Conflict, Definition

__all__ = ["Row", "all_read", "read_allowance", "read_conflict", "read_definition", "read_limit"]

#: A table of a pack's file.
Row = Mapping[str, Any]
_T = TypeVar("_T")

_SOURCE = {"document", "clause", "status", "confidence", "compared"}
_LIMIT = _SOURCE | {
    "id", "kind", "fact", "operator", "value", "when", "unless", "applies_to", "scope", "summary", "past", "decide",
    "standing", "required", "family", "growth", "overridden_by",
}  # fmt: skip
_DEFINITION = _SOURCE | {"text", "counts", "excludes"}
_ALLOWANCE = _SOURCE | {"value", "dimension", "summary", "overridden_by"}
_CONFLICT = {"id", "about", "text", "handling"}
_GROWTH = {"fact", "above", "each", "adds", "whole"}


def read_limit(row: Row, compared: date) -> Limit:
    """Limit of a row.

    Parameters
    ----------
    row : mapping
        As `tomllib` reads it.
    compared : date
        Of the pack, where the row has none of its own.

    Raises
    ------
    RulesError, QuantityError
        Saying which key of which limit is wrong, and what would be right.
    """
    name = _text(row, "id", "limit", "give the limit an id, such as 'free-fall'")
    field = f"limit {name}"
    _no_other_keys(row, _LIMIT, field)
    fact = _fact(row, field)
    operator = _one_of(row, "operator", (*OPERATORS, "is"), field)
    kind = Kind(_one_of(row, "kind", [kind.value for kind in Kind], field, Kind.LIMIT))
    _fits(fact, operator, kind, field)
    value = row.get("value")
    figure = read_figure(value, fact.dimension, f"{field}.value") if fact.dimension and value is not None else None
    decide = _text(row, "decide", field, "")
    past = Verdict(_one_of(row, "past", ("fails", "ask"), field, "fails"))
    if not decide and (past is Verdict.ASK or kind is Kind.TRIGGER or (fact.dimension and figure is None)):
        raise RulesError(f"{field}.decide", None, "say what a person must decide, since the answer can be 'ask'")
    source, confidence = _source(row, field, compared)
    if not decide and not source.status.settles:
        decide = f"confirm this figure in {source.document} before relying on it"
    return Limit(
        id=name,
        fact=fact.name,
        operator=operator,
        figure=figure,
        wanted=() if fact.dimension else _wanted(fact, value, field),
        applies_to=_text(row, "applies_to", field, "say what it is said of, such as 'person' or 'line'"),
        summary=_text(row, "summary", field, "say in own words what it asks"),
        source=source,
        kind=kind,
        when=read_case(row.get("when", {}), f"{field}.when"),
        unless=tuple(read_case(case, f"{field}.unless") for case in _list(row, "unless", field)),
        scope=_text(row, "scope", field, ""),
        confidence=confidence,
        past=past,
        decide=decide,
        standing=Standing(_one_of(row, "standing", [one.value for one in Standing], field, Standing.LAW)),
        required=row.get("required", False) is True,
        family=_text(row, "family", field, ""),
        growth=_growth(row, fact, field),
        overridden_by=_text(row, "overridden_by", field, ""),
    )


def read_definition(term: str, row: Row, compared: date) -> Definition:
    """Read the definition of a term from its row; raises as `read_limit`."""
    field = f"definition {term}"
    _no_other_keys(row, _DEFINITION, field)
    source, confidence = _source(row, field, compared)
    counts, excludes = (frozenset(map(str, _list(row, key, field))) for key in ("counts", "excludes"))
    return Definition(term, _text(row, "text", field, "give the definition"), counts, excludes, source, confidence)


def read_allowance(name: str, row: Row, compared: date) -> Allowance:
    """Read the allowance of a name from its row; raises as `read_limit`."""
    field = f"allowance {name}"
    _no_other_keys(row, _ALLOWANCE, field)
    dimension = Dimension(_one_of(row, "dimension", [one.value for one in Dimension], field, Dimension.LENGTH))
    source, confidence = _source(row, field, compared)
    return Allowance(
        name=name,
        value=parse_range(row.get("value"), dimension, f"{field}.value"),
        dimension=dimension,
        text=str(row.get("value")),
        summary=_text(row, "summary", field, "say what it is for"),
        source=source,
        confidence=confidence,
        overridden_by=_text(row, "overridden_by", field, ""),
    )


def read_conflict(row: Row) -> Conflict:
    """Read a conflict from its row; raises as `read_limit`."""
    name = _text(row, "id", "conflict", "give the conflict an id")
    field = f"conflict {name}"
    _no_other_keys(row, _CONFLICT, field)
    about = tuple(find_fact(str(fact)).name for fact in _list(row, "about", field))
    text, handling = (_text(row, key, field, f"give its {key}") for key in ("text", "handling"))
    return Conflict(name, about, text, handling)


def _source(row: Row, field: str, compared: date) -> tuple[Source, str]:
    status = SourceStatus(_one_of(row, "status", [status.value for status in SourceStatus], field))
    confidence = _one_of(row, "confidence", ("high", "medium", "low"), field, "")
    if (status is SourceStatus.MEMORY) != bool(confidence):
        raise RulesError(f"{field}.confidence", confidence or None, "a figure from memory, and no other, has one")
    day = row.get("compared", compared)
    if not isinstance(day, date) or isinstance(day, datetime):
        raise RulesError(f"{field}.compared", day, "give a day, such as 2026-11-25 without quotes")
    document = _text(row, "document", field, "name the document that it comes from")
    return Source(document, _text(row, "clause", field, ""), status, day), confidence


def _fact(row: Row, field: str) -> Fact:
    try:
        return find_fact(_text(row, "fact", field, "name the fact that it judges"))
    except RulesError as error:
        raise RulesError(f"{field}.fact", error.value, error.expected) from error


def _fits(fact: Fact, operator: str, kind: Kind, field: str) -> None:
    """Refuse an operator that the fact can't be held against."""
    if (fact.dimension is None) != (operator == "is"):
        right = f"{fact.name} takes {', '.join(OPERATORS)}" if fact.dimension else f"{fact.name} takes 'is'"
        raise RulesError(f"{field}.operator", operator, right)
    if kind is Kind.TRIGGER and operator == "is":
        raise RulesError(f"{field}.kind", kind.value, "only a figure can be a trigger")


def _wanted(fact: Fact, value: object, field: str) -> tuple[bool | str, ...]:
    answers = value if isinstance(value, list) else [value]
    try:
        read = tuple(read_fact(fact.name, answer) for answer in answers)
    except InputError as error:
        raise RulesError(f"{field}.value", value, error.expected) from error
    if not read:
        raise RulesError(f"{field}.value", value, fact.advice)
    return tuple(one for one in read if isinstance(one, bool | str))


def _growth(row: Row, judged: Fact, field: str) -> Growth | None:
    raw = row.get("growth")
    if raw is None:
        return None
    field = f"{field}.growth"
    if not isinstance(raw, Mapping) or not {"fact", "above", "each", "adds"} <= raw.keys() <= _GROWTH:
        raise RulesError(
            field, raw, "give { fact = ..., above = ..., each = ..., adds = ... }, and whole = true or not"
        )
    fact = _fact(raw, field)
    if fact.dimension is None or judged.dimension is None:
        raise RulesError(f"{field}.fact", fact.name, "a figure can grow only with a figure")
    above, each = (read_figure(raw[key], fact.dimension, f"{field}.{key}") for key in ("above", "each"))
    adds = read_figure(raw["adds"], judged.dimension, f"{field}.adds")
    if each.value <= 0 or adds.value <= 0:
        raise RulesError(field, raw, "steps and what they add are more than 0")
    return Growth(fact.name, above, each, adds, raw.get("whole") is True)


def _text(row: Row, key: str, field: str, required: str) -> str:
    """Return a text of a row; what is required and missing is an error that says so."""
    value = row.get(key, "")
    if not isinstance(value, str) or (required and not value.strip()):
        raise RulesError(f"{field}.{key}", value if value != "" else None, required or "give a text in quotes")
    return value.strip()


def _list(row: Row, key: str, field: str) -> list[Any]:
    value = row.get(key, [])
    if not isinstance(value, list):
        raise RulesError(f"{field}.{key}", value, "give a list in square brackets")
    return value


def _one_of(row: Row, key: str, allowed: Collection[str], field: str, default: str | None = None) -> str:
    value = row.get(key, default)
    if value not in allowed and (value != default or value is None):
        near = difflib.get_close_matches(str(value), allowed, n=1)
        hint = f"did you mean {near[0]!r}? " if near else ""
        raise RulesError(f"{field}.{key}", value, f"{hint}give one of {', '.join(allowed)}")
    return str(value)


def _no_other_keys(row: Row, known: Collection[str], field: str) -> None:
    for key in row:
        if key not in known:
            near = difflib.get_close_matches(key, known, n=1)
            hint = f", did you mean {near[0]!r}?" if near else ""
            raise RulesError(f"{field}.{key}", row[key], f"there is no such key here{hint}")


def all_read(read: Callable[[Any], _T], rows: Collection[Any], faults: list[InputError]) -> list[_T]:
    """Read every row, setting aside the faults, so that all are reported at once."""
    found = []
    for row in rows:
        try:
            found.append(read(row))
        except InputError as error:
            faults.append(error)
    return found
