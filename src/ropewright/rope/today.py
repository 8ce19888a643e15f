"""What a rope may and may not do today, from what is left of it and what the rules ask of a line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ropewright.findings import SEVERITY, Source, SourceStatus, Verdict
from ropewright.rope.material import Suited
from ropewright.rope.strength import StrengthChain, WorkingLoad, working_load

__all__ = ["Allowed", "RuleFigure", "allowed_today"]

_NO_FIGURE = Source("the rules asked", "they have no figure for a line", SourceStatus.DERIVED)


@dataclass(frozen=True, slots=True)
class RuleFigure:
    """Strength that the rules ask of something.

    Parameters
    ----------
    force : float
        [N]
    source : Source
    """

    force: float
    source: Source


@dataclass(frozen=True, slots=True)
class Allowed:
    """One thing that a rope could be asked to do.

    Parameters
    ----------
    use : str
    verdict : Verdict
    reason : str
    source : Source
    """

    use: str
    verdict: Verdict
    reason: str
    source: Source


def allowed_today(
    chain: StrengthChain,
    line: RuleFigure | None,
    knotted: RuleFigure | None = None,
    suited: Sequence[Suited] = (),
    work: WorkingLoad | None = None,
) -> tuple[tuple[Allowed, ...], WorkingLoad]:
    """What a rope may do, each with its reason; a trigger that takes it out takes it out of everything.

    Parameters
    ----------
    chain : StrengthChain
    line : RuleFigure, optional
        What the rules ask of a lifeline as new; None: they give no figure, which is asked.
    knotted : RuleFigure, optional
        What they ask of it as it is tied, where they ask less.
    suited : sequence of Suited
        Whether its material suits a lifeline (`suitability`): no strength betters that.
    work : WorkingLoad, optional
        As new, at the design factor of the rules; None: by practice.

    Returns
    -------
    tuple of Allowed, and WorkingLoad
        Lifeline first, then loads that nobody hangs on. The working load counts what is left, never more than the
        share of the strength as new.
    """
    work = work or working_load(chain.as_new)
    left = min(work.low, work.share[0] * chain.low)
    work = WorkingLoad(
        left, max(left, min(work.high, work.share[1] * chain.low)), work.share, work.formula, work.source
    )
    if chain.standing is Verdict.FAILS:
        trigger = next(trigger for trigger in chain.triggers if trigger.verdict is Verdict.FAILS)
        uses = ("lifeline", "haul or tag line for loads")
        return tuple(Allowed(use, Verdict.FAILS, trigger.reason, trigger.source) for use in uses), work
    by_material = [Allowed("lifeline", one.verdict, one.reason, one.source) for one in suited]
    # the first of the worst: what the strength says, then the questions about the material in their order
    lifeline = max([_lifeline(chain, line, knotted), *by_material], key=lambda one: SEVERITY[one.verdict])
    return (lifeline, _load_line(chain, work)), work


def _lifeline(chain: StrengthChain, line: RuleFigure | None, knotted: RuleFigure | None) -> Allowed:
    use = "lifeline"
    if line is None:
        return Allowed(use, Verdict.ASK, "These rules give no figure for a line: ask who has one.", _NO_FIGURE)
    tied = knotted or line
    if chain.as_new.high < line.force or chain.high < tied.force:
        reason = "Even at its best it has less than the rules ask of a line."
        return Allowed(use, Verdict.FAILS, reason, (line if chain.as_new.high < line.force else tied).source)
    asked = [trigger for trigger in chain.triggers if trigger.verdict is Verdict.ASK]
    if asked:
        return Allowed(use, Verdict.ASK, " ".join(trigger.reason for trigger in asked), asked[0].source)
    if chain.as_new.low < line.force or chain.low < tied.force:
        reason = "At the low end it has less than the rules ask of a line."
        return Allowed(use, Verdict.DOUBTFUL, reason, (line if chain.as_new.low < line.force else tied).source)
    if not chain.settles:
        reason = "The figures would do, but some are remembered, judged or from weak sources: confirm them."
        return Allowed(use, Verdict.ASK, reason, line.source)
    return Allowed(
        use, Verdict.HOLDS, "It has what the rules ask of a line, as it is tied and as it is today.", line.source
    )


def _load_line(chain: StrengthChain, work: WorkingLoad) -> Allowed:
    use = "haul or tag line for loads"
    if chain.standing is Verdict.ASK:
        asked = next(trigger for trigger in chain.triggers if trigger.verdict is Verdict.ASK)
        return Allowed(use, Verdict.ASK, asked.reason, asked.source)
    return Allowed(use, Verdict.HOLDS, "Up to its working load, with nobody on it and nobody under it.", work.source)
