"""A user's own rules laid over a pack: stricter and further ones go in, looser ones only by somebody's decision."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from ropewright.errors import InputError, RulesError
from ropewright.findings import SEVERITY
from ropewright.quantity import Dimension
from ropewright.rules.limits import Growth, Limit
from ropewright.rules.pack import Allowance, Definition, Pack
from ropewright.rules.rows import Row, all_read, read_allowance, read_conflict, read_definition, read_limit

__all__ = ["overlaid"]

_DECISION = ("decided_by", "decided_on", "reason")
_SOURCE = ("document", "clause", "status", "confidence", "compared")


@dataclass(frozen=True, slots=True)
class _Local:
    """What the local file says of itself."""

    id: str
    title: str
    compared: date


def overlaid(
    base: Pack,
    head: Row,
    limits: Iterable[Row],
    definitions: Mapping[str, Row],
    allowances: Mapping[str, Row],
    conflicts: Iterable[Row],
    faults: list[InputError],
) -> Pack:
    """Pack with local rules laid over it.

    Parameters
    ----------
    base : Pack
    head, limits, definitions, allowances, conflicts
        What the local file holds.
    faults : list
        Faults are added to it, so that all are reported at once.

    Returns
    -------
    Pack
        Of no use if there were faults.

    Notes
    -----
    A limit with the id of one of the pack's replaces it; what it does not say stays. Looser is whatever could turn an
    answer for the better: a figure further out, one more excuse, one more condition, a remembered figure taken as
    confirmed. That is refused unless the file says ``decided_by``, ``decided_on`` and ``reason``.
    """
    local = _local(base, head, faults)
    new_limits = all_read(lambda row: _limit(base, local, row), list(limits), faults)
    new_definitions = all_read(lambda item: _definition(base, local, item[0], item[1]), definitions.items(), faults)
    new_allowances = all_read(lambda item: _allowance(base, local, item[0], item[1]), allowances.items(), faults)
    new_conflicts = all_read(read_conflict, list(conflicts), faults)
    ids = [limit.id for limit in new_limits]
    faults += [
        RulesError("limit", name, "this id is taken; give each limit its own")
        for name in {i for i in ids if ids.count(i) > 1}
    ]
    replaced = {limit.id: limit for limit in new_limits}
    kept = tuple(replaced.pop(limit.id, limit) for limit in base.limits)
    return replace(
        base,
        id=local.id,
        title=local.title,
        jurisdiction=str(head.get("jurisdiction", base.jurisdiction)),
        edition=f"{head['edition']}; over {base.edition}" if head.get("edition") else base.edition,
        disclaimer=" ".join(filter(None, (str(head.get("disclaimer", "")), base.disclaimer))),
        limits=kept + tuple(replaced.values()),
        definitions={**base.definitions, **{one.term: one for one in new_definitions}},
        allowances={**base.allowances, **{one.name: one for one in new_allowances}},
        conflicts=base.conflicts + tuple(new_conflicts),
        based_on=base.id,
    )


def _local(base: Pack, head: Row, faults: list[InputError]) -> _Local:
    for key, expected in (("id", "give the rules an id"), ("title", "give the rules a title")):
        if not isinstance(head.get(key), str) or not head[key].strip():
            faults.append(RulesError(key, head.get(key), expected))
    compared = head.get("compared", base.compared)
    if not isinstance(compared, date):
        faults.append(RulesError("compared", compared, "give a day, such as 2026-11-25 without quotes"))
        compared = base.compared
    return _Local(str(head.get("id", "")), str(head.get("title", "")), compared)


def _limit(base: Pack, local: _Local, row: Row) -> Limit:
    decision, plain = _decision(row, f"limit {row.get('id', '')}")
    old = base.limit(str(row.get("id")))
    own = {"document": local.title, "status": "user", **plain}
    if old is None:
        limit = read_limit({"standing": "local", **own}, local.compared)
        if limit.family and any(one.family == limit.family for one in base.limits):
            raise RulesError(f"limit {limit.id}.family", limit.family, "this family is the pack's; leave it out")
        return replace(limit, scope=limit.scope or base.scope, overridden_by=f"added by {local.title}")
    kept = {key: value for key, value in _row_of(old).items() if key not in _SOURCE}
    limit = read_limit({**kept, **own}, local.compared)
    _same_question(limit, old)
    looser = list(_looser(limit, old))
    if looser and not decision:
        raise _refused(f"limit {old.id}", plain.get("value", limit.id), looser, f"{old.demand} ({old.source})")
    if "summary" not in plain:
        limit = replace(limit, summary=f"{local.title}: {limit.demand}. The pack: {old.summary}")
    return replace(limit, overridden_by=_said(local, decision, looser, f"{old.demand} ({old.source})"))


def _same_question(new: Limit, old: Limit) -> None:
    """Refuse a replacement that asks something else; it would drop the pack's question."""
    for key in ("fact", "applies_to", "kind", "family"):
        if getattr(new, key) != getattr(old, key):
            raise RulesError(
                f"limit {old.id}.{key}",
                str(getattr(new, key)),
                f"it is {str(getattr(old, key))!r} here; use another id",
            )
    if new.safe_operator[0] != old.safe_operator[0]:
        raise RulesError(f"limit {old.id}.operator", new.operator, f"it points the other way than {old.operator!r}")


def _looser(new: Limit, old: Limit) -> Iterator[str]:
    """Whatever could turn an answer for the better."""
    if new.operator == "is":
        if not set(new.wanted) <= set(old.wanted):
            yield "it allows other answers"
    elif new.strictness < old.strictness:
        yield "its figure is looser"
    if not set(new.when) <= set(old.when):
        yield "it applies under further conditions only"
    if not set(new.unless) <= set(old.unless):
        yield "it adds an excuse"
    if SEVERITY[new.past] < SEVERITY[old.past]:
        yield "it asks where the pack fails"
    if new.settles and not old.settles:
        yield f"it takes as confirmed a figure that the pack has from {old.source.status}"
    if old.required and not new.required:
        yield "it is no longer asked when it applies"
    if new.growth != old.growth:
        yield "its figure grows otherwise"


def _definition(base: Pack, local: _Local, term: str, row: Row) -> Definition:
    decision, plain = _decision(row, f"definition {term}")
    new, old = (
        read_definition(term, {"document": local.title, "status": "user", **plain}, local.compared),
        base.definition(term),
    )
    if old and not decision and not (new.counts >= old.counts and new.excludes <= old.excludes):
        raise _refused(f"definition {term}", new.text, ["it counts less"], f"counts {', '.join(sorted(old.counts))}")
    if old is None or not decision:
        return new
    return replace(new, text=f"{new.text} ({_said(local, decision, ['it counts otherwise'], old.text)})")


def _allowance(base: Pack, local: _Local, name: str, row: Row) -> Allowance:
    decision, plain = _decision(row, f"allowance {name}")
    new, old = (
        read_allowance(name, {"document": local.title, "status": "user", **plain}, local.compared),
        base.allowance(name),
    )
    if old is None:
        return replace(new, overridden_by=f"added by {local.title}")
    if new.dimension is not old.dimension:
        raise RulesError(f"allowance {name}.dimension", new.dimension.value, f"it is a {old.dimension.value} here")
    ends = ((new.value.low, old.value.low), (new.value.likely, old.value.likely), (new.value.high, old.value.high))
    # a length adds to what is needed, so more is stricter; a ratio is what is left of a strength, so less is
    stricter = all(a <= b for a, b in ends) if old.dimension is Dimension.RATIO else all(a >= b for a, b in ends)
    looser = [] if stricter else ["its figure is looser"]
    if looser and not decision:
        raise _refused(f"allowance {name}", new.text, looser, f"{old.text} ({old.source})")
    return replace(new, overridden_by=_said(local, decision, looser, f"{old.text} ({old.source})"))


def _decision(row: Row, field: str) -> tuple[str, dict[str, Any]]:
    """Take the decision out of a row: its text, empty without one, and what is left of the row."""
    plain = {key: value for key, value in row.items() if key not in _DECISION}
    given = [key for key in _DECISION if row.get(key)]
    if not given:
        return "", plain
    for key in _DECISION:
        value = row.get(key)
        good = (
            isinstance(value, date) and not isinstance(value, datetime)
            if key == "decided_on"
            else isinstance(value, str)
        )
        if not value or not good:
            right = "a day, such as 2026-11-25 without quotes" if key == "decided_on" else "a text"
            raise RulesError(f"{field}.{key}", value, f"a decision needs all of {', '.join(_DECISION)}; give {right}")
    return f"{row['decided_by']} on {row['decided_on'].isoformat()}: {row['reason']}", plain


def _refused(field: str, value: object, looser: list[str], pack: str) -> RulesError:
    return RulesError(
        field, value, f"{', '.join(looser)}; the pack says: {pack}; to loosen it, say decided_by, decided_on and reason"
    )


def _said(local: _Local, decision: str, looser: list[str], pack: str) -> str:
    how = "looser" if looser else "replaced"
    who = f" by decision of {decision}" if decision else f" by {local.title}"
    return f"{how}{who}; the pack says: {pack}"


def _row_of(limit: Limit) -> dict[str, Any]:
    """Return a limit as its row in a file, so that a replacement can keep what it does not say."""
    value: object = limit.figure.text if limit.figure else list(limit.wanted) or None
    if limit.figure and not limit.figure.unit:
        value = limit.figure.number
    row: dict[str, Any] = {
        **{
            key: str(getattr(limit, key))
            for key in ("id", "kind", "fact", "operator", "applies_to", "scope", "summary")
        },
        **{key: str(getattr(limit, key)) for key in ("past", "decide", "standing", "family")},
        "required": limit.required,
        "when": {condition.fact: condition.written for condition in limit.when},
        "unless": [{condition.fact: condition.written for condition in case} for case in limit.unless],
    }
    if value is not None:
        row["value"] = value
    if limit.growth:
        row["growth"] = _growth_row(limit.growth)
    return row


def _growth_row(growth: Growth) -> dict[str, Any]:
    parts = {key: getattr(growth, key) for key in ("above", "each", "adds")}
    plain = {key: figure.text if figure.unit else figure.number for key, figure in parts.items()}
    return {"fact": growth.fact, **plain, "whole": growth.whole}
