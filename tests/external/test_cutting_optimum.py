"""Cutting lists against optimum values known elsewhere.

- Paper rolls: 219 pieces of 13 widths off master rolls of 5,600 mm take 73 rolls at least; the common textbook instance
  of the cutting-stock problem, from memory.
- Triplets: bins each filled exactly by three pieces, so that the optimum is known by construction (the making of
  Falkenauer's bin-packing triplets, 1996, from memory).
- scipy.optimize.milp, a general-purpose library: pieces assigned to spools one by one.
"""

from __future__ import annotations

import random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from ropewright.rope.cutting import Piece, Spool, cutting_plan

ROLLS = [
    (1380, 22), (1520, 25), (1560, 12), (1710, 14), (1820, 18), (1880, 18), (1930, 20),
    (2000, 10), (2050, 12), (2100, 14), (2140, 16), (2150, 18), (2200, 20),
]  # fmt: skip


def test_paper_rolls_take_73() -> None:
    pieces = [Piece(str(width), width / 1000, count) for width, count in ROLLS]
    plan = cutting_plan(pieces, [Spool("roll", 5.6, 200)])
    assert len(plan.cuts) == 73
    assert plan.proven


@pytest.mark.parametrize("seed", range(5))
def test_triplets_leave_nothing(seed: int) -> None:
    draw = random.Random(seed)
    pieces = []
    for k in range(20):
        first, second = draw.randint(380, 490), draw.randint(250, 310)
        pieces += [
            Piece(f"{k}{name}", steps / 100)
            for name, steps in zip("abc", (first, second, 1000 - first - second), strict=True)
        ]
    plan = cutting_plan(pieces, [Spool("spool", 10.0, 40)])
    assert len(plan.cuts) == 20
    assert plan.waste == pytest.approx(0.0, abs=1e-9)
    assert plan.proven


def _least_opened(pieces: list[float], spools: list[float], per_cut: float) -> float:
    """Least length of opened spools by assigning each piece to a spool; inf if there is no way."""
    n, m = len(pieces), len(spools)
    cost = np.concatenate([np.zeros(n * m), spools])
    once = np.hstack([np.kron(np.eye(n), np.ones(m)), np.zeros((n, m))])
    room = np.hstack([np.kron(np.array(pieces) + per_cut, np.eye(m)), -np.diag(np.array(spools) + per_cut)])
    found = milp(
        cost,
        constraints=[LinearConstraint(once, 1, 1), LinearConstraint(room, -np.inf, 1e-9)],
        integrality=np.ones(len(cost)),
        bounds=Bounds(0, 1),
    )
    return float(found.fun) if found.success else np.inf


@pytest.mark.parametrize("seed", range(12))
def test_small_lists_are_as_good_as_the_library_s(seed: int) -> None:
    draw = random.Random(100 + seed)
    pieces = [draw.randint(20, 140) / 10 for _ in range(draw.randint(4, 8))]
    spools = [draw.randint(100, 400) / 10 for _ in range(draw.randint(3, 5))]
    per_cut = draw.choice([0.0, 0.1])
    least = _least_opened(pieces, spools, per_cut)
    plan = cutting_plan(
        [Piece(f"p{i}", length) for i, length in enumerate(pieces)],
        [Spool(f"s{i}", length) for i, length in enumerate(spools)],
        per_cut=per_cut,
    )
    if np.isinf(least):
        assert plan.uncut
    else:
        assert not plan.uncut
        assert plan.waste == pytest.approx(least - sum(pieces), abs=1e-6)
        assert plan.proven


def test_200_lines_off_40_spools_come_within_1_percent_of_the_bound() -> None:
    draw = random.Random(3)
    pieces = [Piece(f"line {i}", round(draw.uniform(4, 30), 2)) for i in range(200)]
    spools = [
        Spool(f"spool {i}", draw.choice([60.0, 100.0, 183.0, 200.0]) - draw.choice([0, 5.5, 17.35])) for i in range(40)
    ]
    plan = cutting_plan(pieces, spools, per_cut=0.02)
    total = sum(piece.length for piece in pieces)
    assert not plan.uncut
    assert plan.waste - plan.bound <= 0.01 * (total + plan.bound)
