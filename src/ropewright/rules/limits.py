"""One limit of a rules pack, and the judgement of a value by it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from ropewright.findings import Source, Verdict
from ropewright.quantity import Dimension, Range
from ropewright.rules.conditions import Case, all_of, any_of
from ropewright.rules.facts import FACTS, Told, in_words
from ropewright.rules.figure import NEGATED, Figure, both_units

__all__ = ["Growth", "Judgement", "Kind", "Limit", "Standing"]


class Kind(StrEnum):
    """What a row of a pack does."""

    #: A value or an answer must meet it.
    LIMIT = "limit"
    #: Where a value meets it, a duty begins that other facts must satisfy.
    TRIGGER = "trigger"


class Standing(StrEnum):
    """What stands behind a limit."""

    LAW = "law"
    GUIDANCE = "guidance"
    STANDARD = "standard"
    LOCAL = "local"

    @property
    def label(self) -> str:
        """What is said of it where it is no law; empty for law."""
        return {"guidance": "guidance, not law", "standard": "a standard", "local": "a local rule"}.get(self.value, "")


@dataclass(frozen=True, slots=True)
class Judgement:
    """What a limit says of a value.

    Parameters
    ----------
    verdict : Verdict
    margin : float or None
        Distance to the limit at the unsafe end, SI, negative past it; None where there is no figure.
    text : str
        The answer with its numbers, no full stop.
    """

    verdict: Verdict
    margin: float | None
    text: str


@dataclass(frozen=True, slots=True)
class Growth:
    """How a figure grows with another fact: by `adds` for `each` of it above `above`; parts count full if `whole`."""

    fact: str
    above: Figure
    each: Figure
    adds: Figure
    whole: bool = False

    def added(self, value: float) -> float:
        """SI amount added at an SI value of the fact."""
        steps = max(0.0, (value - self.above.value) / self.each.value)
        # float noise must not start another step
        return self.adds.value * (math.ceil(steps - 1e-9) if self.whole else steps)


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit, a duty or a trigger, with its clause and how it is known.

    Parameters
    ----------
    id : str
        Unique in its pack.
    fact : str
        What it judges, a name of `FACTS`.
    operator : str
        ``<=``, ``<``, ``>=``, ``>`` as the law writes it, or ``is``. For a trigger: where the duty begins.
    figure : Figure or None
        None for a yes or no, for words, and where the text gives no figure.
    wanted : tuple of bool or str
        Answers that meet it; empty for figures.
    kind : Kind
    when, unless : Case, tuple of Case
        Where it applies; and what satisfies the law in its place, any one of them.
    applies_to, scope, summary : str
        What it is said of, who and where it binds, and what it says in our own words.
    source : Source
    confidence : str
        ``high``, ``medium`` or ``low`` for a figure from memory, else empty.
    past : Verdict
        Verdict where it is not met: `FAILS`, or `ASK` where the text leaves it to a person.
    decide : str
        What that person must decide.
    standing : Standing
    required : bool
        True if it is asked whenever it certainly applies, told or not.
    family : str
        Limits of one family answer one question; the strictest that applies governs.
    growth : Growth or None
    overridden_by : str
        Who replaced the pack's own limit and why; empty for the pack's own.
    """

    id: str
    fact: str
    operator: str
    figure: Figure | None
    wanted: tuple[bool | str, ...]
    applies_to: str
    summary: str
    source: Source
    kind: Kind = Kind.LIMIT
    when: Case = ()
    unless: tuple[Case, ...] = ()
    scope: str = ""
    confidence: str = ""
    past: Verdict = Verdict.FAILS
    decide: str = ""
    standing: Standing = Standing.LAW
    required: bool = False
    family: str = ""
    growth: Growth | None = None
    overridden_by: str = ""

    @property
    def dimension(self) -> Dimension | None:
        """Dimension of what it judges; None for a yes or no and for words."""
        return FACTS[self.fact].dimension

    @property
    def value(self) -> float | bool | str:
        """Figure in SI, or the wanted answer; an empty text where the law gives no figure."""
        if self.figure is not None:
            return self.figure.value
        return self.wanted[0] if len(self.wanted) == 1 else " or ".join(map(str, self.wanted))

    @property
    def law_value(self) -> float | None:
        """Number of the figure in the law's unit."""
        return self.figure.number if self.figure else None

    @property
    def law_unit(self) -> str:
        """Unit of the law; ``:12`` for a pitch, empty for a plain number."""
        return self.figure.unit if self.figure else ""

    @property
    def safe_operator(self) -> str:
        """What a value must meet to be safe: for a trigger the opposite of where the duty begins."""
        return NEGATED[self.operator] if self.kind is Kind.TRIGGER else self.operator

    @property
    def settles(self) -> bool:
        """True if meeting it may give a bare `HOLDS`: its figure is neither remembered nor guessed."""
        return self.source.status.settles

    @property
    def at_best(self) -> Verdict:
        """Verdict of a value that meets it for certain."""
        known = self.figure is not None or bool(self.wanted)
        return Verdict.HOLDS if known and self.settles else Verdict.ASK

    @property
    def strictness(self) -> tuple[float, int]:
        """Larger is stricter, among limits whose safe operators point the same way; no figure is the strictest."""
        if self.figure is None:
            return math.inf, 2
        sign = -1 if self.safe_operator in ("<=", "<") else 1
        return sign * self.figure.value, int(self.safe_operator in ("<", ">"))

    @property
    def demand(self) -> str:
        """What it asks, with its figure: ``no more than 6 ft is allowed``."""
        if self.operator == "is":
            return f"{' or '.join(in_words(one) for one in self.wanted)} is wanted"
        if self.figure is None:
            return "no figure in this text"
        text = self.figure.text
        if self.kind is Kind.TRIGGER:
            edges = {">=": f"at {text} or more", ">": f"above {text}", "<": f"below {text}", "<=": f"at {text} or less"}
            return f"protection is due {edges[self.operator]}"
        asks = {
            "<=": f"no more than {text} is allowed",
            "<": f"less than {text} is allowed",
            ">=": f"at least {text} is needed",
            ">": f"more than {text} is needed",
        }
        return asks[self.operator]

    @property
    def caveat(self) -> str:
        """What has to be said wherever the limit is shown: remembered, no law, replaced; empty if nothing has."""
        said = []
        if not self.settles:
            sure = f" ({self.confidence} confidence)" if self.confidence else ""
            said.append(f"figure from {self.source.status}{sure}, not verified: confirm it")
        if self.standing.label:
            said.append(self.standing.label)
        if self.overridden_by:
            said.append(self.overridden_by)
        return "; ".join(said)

    def applies(self, told: Mapping[str, Told]) -> bool | None:
        """Whether it applies to a case; None if that can't be told."""
        return all_of(self.when, told)

    def satisfied(self, told: Mapping[str, Told]) -> bool | None:
        """Whether something else satisfies the law in its place; None if that can't be told."""
        return any_of(self.unless, told)

    def at(self, told: Mapping[str, Told]) -> Limit:
        """Return the limit with its figure grown to a case; without a figure where what it grows with is not told."""
        if self.growth is None or self.figure is None:
            return self
        value = told.get(self.growth.fact)
        if not isinstance(value, Range):
            return replace(self, figure=None, growth=None, decide=f"tell {self.growth.fact}: the figure grows with it")
        # the end that makes it stricter
        grown = self.figure.value + self.growth.added(value.low if self.operator in ("<=", "<") else value.high)
        number = self.figure.in_law_unit(grown)
        figure = replace(self.figure, number=number, value=grown, text="")
        return replace(self, figure=replace(figure, text=figure.show(grown, NEGATED[self.operator])), growth=None)

    def is_due(self, low: float, high: float | None = None) -> bool | None:
        """For a trigger: whether its duty begins at a value in SI; None if only at one end of a spread."""
        if self.figure is None or self.kind is not Kind.TRIGGER:
            raise ValueError(f"{self.id} is no trigger with a figure")
        first, last = (self.figure.is_met(self.operator, end) for end in (low, low if high is None else high))
        return first if first == last else None

    def judge(self, low: float | bool | str, high: float | None = None) -> Judgement:
        """Judge a value, or a spread from `low` to `high`.

        Parameters
        ----------
        low : float, bool or str
            SI figure, yes or no, or word, as the fact takes it.
        high : float, optional
            Other end of a spread.

        Returns
        -------
        Judgement
            `HOLDS` if both ends meet the limit, `FAILS` (or `ASK`, where the text leaves it to a person) if neither
            does, `DOUBTFUL` between. A figure from memory never gives better than `ASK`; no figure gives `ASK`. A
            trigger gives `ASK` where its duty begins and `HOLDS` where it does not.

        Raises
        ------
        ValueError
            If a figure is due and none is given, or the ends are not in order.
        """
        if self.operator == "is":
            return self._judge_answer(low)
        if isinstance(low, bool | str):
            raise ValueError(f"{self.fact} is judged by a figure, got {low!r}")  # noqa: TRY004 - as all wrong values here
        last = low if high is None else high
        if not low <= last:
            raise ValueError(f"ends of a spread must be in order, got {low} and {last}")
        if self.figure is None:
            return Judgement(Verdict.ASK, None, self._said("no figure in this text"))
        unsafe = last if self.safe_operator in ("<=", "<") else low
        margin = self.figure.value - last if self.safe_operator in ("<=", "<") else low - self.figure.value
        met = [self.figure.is_met(self.safe_operator, end) for end in (low, last)]
        text = f"{both_units(self.figure, unsafe, self.safe_operator)}{'' if low == last else ' at the unsafe end'}"
        return Judgement(self._verdict(met), margin, self._said(f"{text}: {self.demand}"))

    def _judge_answer(self, answer: float | bool | str) -> Judgement:
        verdict = self._verdict([answer in self.wanted])
        return Judgement(verdict, None, self._said(f"{self.fact} is {in_words(answer)}: {self.demand}"))

    def _verdict(self, met: list[bool]) -> Verdict:
        past = Verdict.ASK if self.kind is Kind.TRIGGER else self.past
        if all(met):
            return self.at_best
        if any(met):
            return Verdict.DOUBTFUL if self.settles else Verdict.ASK
        return past

    def _said(self, text: str) -> str:
        return f"{text} ({self.caveat})" if self.caveat else text
