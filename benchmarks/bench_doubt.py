"""Doubt over the example: 1,000 draws at each of 400 edge points, with the whole chain, and how far more draws differ.

Run: python benchmarks/bench_doubt.py [points] [draws]

The falls are those of the worker of `examples/gable-house.toml` whose line reaches the edge, at so many of the points
reached; the chain is theirs, with a damped rope, a grab that slips, lock-out and yielding anchor put in, so that every
part works. Errors are against 16 times as many draws. Then the same number of draws through the plan itself, at as many
points: force and clearance, each with the rope that is worse for it, on the parts that the example has, with shares and
what to pin down.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from ropewright.arrest import kernel
from ropewright.arrest.doubt import Doubt, at_most, doubt
from ropewright.arrest.doubtful import FallPoints, complete, in_doubt, inputs_of
from ropewright.job.assess import assess, drawing_of
from ropewright.job.catching import parts_of
from ropewright.job.doubt import points_in_doubt
from ropewright.job.draws import Drawing, with_draws
from ropewright.job.file import read_job
from ropewright.job.model import Job
from ropewright.job.rig import rigs_of
from ropewright.job.work import Work
from ropewright.quantity import Range

EXAMPLE = Path(__file__).parents[1] / "examples" / "gable-house.toml"


def example(count: int) -> tuple[dict[str, Range], FallPoints]:
    """Inputs of the worker who gets to the edge, and their falls over so many edge points."""
    one = drawing(replace(read_job(EXAMPLE), spacing=0.0125))
    points = points_in_doubt(one.rig, one.over, one.falls)
    chosen = np.linspace(0, len(points) - 1, count).astype(int)
    inputs = inputs_of(parts_of(one.rig)) | {
        "fast_modulus": Range(10e3, 20e3, 30e3),
        "relaxation_time": Range(0.1, 0.2, 0.5),
        "grab_slip_force": Range(2.5e3, 4e3, 6e3),
        "grab_slip_length": Range(0.0, 0.1, 0.3),
        "lockout_stiffness": Range(5e4, 1e5, 2e5),
        "lanyard_stiffness": Range(5e4, 1e5, 2e5),
        "anchor_stiffness": Range(2e5, 5e5, 1e6),
        "body_shift": Range(0.25, 0.30, 0.45),
    }
    return inputs, FallPoints(*points.table[:, chosen])


def drawing(job: Job) -> Drawing:
    """Return the falls of the worker of the example who gets to the edge."""
    return drawing_of(job, Work(), next(rig for rig in rigs_of(job) if rig.worker.name == "Toni"))


def through_the_plan(count: int, draws: int) -> None:
    """Draws as the plan makes them, at about so many points that are reached."""
    coarse = replace(read_job(EXAMPLE), spacing=0.05)
    reached = int(drawing(coarse).falls.geometry.reached.sum())
    job = replace(coarse, spacing=0.05 * reached / count, draws=draws)
    plain = replace(assess(replace(job, draws=0), remedies=False), job=job)
    one = drawing(job)
    best = np.inf
    for _ in range(3):
        start = time.perf_counter()
        told = with_draws(plain, (one,))
        best = min(best, time.perf_counter() - start)
    points = int(one.falls.geometry.reached.sum())
    print(f"through the plan: {draws:,} draws of force and of clearance at each of {points} edge points: {best:.2f} s")
    for finding in told.findings:
        if finding.drawn:
            print(f"  {finding.id}: {finding.drawn.text} {finding.drawn.first}")


#: Errors are looked at on every so manieth point: 16 times the draws take 16 times as long.
EVERY = 8


def difference(few: Doubt, many: Doubt) -> dict[str, float]:
    """Greatest difference over points and levels, relative; of shares, absolute."""
    outputs = ("peak_force", "needed", "hang")
    found = {name: float(np.abs(few.spread[name] / many.spread[name] - 1).max()) for name in outputs}
    found["share"] = float(np.abs(few.shares["all"].share - many.shares["all"].share).max())
    return found


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 400
    draws = int(sys.argv[2]) if len(sys.argv) > 2 else 1000
    inputs, points = example(count)
    start = time.perf_counter()
    kernel.compiled()(np.zeros((1, kernel.BLOCK)), 0, 1, 16, 8)
    print(f"kernel ready after {time.perf_counter() - start:.2f} s (from disk, if it was compiled before)")
    tests = {"force": at_most("peak_force", 4.0e3), "room": at_most("needed", 3.0)}
    print(f"{len(in_doubt(complete(inputs)))} inputs in doubt, {draws:,} draws at each of {count} edge points")
    best, busy = np.inf, np.inf
    for _ in range(3):
        start, cpu = time.perf_counter(), time.process_time()
        few = doubt(inputs, points, draws=draws, tests=tests)
        best, busy = min(best, time.perf_counter() - start), min(busy, time.process_time() - cpu)
    print(f"{best:.2f} s ({busy:.2f} s of processor time), {draws * count / best:,.0f} falls a second")
    some = FallPoints(*points.table[:, ::EVERY])
    few = doubt(inputs, some, draws=draws, tests=tests)
    many = doubt(inputs, some, draws=16 * draws, tests=tests)
    off = difference(few, many)
    print("greatest difference from 16 times as many draws, over every 8th point and the levels 5 %, 50 %, 95 %:")
    print(f"  force {off['peak_force']:.2%}, distance needed {off['needed']:.2%}, hang {off['hang']:.2%}, ", end="")
    print(f"share that holds {off['share']:.4f}")
    fine = doubt(inputs, some, draws=draws, tests=tests, error_bound=1e-6)
    off = difference(few, fine)
    print("greatest difference from steps a seventeenth as long:")
    print(f"  force {off['peak_force']:.1e}, distance needed {off['needed']:.1e}")
    through_the_plan(count, draws)


if __name__ == "__main__":
    main()
