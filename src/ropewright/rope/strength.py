"""Strength of a rope as it is rigged: from the strength as new, step by step, to what is left."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from ropewright.findings import Source, Verdict, worst
from ropewright.quantity import Range
from ropewright.rope.fibre import fibres
from ropewright.rope.losses import (
    Loss,
    Trigger,
    basis_loss,
    bend_loss,
    condition_loss,
    edge_loss,
    termination_loss,
    wet_loss,
)
from ropewright.rope.names import (
    canonical_basis,
    canonical_construction,
    canonical_fibre,
    canonical_termination,
    read_condition,
)
from ropewright.rope.service import Service, service_losses
from ropewright.rope.tables import Figure, Grade, figures
from ropewright.rope.termination import terminations

__all__ = ["StrengthChain", "StrengthStep", "WorkingLoad", "rigged_strength", "working_load"]


@dataclass(frozen=True, slots=True)
class StrengthStep:
    """One cause, the share it leaves, and what is left after it.

    Parameters
    ----------
    name : str
        ``minimum breaking strength as new``, ``wet``, ``condition and age``, ``termination``, ``bend`` or ``edge``.
    factor : Range
        Share left, at most 1. [-]
    left : Range
        Strength after this step. [N]
    formula : str
        With the letters of `inputs`.
    inputs : mapping of str to float or str
    source : Source
        Of the figure that sets the low end.
    grade : Grade
    samples : int, optional
        How many were tested, where stated.
    note : str
    settles : bool
        False if the low end rests on memory, judgement or a source of grade C.
    """

    name: str
    factor: Range
    left: Range
    formula: str
    inputs: Mapping[str, float | str]
    source: Source
    grade: Grade
    samples: int | None
    note: str
    settles: bool


@dataclass(frozen=True, slots=True)
class StrengthChain:
    """Strength of a rope as rigged, with every step to it.

    Parameters
    ----------
    told : Range
        Strength as it was told. [N]
    steps : tuple of StrengthStep
        In order; the last leaves the answer.
    triggers : tuple of Trigger
        What acts before any number; read these first.
    assumed : tuple of str
        What was taken as so without being told.
    """

    told: Range
    steps: tuple[StrengthStep, ...]
    triggers: tuple[Trigger, ...] = ()
    assumed: tuple[str, ...] = ()

    @property
    def as_new(self) -> Range:
        """Minimum breaking strength as new, after an average was taken down, in newtons."""
        return self.steps[0].left

    @property
    def left(self) -> Range:
        """What is left, in newtons."""
        return self.steps[-1].left

    @property
    def low(self) -> float:
        """Least that is left, in newtons."""
        return self.left.low

    @property
    def likely(self) -> float:
        """What is expected to be left, in newtons."""
        return self.left.likely

    @property
    def high(self) -> float:
        """Most that is left, in newtons."""
        return self.left.high

    @property
    def standing(self) -> Verdict:
        """Worst verdict of the triggers, which no number can better; `HOLDS` if there are none."""
        return worst((Verdict.HOLDS, *(trigger.verdict for trigger in self.triggers)))

    @property
    def settles(self) -> bool:
        """True if the answer may let something hold: nothing to ask, no step on memory, judgement or grade C."""
        return self.standing is Verdict.HOLDS and all(step.settles for step in self.steps)

    @property
    def sources(self) -> tuple[Source, ...]:
        """Sources of the steps and triggers, each once."""
        return tuple(dict.fromkeys([trigger.source for trigger in self.triggers] + [s.source for s in self.steps]))

    @property
    def formula(self) -> str:
        """The whole product in words."""
        return " x ".join(["strength told", *(step.name for step in self.steps)])


def _times(left: Range, factor: Range) -> Range:
    """Strength after a loss: low by low, likely by likely, high by high."""
    return Range(left.low * factor.low, left.likely * factor.likely, left.high * factor.high)


def _step(left: Range, loss: Loss) -> StrengthStep:
    assert 0.0 <= loss.factor.low <= loss.factor.high <= 1.0, "no step raises a rope"
    figure = loss.figure
    formula = "S = S0 x k"
    inputs = {"s0_n": left.likely, "k": loss.factor.likely, **loss.inputs}
    return StrengthStep(
        name=loss.name,
        factor=loss.factor,
        left=_times(left, loss.factor),
        formula=formula,
        inputs=inputs,
        source=figure.source,
        grade=figure.grade,
        samples=figure.samples,
        note=loss.note,
        settles=figure.settles,
    )


def _checked(strength: Range) -> Range:
    if not (strength.low >= 0 and math.isfinite(strength.high)):
        raise ValueError(f"strength must be finite and 0 N or more, got {strength}")
    return strength


def rigged_strength(
    strength: Range,
    *,
    strength_basis: str,
    termination: str,
    fibre: str,
    construction: str,
    condition: str,
    edge: bool | None = None,
    bend_ratio: float | None = None,
    rule_knot_retention: float | None = None,
    rule_source: Source | None = None,
    documented: Figure | None = None,
    service: Service | None = None,
) -> StrengthChain:
    """Strength that a rope has as it is rigged, never above what it had as new.

    Parameters
    ----------
    strength : Range
        As new, as it was told. [N]
    strength_basis : str
        What that figure is: ``batch minimum``, ``mean less 3 sd``, ``maker's minimum``, ``average`` or ``unknown``.
        An average is taken down to a minimum; an unknown one too, and it is asked for.
    termination : str
        How the line is ended: a knot, ``sewn eye``, ``eye splice``, ``rated assembly`` or ``unknown``.
    fibre, construction : str
    condition : str
        ``new``, ``good``, ``worn``, ``damaged``, ``fallen-on`` or ``unknown``, with ``wet`` or ``dry`` beside it.
        Neither: it may get wet, and the low end counts that.
    edge : bool, optional
        True: it bears on a bare edge. False: on none. None: nobody knows, and the low end counts one.
    bend_ratio : float, optional
        Diameter of what it is bent round over its own, where it is bent beyond its end. [-]
    rule_knot_retention : float, optional
        Greatest share that the rules let a knot be counted with, 0 to 1. [-]
    rule_source : Source, optional
        Of that share; without it and at 0.5, 29 CFR 1926 Subpart M App C II(h)(3).
    documented : Figure, optional
        What this end leaves of this rope, where it can be shown (the maker's sheet): takes the place of table and
        rule. [-]
    service : Service, optional
        What it has been through beyond its condition: inspection, catches, age, use, weather; stacked on it.

    Returns
    -------
    StrengthChain
        Damaged and fallen-on rope counts as nothing; rope of unknown history as nothing at its low and likely end.

    Raises
    ------
    InputError
        If a name is unknown, or the documented share is not 0 to 1.
    ValueError
        If the strength is negative or not finite.

    Notes
    -----
    S = S0 * basis * wet * condition * service * termination * bend * edge, low by low, likely by likely, high by high.
    The low end stacks the worst of each, which errs low. Derived in docs/rope-strength.md.

    Examples
    --------
    >>> chain = rigged_strength(
    ...     Range.exact(24000.0), strength_basis="maker's minimum", termination="figure-eight loop", fibre="polyester",
    ...     construction="kernmantle", condition="new", edge=False, rule_knot_retention=0.5,
    ... )
    >>> chain.low, chain.likely, [step.name for step in chain.steps]
    (12000.0, 12000.0, ['minimum breaking strength as new', 'termination'])
    >>> fallen = rigged_strength(
    ...     Range.exact(24000.0), strength_basis="maker's minimum", termination="sewn eye", fibre="polyester",
    ...     construction="kernmantle", condition="fallen-on", edge=False,
    ... )
    >>> fallen.standing.value, fallen.high
    ('fails', 0.0)
    """
    material = fibres()[canonical_fibre(fibre, "fibre")]
    made = canonical_construction(construction, "construction")
    state = read_condition(condition, "condition")
    losses = (
        basis_loss(canonical_basis(strength_basis, "strength_basis")),
        wet_loss(material, state.wet),
        condition_loss(state),
        *([] if service is None else service_losses(material, service)),
        termination_loss(
            terminations()[canonical_termination(termination, "termination")],
            material,
            made,
            rule_knot_retention=rule_knot_retention,
            rule_source=rule_source,
            documented=documented,
        ),
        bend_loss(bend_ratio),
        edge_loss(edge),
    )
    return _chain(_checked(strength), [loss for loss in losses if loss is not None])


def _chain(strength: Range, losses: list[Loss]) -> StrengthChain:
    steps: list[StrengthStep] = []
    for loss in losses:
        steps.append(_step(steps[-1].left if steps else strength, loss))
    return StrengthChain(
        told=strength,
        steps=tuple(steps),
        triggers=tuple(trigger for loss in losses for trigger in loss.triggers),
        assumed=tuple(text for loss in losses for text in loss.assumed),
    )


@dataclass(frozen=True, slots=True)
class WorkingLoad:
    """Load that a rope may work under, day by day; no limit on the force of an arrest.

    Parameters
    ----------
    low, high : float
        At the low and the high share; the low one is taken unless a person decides otherwise. [N]
    share : tuple of float
    formula : str
    source : Source
    """

    low: float
    high: float
    share: tuple[float, float]
    formula: str
    source: Source

    @property
    def factors(self) -> tuple[float, float]:
        """Design factors, the lower first: 5:1 to 10:1 are 5 and 10. [-]"""
        return 1 / self.share[1], 1 / self.share[0]


def working_load(
    strength: Range, share: tuple[float, float] | None = None, source: Source | None = None
) -> WorkingLoad:
    """Load that a rope may work under, as a share of its minimum breaking strength as new.

    Parameters
    ----------
    strength : Range
        Minimum breaking strength as new; only its low end counts. [N]
    share : tuple of float, optional
        Low and high share, above 0 and at most 1; None: 0.10 to 0.20. [-]
    source : Source, optional
        Of that share.

    Returns
    -------
    WorkingLoad

    Raises
    ------
    ValueError
        If the shares are out of order or out of range, or the strength is negative.

    Notes
    -----
    Common practice, no source: 10 % to 20 %, a design factor of 10:1 to 5:1, so 500 lbf for a 5,000 lbf rope at the
    low end.

    Examples
    --------
    >>> load = working_load(Range.exact(5000.0))
    >>> load.low, load.high
    (500.0, 1000.0)
    """
    practice = figures("strength_figures")["working load/share"]
    low, high = share or (practice.value.low, practice.value.high)
    if not 0.0 < low <= high <= 1.0:
        raise ValueError(f"share must be two numbers above 0 and at most 1, the lower first, got {share}")
    new = _checked(strength).low
    return WorkingLoad(new * low, new * high, (low, high), "W = S_low x share", source or practice.source)
