"""Intervals of inspection that a rules pack asks for, by kind of gear, as plain data that a record can keep."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from ropewright.findings import Source
from ropewright.rules.limits import Limit
from ropewright.rules.pack import Pack

__all__ = ["intervals_in_force"]

#: Facts whose figure is the longest time between two inspections.
_RHYTHMS = ("examination_age", "anchor_inspection_age")
_CALENDAR = {"months": "months", "years": "years", "d": "days", "days": "days", "weeks": "weeks"}
#: What a rule is said of -> kinds of gear it binds, empty for all. A rule of rope descent binds its own gear alone.
_KINDS: Mapping[str, tuple[str, ...]] = {"system": (), "harness": ("harness",), "anchor": ("anchor",)}


def intervals_in_force(pack: Pack, kind: str, facts: Mapping[str, object] | None = None) -> dict[str, Any]:
    """Intervals of inspection of a kind of gear under a pack.

    Parameters
    ----------
    pack : Pack
    kind : str
        ``rope``, ``harness``, ``anchor``, ...
    facts : mapping of fact to value, optional
        What is known of the case, such as ``rope_access``. A rule that can't be excluded counts.

    Returns
    -------
    dict
        ``pack``, ``edition`` and ``compared``; ``inspect``, a list of rows with ``every`` (a calendar span),
        ``document``, ``clause``, ``status`` and ``note``; and ``before_use``, a list of rows without ``every``.
        Both lists may be empty: then the pack says nothing, and nothing is made up.

    Examples
    --------
    >>> from ropewright.rules import load_pack
    >>> [row["every"] for row in intervals_in_force(load_pack("australia-nz"), "harness")["inspect"]]
    ['6 months']
    >>> found = intervals_in_force(load_pack("us-construction"), "rope")
    >>> found["inspect"], [row["clause"] for row in found["before_use"]]
    ([], ['1926.502(d)(21)'])
    """
    known = dict(facts or {})
    return {
        "pack": pack.id,
        "edition": pack.edition,
        "compared": pack.compared.isoformat(),
        "inspect": [{"every": _span(limit), **_row(limit)} for limit in _rhythms(pack, kind, known)],
        "before_use": [_row(limit) for limit in _applying(pack, "inspected_before_use", kind, known)],
    }


def _rhythms(pack: Pack, kind: str, facts: Mapping[str, object]) -> Iterator[Limit]:
    for fact in _RHYTHMS:
        if fact == "anchor_inspection_age" and kind != "anchor":
            continue
        yield from (limit for limit in _applying(pack, fact, kind, facts) if limit.figure is not None)


def _applying(pack: Pack, fact: str, kind: str, facts: Mapping[str, object]) -> Iterator[Limit]:
    for limit in pack.limits_for(fact, facts):
        kinds = _KINDS.get(limit.applies_to)
        if kinds is not None and (not kinds or kind in kinds):
            yield limit


def _span(limit: Limit) -> str:
    """Calendar span of a figure: ``12 months``."""
    figure = limit.figure
    assert figure is not None, "only limits with a figure have a span"
    unit = _CALENDAR.get(figure.unit)
    if unit is None or figure.number != int(figure.number):
        raise ValueError(f"{limit.id}: {figure.text} is no calendar span")
    return f"{int(figure.number)} {unit.removesuffix('s') if figure.number == 1 else unit}"


def _row(limit: Limit) -> dict[str, str]:
    source: Source = limit.source
    return {
        "document": source.document,
        "clause": source.clause,
        "status": source.status.value,
        "note": " ".join(filter(None, (limit.summary, limit.caveat and f"({limit.caveat})"))),
    }
