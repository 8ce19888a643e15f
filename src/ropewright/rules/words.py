"""What a limit asks and where it stands, in one line each."""

from __future__ import annotations

from ropewright.findings import Source
from ropewright.rules.limits import Limit

__all__ = ["cited", "demand_text"]


def demand_text(limit: Limit) -> str:
    """Say what a limit asks, where it applies, and its marks.

    Examples
    --------
    >>> from ropewright.rules import load_pack
    >>> demand_text(load_pack("us-construction").limit("anchor-independent"))
    'yes is wanted'
    """
    text = limit.demand
    if limit.growth:
        text += f", more with {limit.growth.fact}"
    if limit.when:
        text += f" where {' and '.join(map(str, limit.when))}"
    if len(limit.unless) == 1:
        text += f", unless {' and '.join(map(str, limit.unless[0]))}"
    elif limit.unless:
        text += f", unless met in one of {len(limit.unless)} other ways"
    marks = [mark for mark in (limit.standing.label, limit.overridden_by) if mark]
    return f"{text} ({'; '.join(marks)})" if marks else text


def cited(source: Source, confidence: str = "") -> str:
    """Document and clause of a source, and how it is known.

    Examples
    --------
    >>> from ropewright.rules import load_pack
    >>> cited(load_pack("us-construction").limit("anchor-independent").source)
    '29 CFR 1926.502(d)(15) (read)'
    """
    place = f"{source.document} {source.clause}".strip()
    sure = f", {confidence} confidence" if confidence else ""
    return f"{place} ({source.status.value}{sure})"
