"""The least change that mends a failed fact, proved by putting the changed facts to the pack again."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from ropewright.findings import Finding, Remedy, Verdict, worst
from ropewright.quantity import Dimension
from ropewright.rules.facts import FACTS, in_words
from ropewright.rules.limits import Kind, Limit

__all__ = ["with_remedy"]


def with_remedy(
    finding: Finding, limit: Limit, again: Callable[[Mapping[str, object]], tuple[Finding, ...]]
) -> Finding:
    """Put the least change to a finding that makes it hold.

    Parameters
    ----------
    finding : Finding
    limit : Limit
        What it was judged by.
    again : callable
        Puts the case with changed facts to the pack.

    Returns
    -------
    Finding
        Unchanged unless it fails and one fact can be brought to where it holds. Where the figure itself is out of
        bounds (less than, more than) there is no least change to name.
    """
    change = _change(limit) if finding.verdict is Verdict.FAILS else None
    if change is None:
        return finding
    (fact, target), text = change
    findings = again({fact: target})
    after = next((one for one in findings if one.id == finding.id), None)
    verdict = after.verdict if after else Verdict.ASK
    told = in_words(target)
    remedy = Remedy(text, {fact: told}, verdict is Verdict.HOLDS, verdict, worst(one.verdict for one in findings))
    return replace(finding, remedy=remedy)


def _change(limit: Limit) -> tuple[tuple[str, object], str] | None:
    """Say what to make of which fact, and how to put it."""
    if limit.kind is Kind.TRIGGER:
        alone = [case[0] for case in limit.unless if len(case) == 1 and case[0].allowed == (True,)]
        if not alone:
            return None
        meaning = FACTS[alone[0].fact].meaning
        return (alone[0].fact, True), f"See to it ({alone[0].fact}): {meaning[0].lower()}{meaning[1:]}"
    if limit.figure is not None and limit.operator in ("<=", ">="):
        way = "down" if limit.operator == "<=" else "up"
        # months and years are the law's own units, which facts are not told in
        target = limit.figure.value if limit.dimension is Dimension.TIME else limit.figure.text
        return (limit.fact, target), f"Bring {limit.fact} {way} to {limit.figure.text}."
    if len(limit.wanted) == 1:
        return (limit.fact, limit.wanted[0]), f"Bring it about that {limit.fact} is {in_words(limit.wanted[0])}."
    return None
