"""Strength of a job's line as it is tied and as it is today, under the job's rules."""

from __future__ import annotations

from ropewright.job.model import Line
from ropewright.rope import StrengthChain, rigged_strength
from ropewright.rules import Pack

__all__ = ["line_strength"]


def line_strength(line: Line, pack: Pack) -> StrengthChain:
    """Strength of a line, step by step.

    Parameters
    ----------
    line : Line
    pack : Pack
        Says what share a knot may be counted with, if it says so.

    Returns
    -------
    StrengthChain
    """
    allowed = pack.allowance("knot_retention")
    rope = line.rope
    return rigged_strength(
        rope.strength,
        strength_basis=rope.strength_basis,
        termination=line.termination,
        fibre=rope.fibre,
        construction=rope.construction,
        condition=rope.condition,
        edge=None if line.edge_protection is None else not line.edge_protection,
        rule_knot_retention=None if allowed is None else float(allowed.value.low),
        service=rope.service,
    )
