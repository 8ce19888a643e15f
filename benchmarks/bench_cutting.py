"""Cutting lists of 200 lines off 40 spools, beside a plain first-fit-decreasing and scipy's milp, in one run.

Run: python benchmarks/bench_cutting.py

Rope is what is opened: pieces, cuts and rests. The gap is how far that lies over the least that any cutting of these
pieces off these spools can open, as our bound proves it; first-fit-decreasing opens spools by size, longest first and
shortest first, and the better counts. The library gets the plain assignment program and as long as we may take. Wall
time, since a limit on time is what is promised; run it on an idle machine.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Sequence

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array, hstack, identity, kron, vstack

from ropewright.rope.cutting import CuttingPlan, Piece, Spool, cutting_plan

#: What is promised of 200 lines off 40 spools.
SECONDS, GAP = 5.0, 0.01
PER_CUT = 0.02  #: [m]


def instance(seed: int) -> tuple[list[float], list[float]]:
    """Lengths of 200 lines and 40 spools, new and opened ones. [m]"""
    draw = random.Random(seed)
    pieces = [round(draw.uniform(4, 30), 2) for _ in range(200)]
    whole = [60.0, 100.0, 183.0, 200.0]
    return pieces, [draw.choice(whole) - draw.choice([0, 5.5, 17.35]) for _ in range(40)]


def ours(pieces: Sequence[float], spools: Sequence[float]) -> CuttingPlan:
    return cutting_plan(
        [Piece(f"line {i}", length) for i, length in enumerate(pieces)],
        [Spool(f"spool {i}", length) for i, length in enumerate(spools)],
        per_cut=PER_CUT,
    )


def first_fit(pieces: Sequence[float], spools: Sequence[float], *, longest_first: bool) -> float:
    """Rope opened by putting each piece, the longest first, on the first spool that has room; inf if one has none."""
    order = sorted(spools, reverse=longest_first)
    room = [length + PER_CUT for length in order]
    for piece in sorted(pieces, reverse=True):
        at = next((i for i, left in enumerate(room) if left >= piece + PER_CUT), None)
        if at is None:
            return float("inf")
        room[at] -= piece + PER_CUT
    return sum(length for length, left in zip(order, room, strict=True) if left < length + PER_CUT)


def library(pieces: Sequence[float], spools: Sequence[float], seconds: float) -> float:
    """Rope opened by the assignment program of scipy's milp after so long; inf if it has found nothing by then."""
    n, m = len(pieces), len(spools)
    cost = np.concatenate([np.zeros(n * m), spools])
    once = hstack([kron(identity(n), np.ones((1, m))), coo_array((n, m))])
    taken = kron(np.array(pieces)[None, :] + PER_CUT, identity(m))
    room = hstack([taken, -coo_array(np.diag(np.array(spools) + PER_CUT))])
    limits = np.concatenate([np.ones(n), np.full(m, -np.inf)]), np.concatenate([np.ones(n), np.zeros(m)])
    found = milp(
        cost,
        constraints=LinearConstraint(vstack([once, room]).tocsc(), *limits),
        integrality=np.ones(len(cost)),
        bounds=Bounds(0, 1),
        options={"time_limit": seconds},
    )
    return float("inf") if found.x is None else float(found.fun)


def main() -> None:
    print(
        f"{'':>4} {'bound':>9} {'ours':>9} {'gap':>7} {'time':>7} {'first fit':>10} {'gap':>7} {'milp':>9} {'gap':>7}"
    )
    worst_gap, worst_time = 0.0, 0.0
    for seed in range(3, 9):
        pieces, spools = instance(seed)
        start = time.perf_counter()
        plan = ours(pieces, spools)
        took = time.perf_counter() - start
        if plan.uncut:
            sys.exit(f"instance {seed}: pieces are left uncut")
        least, opened = sum(pieces) + plan.bound, sum(pieces) + plan.waste
        plain = min(first_fit(pieces, spools, longest_first=first) for first in (True, False))
        other = library(pieces, spools, SECONDS)
        gaps = [rope / least - 1 for rope in (opened, plain, other)]
        worst_gap, worst_time = max(worst_gap, gaps[0]), max(worst_time, took)
        print(
            f"{seed:>4} {least:>7.1f} m {opened:>7.1f} m {gaps[0]:>7.2%} {took:>5.2f} s "
            f"{plain:>8.1f} m {gaps[1]:>7.2%} {other:>7.1f} m {gaps[2]:>7.2%}"
        )
    print(f"worst: {worst_gap:.2%} over the bound in {worst_time:.2f} s (goal: within {GAP:.0%} in {SECONDS:g} s)")


if __name__ == "__main__":
    main()
