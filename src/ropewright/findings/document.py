"""A finding as plain data for a JSON document: SI numbers, keys that say their unit."""

from __future__ import annotations

import math
from typing import Any

from ropewright.findings.drawn import Drawn, Share
from ropewright.findings.model import Finding, Place, Remedy, Source
from ropewright.quantity import Dimension

__all__ = ["finding_document", "key_with_unit", "source_document"]

#: SI unit -> what it is called at the end of a key.
_SUFFIX = {
    "N/m": "n_per_m", "m/s": "m_per_s", "kg/m": "kg_per_m", "degC": "degc", "-": "",
}  # fmt: skip


def key_with_unit(name: str, dimension: Dimension | None) -> str:
    """Key of a number, with its SI unit as suffix.

    Examples
    --------
    >>> key_with_unit("peak_force", Dimension.FORCE), key_with_unit("users", Dimension.COUNT)
    ('peak_force_n', 'users')
    """
    unit = dimension.si_unit if dimension else "-"
    suffix = _SUFFIX.get(unit, unit.lower())
    return f"{name}_{suffix}" if suffix else name


def finding_document(finding: Finding) -> dict[str, Any]:
    """Return a finding as a dict that `json.dumps` takes.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    dict
        Numbers in the SI unit that ``unit`` names; what is unknown or not finite is None.

    Examples
    --------
    >>> from ropewright.findings import Verdict
    >>> finding_document(Finding("free-fall", "May I?", Verdict.ASK, "Ask."))["verdict"]
    'ask'
    """
    return {
        "id": finding.id,
        "question": finding.question,
        "verdict": finding.verdict.value,
        "summary": finding.summary,
        "value": _number(finding.value),
        "low": _number(finding.low),
        "high": _number(finding.high),
        "limit": _number(finding.limit),
        "operator": finding.operator,
        "margin": _number(finding.margin),
        "unit": finding.unit,
        "where": _place(finding.where),
        "formula": finding.formula,
        "inputs": {key: _number(one) if isinstance(one, float) else one for key, one in finding.inputs.items()},
        "source": [source_document(source) for source in finding.sources],
        "decide": finding.decide,
        "remedy": None if finding.remedy is None else _remedy(finding.remedy),
        "draws": None if finding.drawn is None else _drawn(finding.drawn),
    }


def source_document(source: Source) -> dict[str, Any]:
    """Return a source as a dict: document, clause, how it is known, and the day it was last compared."""
    return {
        "document": source.document,
        "clause": source.clause,
        "status": source.status.value,
        "compared": source.compared.isoformat() if source.compared else None,
    }


def _place(place: Place) -> dict[str, Any]:
    point = None if place.point is None else dict(zip(("x_m", "y_m", "z_m"), map(_number, place.point), strict=True))
    names = {key: getattr(place, key) for key in ("edge", "worker", "line", "anchor", "opening", "facet", "name")}
    return {"point": point, **names}


def _remedy(remedy: Remedy) -> dict[str, Any]:
    return {
        "text": remedy.text,
        "change": dict(remedy.change),
        "proven": remedy.proven,
        "verdict_after": remedy.verdict_after.value,
        "job_after": remedy.job_after.value if remedy.job_after else None,
    }


def _drawn(drawn: Drawn) -> dict[str, Any]:
    return {
        "count": drawn.draws,
        "spread": [
            {"share": level, "value": _number(value)} for level, value in zip(drawn.levels, drawn.values, strict=True)
        ],
        "holds_here": _share(drawn.here),
        "holds_everywhere": _share(drawn.everywhere),
        "all_hold_everywhere": _share(drawn.together),
        "confidence": 0.95,
        "pin_down": [{"input": one.input, "advice": one.advice, "share": _number(one.share)} for one in drawn.pin_down],
        "text": drawn.text,
        "first": drawn.first,
    }


def _share(share: Share | None) -> dict[str, float] | None:
    return None if share is None else {"share": share.value, "low": share.low, "high": share.high}


def _number(value: float | None) -> float | None:
    """JSON knows no infinity."""
    return float(value) if value is not None and math.isfinite(value) else None
