"""Packs side by side, fact by fact."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ropewright.rules.facts import FACTS, find_fact
from ropewright.rules.limits import Limit
from ropewright.rules.pack import Pack

__all__ = ["Comparison", "compare"]


@dataclass(frozen=True, slots=True)
class Comparison:
    """One fact in several packs: the limits of each, in the order of the packs; empty where a pack says nothing."""

    fact: str
    limits: tuple[tuple[Limit, ...], ...]


def compare(packs: Sequence[Pack], fact: str = "") -> tuple[Comparison, ...]:
    """Rows by fact, in the order of the catalogue.

    Parameters
    ----------
    packs : sequence of Pack
    fact : str
        Only this one; empty for all that any of the packs judges.

    Returns
    -------
    tuple of Comparison

    Raises
    ------
    RulesError
        For an unknown fact.

    Examples
    --------
    >>> from ropewright.rules import load_pack
    >>> rows = compare([load_pack("us-construction"), load_pack("us-general-industry")], "gate_strength")
    >>> [[limit.demand for limit in cell] for cell in rows[0].limits]
    [['no figure in this text'], ['at least 3,600 lbf is needed']]
    """
    wanted = [find_fact(fact).name] if fact else [name for name in FACTS if any(name in pack.facts for pack in packs)]
    return tuple(
        Comparison(name, tuple(tuple(limit for limit in pack.limits if limit.fact == name) for pack in packs))
        for name in wanted
    )
