"""Packs, limits and facts as plain data for JSON documents: SI numbers, keys that say their unit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ropewright.findings import Finding, worst
from ropewright.findings.document import finding_document, key_with_unit, source_document
from ropewright.rules.compare import Comparison
from ropewright.rules.conditions import Case
from ropewright.rules.facts import FACTS, Told
from ropewright.rules.limits import Limit
from ropewright.rules.pack import Allowance, Conflict, Definition, Pack

__all__ = [
    "check_document",
    "comparison_document",
    "fact_document",
    "head_document",
    "limit_document",
    "pack_document",
]


def head_document(pack: Pack) -> dict[str, Any]:
    """Return what a pack says of itself."""
    return {
        "id": pack.id,
        "title": pack.title,
        "jurisdiction": pack.jurisdiction,
        "edition": pack.edition,
        "compared": pack.compared.isoformat(),
        "compared_with": pack.compared_with,
        "based_on": pack.based_on or None,
        "limits": len(pack.limits),
        "caution": pack.disclaimer,
    }


def limit_document(limit: Limit) -> dict[str, Any]:
    """Return a limit: as the law writes it, in SI, when it applies, and where it comes from.

    Examples
    --------
    >>> from ropewright.rules import load_pack
    >>> free_fall = limit_document(load_pack("us-construction").limit("free-fall"))
    >>> free_fall["operator"], free_fall["law"], free_fall["value_m"]
    ('<=', '6 ft', 1.8288)
    """
    value: Any = limit.figure.value if limit.figure else None
    if limit.operator == "is":
        value = limit.wanted[0] if len(limit.wanted) == 1 else list(limit.wanted)
    return {
        "id": limit.id,
        "kind": limit.kind.value,
        "fact": limit.fact,
        "operator": limit.operator,
        key_with_unit("value", limit.dimension): value,
        "law": limit.figure.text if limit.figure else None,
        "law_value": limit.law_value,
        "law_unit": limit.law_unit or None,
        "demand": limit.demand,
        "applies_to": limit.applies_to,
        "scope": limit.scope,
        "when": _case(limit.when),
        "unless": [_case(case) for case in limit.unless],
        "grows_with": limit.growth.fact if limit.growth else None,
        "summary": limit.summary,
        "standing": limit.standing.value,
        "past": limit.past.value,
        "decide": limit.decide,
        "confidence": limit.confidence or None,
        "overridden_by": limit.overridden_by or None,
        "source": source_document(limit.source),
    }


def pack_document(pack: Pack, limits: Sequence[Limit] | None = None) -> dict[str, Any]:
    """Return a whole pack, or the limits chosen from it with what belongs to them."""
    chosen = pack.limits if limits is None else tuple(limits)
    facts = {limit.fact for limit in chosen}
    return {
        "pack": head_document(pack),
        "limits": [limit_document(limit) for limit in chosen],
        "definitions": [_definition(one) for one in pack.definitions.values() if limits is None or one.term in facts],
        "allowances": [_allowance(one) for one in pack.allowances.values() if limits is None],
        "conflicts": [_conflict(one) for one in pack.conflicts if limits is None or facts & set(one.about)],
    }


def comparison_document(packs: Sequence[Pack], rows: Sequence[Comparison]) -> dict[str, Any]:
    """Return packs side by side, fact by fact."""
    return {
        "packs": [head_document(pack) for pack in packs],
        "rows": [
            {
                "fact": row.fact,
                "meaning": FACTS[row.fact].meaning,
                "limits": {
                    pack.id: [limit_document(limit) for limit in cell]
                    for pack, cell in zip(packs, row.limits, strict=True)
                },
            }
            for row in rows
        ],
    }


def fact_document(name: str, pack: Pack) -> dict[str, Any]:
    """Return what a fact is and which of a pack's limits judge it."""
    fact = FACTS[name]
    return {
        "fact": name,
        "kind": fact.kind,
        "unit": fact.dimension.si_unit if fact.dimension else None,
        "choices": list(fact.choices) or None,
        "example": fact.example,
        "assumed": fact.assumed,
        "question": fact.question,
        "meaning": fact.meaning,
        "limits": [limit.id for limit in pack.limits if limit.fact == name],
    }


def check_document(pack: Pack, told: dict[str, Told], findings: Sequence[Finding]) -> dict[str, Any]:
    """Return the answer to a question put to a pack; nothing judged is no `holds`."""
    return {
        "pack": pack.id,
        "title": pack.title,
        "verdict": worst(finding.verdict for finding in findings).value,
        "findings": [finding_document(finding) for finding in findings],
        "conflicts": [_conflict(one) for one in pack.conflicts_about(told)],
        "compared": pack.compared.isoformat(),
        "caution": pack.disclaimer,
    }


def _case(case: Case) -> dict[str, Any]:
    return {condition.fact: condition.written for condition in case}


def _definition(definition: Definition) -> dict[str, Any]:
    return {
        "term": definition.term,
        "text": definition.text,
        "counts": sorted(definition.counts),
        "excludes": sorted(definition.excludes),
        "confidence": definition.confidence or None,
        "source": source_document(definition.source),
    }


def _allowance(allowance: Allowance) -> dict[str, Any]:
    ends = {name: getattr(allowance.value, name) for name in ("low", "likely", "high")}
    return {
        "name": allowance.name,
        **{key_with_unit(name, allowance.dimension): value for name, value in ends.items()},
        "text": allowance.text,
        "summary": allowance.summary,
        "confidence": allowance.confidence or None,
        "overridden_by": allowance.overridden_by or None,
        "source": source_document(allowance.source),
    }


def _conflict(conflict: Conflict) -> dict[str, Any]:
    return {
        "id": conflict.id,
        "about": list(conflict.about),
        "text": conflict.text,
        "handling": conflict.handling,
    }
