"""Rules for people to read: plain text, worst first, no line over 100 characters."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TypeVar

from ropewright.findings import Finding, Verdict, worst
from ropewright.rules import FACTS, Allowance, Comparison, Conflict, Definition, Limit, Pack
from ropewright.rules.facts import Told
from ropewright.rules.words import cited, demand_text

__all__ = ["answers", "comparison", "explained", "fact_list", "pack_list", "whole_pack"]

_T = TypeVar("_T")
_WIDTH = 100
_ANSWER = {
    Verdict.HOLDS: "holds",
    Verdict.DOUBTFUL: "doubtful",
    Verdict.ASK: "must be asked",
    Verdict.FAILS: "fails",
}


def pack_list(packs: Sequence[Pack]) -> str:
    """Return one paragraph a pack, and what to do next."""
    lines: list[str] = []
    for pack in packs:
        lines += [pack.id, *_wrapped(f"{pack.title}: {len(pack.limits)} limits. {pack.jurisdiction}.", 4)]
        lines += [*_wrapped(f"{pack.edition}. Compared {pack.compared.isoformat()}.", 4), ""]
    lines += _wrapped("Next: ropewright rules explain PACK, rules facts PACK, or rules check PACK fact=value ...")
    return "\n".join(lines)


def whole_pack(pack: Pack) -> str:
    """Return all of a pack: what it is, its limits by fact, its terms, sums and conflicts."""
    lines = _head(pack)
    by_fact: dict[str, list[Limit]] = {}
    for limit in pack.limits:
        by_fact.setdefault(limit.fact, []).append(limit)
    for fact, limits in sorted(by_fact.items()):
        lines += [*_wrapped(f"{fact}: {FACTS[fact].meaning}")]
        for limit in limits:
            lines += _wrapped(f"{limit.id}: {demand_text(limit)} [{cited(limit.source, limit.confidence)}]", 4)
        lines.append("")
    lines += _section("Terms", pack.definitions.values(), _definition)
    lines += _section("Terms of the fall distance and of strength", pack.allowances.values(), _allowance)
    lines += _section("Where texts disagree", pack.conflicts, _conflict)
    return "\n".join([*lines, *_wrapped(f"Caution: {pack.disclaimer}")])


def explained(pack: Pack) -> str:
    """Return everything that is left in a pack cut down to one name."""
    lines = [*_wrapped(f"{pack.title} ({pack.id})"), ""]
    for limit in pack.limits:
        lines += [*_limit(limit), ""]
    lines += _section("Terms", pack.definitions.values(), _definition)
    lines += _section("Terms of the fall distance and of strength", pack.allowances.values(), _allowance)
    lines += _section("Where texts disagree", pack.conflicts, _conflict)
    return "\n".join([*lines, *_wrapped(f"Caution: {pack.disclaimer}")])


def comparison(packs: Sequence[Pack], rows: Iterable[Comparison]) -> str:
    """Return packs side by side, fact by fact."""
    lines: list[str] = []
    longest = max(len(pack.id) for pack in packs) + 2
    for row in rows:
        lines += _wrapped(f"{row.fact}: {FACTS[row.fact].meaning}")
        for pack, limits in zip(packs, row.limits, strict=True):
            said = [f"{demand_text(limit)} [{cited(limit.source, limit.confidence)}]" for limit in limits]
            for i, text in enumerate(said or ["says nothing"]):
                lines += _wrapped(text, 4 + longest, first=f"    {pack.id if i == 0 else '':<{longest}}")
        lines.append("")
    lines += [*_wrapped(f"Caution: {packs[0].disclaimer}")]
    return "\n".join(lines)


def answers(pack: Pack, told: Mapping[str, Told], findings: Sequence[Finding]) -> str:
    """Return the answer to a question, worst first."""
    overall = worst(finding.verdict for finding in findings)
    lines = [*_wrapped(f"{pack.title}: {_ANSWER[overall]}."), ""]
    if not findings:
        lines += [*_wrapped("Nothing that was told is judged by this pack, so nothing was shown to hold."), ""]
    for finding in findings:
        lines += [*_answer(finding), ""]
    lines += _section("Where texts disagree on this", pack.conflicts_about(told), _conflict)
    lines += _wrapped("Only what was told was judged; 'ropewright rules facts " + pack.id + "' lists what else counts.")
    return "\n".join([*lines, *_wrapped(f"Caution: {pack.disclaimer}")])


def fact_list(pack: Pack) -> str:
    """Return the facts that a pack can be told, with their kind and an example."""
    lines: list[str] = []
    for name in pack.facts_told:
        fact = FACTS[name]
        example = f"{name}={fact.example!r}" if " " in fact.example else f"{name}={fact.example}"
        kind = f"one of {', '.join(fact.choices)}" if 0 < len(fact.choices) <= 6 else fact.kind
        lines += [*_wrapped(f"{name} ({kind}): {fact.meaning}"), *_wrapped(f"for example {example}", 4)]
    lines += ["", *_wrapped(f"Next: ropewright rules check {pack.id} fact=value ...")]
    return "\n".join(lines)


def _head(pack: Pack) -> list[str]:
    lines = _wrapped(f"{pack.title} ({pack.id})")
    for label, text in (("For", pack.jurisdiction), ("Texts", pack.edition)):
        lines += _wrapped(f"{label}: {text}")
    lines += _wrapped(f"Compared {pack.compared.isoformat()} with {pack.compared_with}")
    return [*lines, ""]


def _answer(finding: Finding) -> list[str]:
    lines = _wrapped(f"{_ANSWER[finding.verdict].upper()}: {finding.question}")
    lines += _wrapped(finding.summary, 4)
    if finding.decide:
        lines += _wrapped(f"To decide: {finding.decide}.", 4)
    if finding.remedy:
        proof = "; then this holds" if finding.remedy.proven else "; then ask again, since not all is told"
        lines += _wrapped(f"Mend: {finding.remedy.text.rstrip('.')}{proof}.", 4)
    sources = "; ".join(cited(source) for source in finding.sources)
    return lines + _wrapped(f"Source: {sources}.", 4)


def _limit(limit: Limit) -> list[str]:
    lines = _wrapped(f"{limit.id}: {demand_text(limit)}")
    lines += _wrapped(limit.summary, 4)
    said = [
        ("Judges", f"{limit.fact}, said of: {limit.applies_to}"),
        ("Applies", " and ".join(map(str, limit.when)) or limit.scope),
        ("Or instead", "; or ".join(" and ".join(map(str, case)) for case in limit.unless)),
        ("To decide", limit.decide),
        ("Mark", limit.caveat),
        ("Source", f"{cited(limit.source, limit.confidence)}, compared {limit.source.compared}"),
    ]
    for label, text in said:
        lines += _wrapped(f"{label}: {text}", 4) if text else []
    return lines


def _definition(definition: Definition) -> list[str]:
    lines = _wrapped(f"{definition.term}: {definition.text}", 4)
    for label, parts in (("counts", definition.counts), ("leaves out", definition.excludes)):
        lines += _wrapped(f"{label}: {', '.join(sorted(parts))}", 8) if parts else []
    return lines + _wrapped(cited(definition.source, definition.confidence), 8)


def _allowance(allowance: Allowance) -> list[str]:
    mark = f" ({allowance.overridden_by})" if allowance.overridden_by else ""
    text = f"{allowance.name}: {allowance.text}. {allowance.summary}{mark}"
    return [*_wrapped(text, 4), *_wrapped(cited(allowance.source, allowance.confidence), 8)]


def _conflict(conflict: Conflict) -> list[str]:
    return [*_wrapped(f"{conflict.text}", 4), *_wrapped(f"Here: {conflict.handling}", 8)]


def _section(title: str, items: Iterable[_T], show: Callable[[_T], list[str]]) -> list[str]:
    lines = [line for item in items for line in show(item)]
    return [f"{title}:", *lines, ""] if lines else []


def _wrapped(text: str, indent: int = 0, *, first: str | None = None) -> list[str]:
    pad = " " * indent
    return textwrap.wrap(text, _WIDTH, initial_indent=pad if first is None else first, subsequent_indent=pad)
