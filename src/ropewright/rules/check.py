"""Facts put to a pack: one finding for each question that they raise."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from ropewright.findings import SEVERITY, Finding, Verdict
from ropewright.findings.document import key_with_unit
from ropewright.quantity import Range
from ropewright.rules.conditions import Case, all_of
from ropewright.rules.facts import FACTS, Told, assume, find_fact, in_words, read_facts
from ropewright.rules.limits import Judgement, Kind, Limit
from ropewright.rules.mend import with_remedy
from ropewright.rules.pack import Pack

__all__ = ["check"]


@dataclass(frozen=True, slots=True)
class _Answer:
    """What one limit says of a case."""

    limit: Limit
    verdict: Verdict
    judged: Judgement
    text: str
    decide: str
    certain: bool


def check(pack: Pack, facts: Mapping[str, object], *, only: Collection[str] | None = None) -> tuple[Finding, ...]:
    """Put facts to a pack.

    Parameters
    ----------
    pack : Pack
    facts : mapping of fact to value
        Figures in SI, as `Range` or as text with a unit; yes or no; words. None: the fact matters, but nobody knows.
    only : collection of str, optional
        Give the findings about these facts only; the others still decide which limits apply.

    Returns
    -------
    tuple of Finding
        Worst first. What nobody knows is asked, and so is a figure that the pack's text does not give, or that it
        gives from memory.

    Raises
    ------
    RulesError, QuantityError
        For an unknown fact, or one told as something else than it takes.

    Examples
    --------
    >>> from ropewright.rules import load_pack
    >>> [f.verdict.value for f in check(load_pack("us-construction"), {"free_fall": "7 ft"})]
    ['fails']
    """
    for name in (*facts, *(only or ())):
        find_fact(name)
    told = read_facts(facts)
    unknown = [name for name, value in facts.items() if value is None]
    found = list(_judged(pack, told))
    found += [*_untold(pack, told, unknown), *_unruled(pack, told, {limit.fact for limit, _ in found})]
    chosen = [
        with_remedy(finding, limit, lambda changed: _again(pack, told, changed))
        for limit, finding in found
        if only is None or limit.fact in only
    ]
    return tuple(sorted(chosen, key=lambda finding: (-SEVERITY[finding.verdict], finding.id)))


def _again(pack: Pack, told: Mapping[str, Told], changed: Mapping[str, object]) -> tuple[Finding, ...]:
    """Judge the same case with some facts changed, to prove a remedy."""
    return tuple(finding for _, finding in _judged(pack, {**told, **read_facts(changed)}))


def _judged(pack: Pack, told: Mapping[str, Told]) -> Iterator[tuple[Limit, Finding]]:
    """Every question on a fact that is told; limits of one family answer it together."""
    case = assume(told)
    reached = {
        limit.fact
        for limit in pack.limits
        if limit.fact in told and (limit.applies(case) is not False or limit.applies(told) is False)
    }
    families: dict[str, list[_Answer]] = {}
    for limit in pack.limits:
        # Where nothing but assumptions rules out every limit of a fact that was told, none is ruled out.
        known = case if limit.fact in reached else told
        if limit.fact in told and limit.applies(known) is not False:
            families.setdefault(limit.family or limit.id, []).append(_answer(limit.at(known), known))
    for answers in families.values():
        counting = _that_count(answers)
        yield counting[0].limit, _finding(counting, told)


def _answer(limit: Limit, known: Mapping[str, Told]) -> _Answer:
    value, certain = known[limit.fact], limit.applies(known) is True
    judged = limit.judge(value.low, value.high) if isinstance(value, Range) else limit.judge(value)
    verdict, text, decide = judged.verdict, judged.text, limit.decide
    if _is_past(limit, value):
        verdict, text = _instead(limit, verdict, text, known)
        decide = decide or f"tell {', '.join(_untold_of(limit.unless, known))}: it may satisfy the law instead"
    if not certain and verdict is not Verdict.HOLDS:
        missing = _untold_of((limit.when,), known)
        verdict, text = Verdict.ASK, f"{text}; applies where {' and '.join(map(str, limit.when))}"
        decide = f"tell {', '.join(missing)}: it decides whether this limit applies"
    return _Answer(limit, verdict, judged, text, decide if verdict is Verdict.ASK else "", certain)


def _is_past(limit: Limit, value: Told) -> bool:
    """Return whether any part of what is told does not meet the limit."""
    if isinstance(value, Range):
        if limit.figure is None:
            return False
        return not all(limit.figure.is_met(limit.safe_operator, end) for end in (value.low, value.high))
    return value not in limit.wanted


def _instead(limit: Limit, verdict: Verdict, text: str, known: Mapping[str, Told]) -> tuple[Verdict, str]:
    """Verdict where a limit is not met, or a duty begins: something else may satisfy the law in its place."""
    satisfied = limit.satisfied(known)
    if satisfied:
        return limit.at_best, f"{text}; {_which(limit, known)}"
    missing = _untold_of(limit.unless, known)
    if satisfied is None:
        verdict = verdict if verdict is Verdict.DOUBTFUL else Verdict.ASK
        return verdict, f"{text}; nothing told of {', '.join(missing)}"
    if limit.kind is Kind.TRIGGER and limit.unless and verdict is Verdict.ASK:
        return Verdict.FAILS, f"{text}, and nothing told that gives it"
    return verdict, text


def _which(limit: Limit, known: Mapping[str, Told]) -> str:
    """Say what satisfies the law in a limit's place."""
    met = next(case for case in limit.unless if all(condition.met(known) for condition in case))
    return f"given by {' and '.join(map(str, met))}"


def _untold_of(cases: tuple[Case, ...], known: Mapping[str, Told]) -> list[str]:
    """Facts whose answer would settle whether one of the cases is met."""
    open_cases = [case for case in cases if all_of(case, known) is None]
    return sorted({condition.fact for case in open_cases for condition in case if condition.met(known) is None})


def _that_count(answers: list[_Answer]) -> list[_Answer]:
    """Answers of one family, the one that rules first; what a stricter limit already covers is left behind.

    A limit that surely applies and whose figure is settled covers every limit that is no stricter: that one can't
    make the answer worse, and if it is only remembered it must not turn a `holds` into a question.
    """
    covers = [
        one.limit.strictness
        for one in answers
        if one.certain and one.limit.settles and one.limit.kind is Kind.LIMIT and not one.limit.unless
    ]
    most = max(covers, default=None)
    count = [
        one
        for one in answers
        if most is None or one.limit.strictness > most or (one.certain and one.limit.settles) or one.limit.unless
    ]
    rest = [one for one in answers if one not in count]
    count.sort(key=lambda one: (SEVERITY[one.verdict], one.limit.strictness, one.limit.settles), reverse=True)
    return count + rest


def _finding(answers: list[_Answer], told: Mapping[str, Told]) -> Finding:
    ruling = answers[0]
    limit, value = ruling.limit, told[ruling.limit.fact]
    fact = FACTS[limit.fact]
    spread = value if isinstance(value, Range) else None
    return Finding(
        id=limit.id,
        question=fact.question,
        verdict=ruling.verdict,
        summary=f"{_sentence(ruling.text, limit.fact)} {limit.summary}",
        value=spread.likely if spread else None,
        low=spread.low if spread else None,
        high=spread.high if spread else None,
        limit=limit.figure.value if limit.figure else None,
        operator=limit.safe_operator if limit.figure else None,
        margin=ruling.judged.margin,
        unit=fact.dimension.si_unit if fact.dimension else "-",
        dimension=fact.dimension,
        formula=_formula(limit),
        inputs=_inputs([one.limit for one in answers], told),
        sources=tuple(dict.fromkeys(one.limit.source for one in answers)),
        decide=ruling.decide,
    )


def _sentence(text: str, fact: str) -> str:
    """Return a text as a sentence; the name of a fact at its start stays as it is told."""
    return f"{text}." if text.startswith(fact) else f"{text[0].upper()}{text[1:]}."


def _formula(limit: Limit) -> str:
    if limit.operator == "is":
        return f"{limit.fact} is {' or '.join(map(in_words, limit.wanted))}"
    return f"{limit.fact} {limit.safe_operator} {limit.figure.text if limit.figure else '(no figure)'}"


def _inputs(limits: list[Limit], told: Mapping[str, Told]) -> dict[str, float | str]:
    """Facts that the answer rests on, as they were used."""
    names = dict.fromkeys(limit.fact for limit in limits)
    for limit in limits:
        names.update(dict.fromkeys(condition.fact for case in (limit.when, *limit.unless) for condition in case))
    inputs: dict[str, float | str] = {}
    for name in names:
        value = told.get(name)
        if isinstance(value, Range):
            inputs[key_with_unit(name, FACTS[name].dimension)] = value.likely
        elif value is not None:
            inputs[name] = in_words(value)
    return inputs


def _untold(pack: Pack, told: Mapping[str, Told], unknown: list[str]) -> Iterator[tuple[Limit, Finding]]:
    """Ask what must be known and is not: facts told as not known, and those that a limit always asks for."""
    case = assume(told)
    for limit in pack.limits:
        applies = limit.applies(case)
        named = limit.fact in unknown and applies is not False
        asked = limit.required and applies is True and limit.when and limit.fact not in told
        if named or asked:
            yield limit, _not_known(limit.at(case))


def _not_known(limit: Limit) -> Finding:
    fact = FACTS[limit.fact]
    caveat = f" ({limit.caveat})" if limit.caveat else ""
    return Finding(
        id=limit.id,
        question=fact.question,
        verdict=Verdict.ASK,
        summary=f"Not known: {limit.demand}{caveat}. {limit.summary}",
        limit=limit.figure.value if limit.figure else None,
        operator=limit.safe_operator if limit.figure else None,
        unit=fact.dimension.si_unit if fact.dimension else "-",
        dimension=fact.dimension,
        formula=_formula(limit),
        sources=(limit.source,),
        decide=f"find out: {fact.meaning[0].lower()}{fact.meaning[1:].rstrip('.')}",
    )


def _unruled(pack: Pack, told: Mapping[str, Told], judged: Collection[str]) -> Iterator[tuple[Limit, Finding]]:
    """Ask what no limit judges in this case, unless it only describes the case or is plainly safe."""
    for name, value in told.items():
        fact = FACTS[name]
        if name in judged or fact.is_context or (fact.is_yes_no and in_words(value) == fact.example):
            continue
        decide = f"what governs here: {fact.meaning[0].lower()}{fact.meaning[1:].rstrip('.')}"
        limit = pack.without_figure(name, decide)
        text = "no rule for this case in this text" if name in pack.facts else "no figure in this text"
        nothing = _Answer(limit, Verdict.ASK, Judgement(Verdict.ASK, None, ""), text, decide, certain=True)
        yield limit, replace(_finding([nothing], told), formula=f"{name}: {text}")
