"""Time of a fall with swing over an edge, ours beside a rigid-body engine (MuJoCo), in one run, with both errors.

Run: python benchmarks/bench_swing.py

The fall: a worker who walks along an eave goes over it, is caught, and swings on for six seconds. Each side is run over
a range of steps (and the engine with each of its integrators). Its error is how far peak force, lowest point and
furthest swing lie from what that side gives at a very fine step, the largest of the three: of force by its own size,
of places by the drop. For each of our steps the fastest setting of the engine with no larger error stands beside it.

The engine runs its steps in one call, in compiled code, with its contacts off and nothing recorded: errors come from
another run. Ours runs 2,048 falls at once, with contacts, friction, absorber and record in the loop, and is shown by
time on the clock over all cores and by processor time of one. What else the machine does only ever adds: best of
several.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import mujoco
import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "external"))

from test_swing_mujoco import Swing, engine_model, engine_path, our_launch, our_scene

from ropewright.arrest import Chain, motion_blocks
from ropewright.arrest import motion_rows as rows
from ropewright.arrest.motion_blocks import MotionBlocks
from ropewright.arrest.motion_launch import Body

GOAL = 200.0
FALLS = 2048
DURATION = 6.0
CASE = Swing((0, 4.33, 2.5), (2, 0, -1.0), (-1.5, 0, 0), 8.0, 4_375.0, DURATION)
ENGINE = [(name, step) for name in ("Euler", "implicitfast", "RK4") for step in (8e-3, 4e-3, 2e-3, 1e-3, 5e-4, 2e-4)]


class Side(NamedTuple):
    """One setting: its name, step, error, and time of a fall by clock and by one processor."""

    name: str
    step: float
    error: float
    clock: float
    processor: float


def best(work: Callable[[], object], runs: int) -> tuple[float, float]:
    """Shortest of several runs, by the clock and by processor time. [s]"""
    clocks, processors = [], []
    for _ in range(runs):
        clock, processor = time.perf_counter(), time.process_time()
        work()
        clocks.append(time.perf_counter() - clock)
        processors.append(time.process_time() - processor)
    return min(clocks), min(processors)


def ours(error_bound: float, count: int) -> MotionBlocks:
    chain = Chain(mass=100.0, free_fall=0.0, stiffness=CASE.stiffness)
    return MotionBlocks(our_scene(CASE), our_launch(CASE, count), chain, Body(), DURATION, 1e-9, error_bound)


def our_numbers(blocks: MotionBlocks) -> np.ndarray:
    blocks.run(0.0)
    return np.array([blocks.get(row)[0] for row in (rows.PEAK, rows.LOWEST, rows.ROUND_LOW)])


def engine_numbers(step: float, integrator: str) -> np.ndarray:
    place, force = engine_path(CASE, step, integrator)
    return np.array([force.max(), place[:, 2].min(), place[:, 0].min()])


def error(numbers: np.ndarray, exact: np.ndarray) -> float:
    drop = CASE.start[2] - exact[1]
    return float((np.abs(numbers - exact) / [exact[0], drop, drop]).max())


def our_side(error_bound: float, exact: np.ndarray) -> Side:
    off = error(our_numbers(ours(error_bound, 1)), exact)
    clocks, processors, step = [], [], 0.0
    for _ in range(5):
        blocks = ours(error_bound, FALLS)
        clock, processor = best(lambda blocks=blocks: blocks.run(0.0), 1)  # a run ends where it ends: once each
        clocks.append(clock)
        processors.append(processor)
        step = float(blocks.get(rows.STEP)[0])
    return Side("ours", step, off, min(clocks) / FALLS, min(processors) / FALLS)


def engine_side(integrator: str, step: float, exact: np.ndarray) -> Side:
    model = engine_model(CASE, step, integrator)
    steps = round(DURATION / step)

    def work() -> None:
        data = mujoco.MjData(model)
        data.qvel[:] = CASE.velocity
        mujoco.mj_step(model, data, nstep=steps)

    return Side(integrator, step, error(engine_numbers(step, integrator), exact), *best(work, 5))


def show(side: Side) -> None:
    print(
        f"{side.name:>12} {side.step * 1e3:7.3f} ms  error {side.error:.1e}   "
        f"{side.clock * 1e3:9.4f} ms a fall by the clock, {side.processor * 1e3:9.4f} ms of one processor"
    )


def main() -> int:
    motion_blocks._LONGEST_STEP = 1.2e-2  # else the longest steps would all be the same
    first, _ = best(lambda: ours(1e-4, 32).run(0.0), 1)
    print(f"first run, compiling if nothing is kept: {first:.1f} s")
    exact, engine_exact = our_numbers(ours(1e-9, 1)), engine_numbers(2e-5, "RK4")
    print(
        f"peak force {exact[0]:.1f} N, engine {engine_exact[0]:.1f} N; "
        f"lowest {exact[1]:.4f} m, engine {engine_exact[1]:.4f} m"
    )
    engine = [engine_side(name, step, engine_exact) for name, step in ENGINE]
    mine = [our_side(bound, exact) for bound in (1e-5, 3e-5, 1e-4, 3e-4)]
    for side in (*engine, *mine):
        show(side)
    met = False
    for side in mine:
        good = [other for other in engine if other.error <= side.error]
        if not good:
            continue
        other = min(good, key=lambda one: one.clock)
        ratio, alone = other.clock / side.clock, other.processor / side.processor
        met |= ratio >= GOAL
        print(
            f"at {side.error:.1e}: {ratio:.0f} x {other.name} {other.step * 1e3:g} ms (error {other.error:.1e}) by the "
            f"clock, {alone:.0f} x core for core"
        )
    print(f"goal {GOAL:.0f} x: {'met' if met else 'missed'}")
    return 0 if met else 1


if __name__ == "__main__":
    raise SystemExit(main())
