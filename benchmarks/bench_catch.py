"""Falls a second: the batched kernel against scipy's `solve_ivp` (LSODA), one fall at a time, at equal error.

Run: python benchmarks/bench_catch.py [falls]

Both sides work out the same random chains (damped rope, grab, absorber, lock-out, springs) to their first rest. Errors
are the 95th percentile over the falls, in peak force and stopping distance, against LSODA at rtol 1e-10 with short
steps. The kernel is held against LSODA at the loosest tolerance tried whose distances are no worse than its own; peaks
count not, as LSODA at long steps sees its own only at their ends.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "external"))
from catch_oracle import Catch, solve

from ropewright.arrest import Chain, catch, kernel
from ropewright.arrest.steps import Falls

#: Arithmetic operations of one step of one fall, counted in `kernel.march`: 23 products, 33 sums, 9 choices.
OPERATIONS = 65

#: Falls that LSODA works out.
FEW = 60


def inputs(n: int) -> dict[str, np.ndarray]:
    r = np.random.default_rng(7)
    length = r.uniform(1, 15, n)
    return {
        "mass": r.uniform(60, 140, n),
        "free_fall": r.uniform(0.3, 3, n),
        "stiffness": r.uniform(20e3, 49e3, n) / length,
        "fast_stiffness": r.uniform(10e3, 30e3, n) / length,
        "relaxation_time": r.uniform(0.1, 0.5, n),
        "grab_slip_force": r.uniform(3e3, 8e3, n),
        "grab_slip_length": r.uniform(0.05, 0.5, n),
        "absorber_force": r.uniform(3.5e3, 6e3, n),
        "absorber_length": r.uniform(0.3, 1.2, n),
        "lockout_stiffness": r.uniform(2e4, 1e6, n),
        "lanyard_stiffness": r.uniform(2e4, 1e6, n),
    }


def oracle(fields: dict[str, np.ndarray], i: int, rtol: float, short: bool = False) -> Catch:
    f = {name: float(values[i]) for name, values in fields.items()}
    parts = {
        "grab": (f["grab_slip_force"], f["grab_slip_length"]),
        "absorber": (f["absorber_force"], f["absorber_length"]),
    }
    fall = Catch(
        f["mass"], f["free_fall"], f["stiffness"], f["fast_stiffness"], f["relaxation_time"], parts,
        1 / f["lanyard_stiffness"], 1 / f["lockout_stiffness"],
    )  # fmt: skip
    step = np.sqrt(f["mass"] / (f["stiffness"] + f["fast_stiffness"])) / 100 if short else np.inf
    return solve(fall, rtol=rtol, max_step=step)


def errors(found: list[tuple[float, float]], exact: list[Catch]) -> tuple[float, float]:
    pairs = zip(found, exact, strict=True)
    off = np.array([(abs(p / e.peak - 1), abs(d / e.distance - 1)) for (p, d), e in pairs])
    peak, distance = np.quantile(off, 0.95, axis=0)
    return float(peak), float(distance)


class Speed(NamedTuple):
    """Falls worked out in a second."""

    wall: float  # falls a second as it passes, on all cores that are free
    core: float  # falls in a second of one core's time, which other work on the machine hardly touches

    def __str__(self) -> str:
        return f"{self.wall:9,.0f} falls/s ({self.core:9,.0f} in a second of a core)"


def timed(work: Callable[[], object], falls: int, times: int) -> Speed:
    """Best of several runs."""
    best = [np.inf, np.inf]
    for _ in range(times):
        wall, core = time.perf_counter(), time.process_time()
        work()
        best = [min(best[0], time.perf_counter() - wall), min(best[1], time.process_time() - core)]
    return Speed(falls / best[0], falls / best[1])


def vector_peak(*, fused: bool) -> float:
    """Products and sums of numbers in registers, two operations each, in a second of processor time. [1/s]"""
    from numba import njit

    @njit(fastmath={"contract"} if fused else False)
    def burn(a: np.ndarray, b: float, c: float, times: int, width: int) -> None:
        for _ in range(times):
            for j in range(width):
                p, q, r, s = a[j], a[128 + j], a[256 + j], a[384 + j]
                for _ in range(8):
                    p, q, r, s = p * b + c, q * b + c, r * b + c, s * b + c
                a[j], a[128 + j], a[256 + j], a[384 + j] = p, q, r, s

    numbers = np.ones(512)
    burn(numbers, 0.5, 0.5, 1, 128)
    best, times = np.inf, 20_000
    for _ in range(5):
        start = time.process_time()
        burn(numbers, 0.999, 0.001, times, 128)
        best = min(best, time.process_time() - start)
    return times * 128 * 4 * 8 * 2 / best


def lane_times() -> dict[int, float]:
    """Processor time of a step of a block with 4, 8 and 16 of its falls in use. [s]"""
    march, found = kernel.compiled(), {}
    endless = {"mass": 100.0, "free_fall": 2.0, "stiffness": 1e-3, "fast_stiffness": 1e4, "relaxation_time": 1e9}
    for lanes in (4, 8, 16):
        best, steps = np.inf, 200_000
        for _ in range(5):
            falls = Falls(Chain(**{name: np.full(16, value) for name, value in endless.items()}).parts, 1e-12)
            start = time.process_time()
            march(falls.blocks, 0, 1, lanes, steps)
            best = min(best, time.process_time() - start)
        found[lanes] = best / steps
    return found


def lane_use(falls: Falls) -> float:
    """Share of the lanes that were at work while their blocks ran."""
    steps = falls.get(kernel.STEPS)[falls.order]
    blocks = steps[: len(steps) // kernel.LANES * kernel.LANES].reshape(-1, kernel.LANES)
    return float(blocks.sum() / (np.ceil(blocks.max(axis=1) / 8) * 8 * kernel.LANES).sum())


def show_lsoda(fields: dict[str, np.ndarray], exact: list[Catch]) -> dict[float, tuple[Speed, float]]:
    """Time LSODA at several tolerances; returns speed and error in distance."""
    sides = {}
    for rtol in (1e-3, 1e-4, 1e-5, 1e-6, 1e-7):
        found = [oracle(fields, i, rtol) for i in range(FEW)]
        speed = timed(lambda rtol=rtol: [oracle(fields, i, rtol) for i in range(FEW)], FEW, 2)
        peak, distance = errors([(f.peak, f.distance) for f in found], exact)
        sides[rtol] = speed, distance
        print(f"LSODA, rtol {rtol:.0e}:  {speed}, error {distance:.1e} in distance, {peak:.1e} in peak")
    return sides


def show_kernel(
    fields: dict[str, np.ndarray],
    exact: list[Catch],
    bound: float,
    lsoda: dict[float, tuple[Speed, float]],
    peak_ops: float,
) -> None:
    """Time the kernel to the first rest, and hold it against LSODA at an error no greater than its own."""
    n = len(fields["mass"])
    few = catch(Chain(**{name: values[:FEW] for name, values in fields.items()}), error_bound=bound)
    peak, distance = errors(list(zip(few.peak_force, few.stop_distance, strict=True)), exact)

    def work() -> Falls:
        falls = Falls(Chain(**fields).parts, bound)
        falls.run(2_000_000)
        return falls

    falls = work()
    speed = timed(work, n, 5)
    run = timed(lambda: Falls(Chain(**fields).parts, bound).run(2_000_000), n, 3)
    rival = max((side for side, error in lsoda.values() if error <= distance), key=lambda side: side.wall)
    steps = float(falls.get(kernel.STEPS).mean())
    ops = run.core * steps * OPERATIONS
    print(f"kernel, bound {bound:.0e}: {speed}, error {distance:.1e} in distance, {peak:.1e} in peak")
    ratio, ratio_of_cores = speed.wall / rival.wall, speed.core / rival.core
    print(f"    {ratio:,.0f} times LSODA at no less error; {ratio_of_cores:,.0f} times core for core")
    print(
        f"    {steps:,.0f} steps a fall, {ops / 1e9:.1f} G operations in a second of a core, {ops / peak_ops:.0%} "
        f"of the fused peak; {1 - lane_use(falls):.0%} of the lanes wait for the slowest fall of their block"
    )


def show_limit() -> float:
    """Print how far from the machine's limit a step is, and what holds it; returns that limit. [1/s]"""
    fused, apart = vector_peak(fused=True), vector_peak(fused=False)
    times = lane_times()
    ops = OPERATIONS * 16 / times[16]
    print(
        f"peak of one core in registers: {fused / 1e9:.1f} G operations/s with products and sums fused, "
        f"{apart / 1e9:.1f} G with each rounded\n"
        f"a step of 16, none waiting: {times[16] * 1e9:.0f} ns, {ops / 1e9:.1f} G operations/s, {ops / fused:.0%} "
        f"of the fused peak, {ops / apart:.0%} of the other\n"
        "    held by: no fusing, so that results are the same on every machine; 32 numbers read and 11 written for "
        f"{OPERATIONS} operations;\n"
        f"    and a chain of operations that wait for each other: 4 falls alone take {times[4] * 1e9:.0f} ns, "
        f"8 {times[8] * 1e9:.0f} ns"
    )
    return fused


def main() -> None:
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    fields = inputs(n)
    start = time.perf_counter()
    kernel.compiled()(np.zeros((1, kernel.BLOCK)), 0, 1, 16, 8)
    print(f"kernel ready after {time.perf_counter() - start:.2f} s (from disk, if it was compiled before)")
    exact = [oracle(fields, i, 1e-10, short=True) for i in range(FEW)]
    lsoda = show_lsoda(fields, exact)
    peak_ops = show_limit()
    for bound in (3e-3, 3e-4, 3e-5):
        show_kernel(fields, exact, bound, lsoda, peak_ops)
    whole = timed(lambda: catch(Chain(**fields)).lowest, n, 3)
    print(f"catch and lowest point: {whole}, all {n:,} falls")


if __name__ == "__main__":
    main()
