"""Hanging lines against MoorPy: time of each, and how far the two answers lie apart.

Run: ``python benchmarks/bench_cable.py``. Both sides run in this process, warm; processor time, the best of three
rounds. The library is told the line in pieces between the loads, as our answer has them, and finds points and forces
by itself.
"""

from __future__ import annotations

import math
import time
import warnings
from collections.abc import Callable

import numpy as np

from ropewright.arrest.cable import Cable, CableState, PointLoad
from ropewright.arrest.cable_balance import hang_cable
from ropewright.arrest.cable_energy import energy_catch
from ropewright.arrest.cable_motion import line_motion
from ropewright.arrest.cable_worker import LineWorker

warnings.filterwarnings("ignore")
import moorpy  # noqa: E402  (it warns while it is imported)
from moorpy.Catenary import catenary  # noqa: E402

WEIGHT = 0.25 * 9.80665
LINE = Cable((20.0,), (20.05,), weight=WEIGHT, stiffness=1.7e6)
CASES = {
    "one load at midspan": (LINE, [PointLoad(10.0, 6000.0)]),
    "one load off the middle": (LINE, [PointLoad(4.0, 6000.0)]),
    "two loads, supports 1.5 m apart in height": (
        Cable((18.0,), (18.1,), (1.5,), 3.0, 4e5),
        [PointLoad(5.0, 2500.0), PointLoad(13.0, 981.0)],
    ),
    "three loads, slack and soft": (
        Cable((15.0,), (17.0,), (), 1.2, 3e4),
        [PointLoad(3.0, 300.0), PointLoad(8.0, 1000.0), PointLoad(11.0, 300.0)],
    ),
}


def best(call: Callable[[], object], repeats: int) -> float:
    """Seconds of processor time per call, best of three rounds."""
    rounds = []
    for _ in range(3):
        start = time.process_time()
        for _ in range(repeats):
            call()
        rounds.append((time.process_time() - start) / repeats)
    return min(rounds)


def moored(state: CableState) -> moorpy.System:
    cable, (span,) = state.cable, state.spans
    system = moorpy.System(depth=1e4)  # no seabed within reach
    system.lineTypes["line"] = {
        "name": "line",
        "d_vol": 0.0,  # no buoyancy: the line hangs in air
        "m": cable.weight / 9.81,
        "EA": cable.stiffness,
        "w": cable.weight,
    }
    (x0, z0), (x1, z1) = cable.supports[0], cable.supports[-1]
    system.addPoint(1, np.array([x0, 0.0, z0]))
    for load, (x, z) in zip(state.loads, state.load_points, strict=True):
        system.addPoint(0, np.array([x + 0.05, 0.0, z + 0.1]), fExt=np.array([0.0, 0.0, -load.force]))
    system.addPoint(1, np.array([x1, 0.0, z1]))
    for k, piece in enumerate(span.pieces, start=1):
        system.addLine(piece.s, "line", pointA=k, pointB=k + 1)
    system.initialize(plots=0)
    return system


def solved(state: CableState) -> moorpy.System:
    system = moored(state)
    system.solveEquilibrium(tol=1e-7)
    return system


def loads() -> None:
    print(f"{'loads on a line':<44}{'ours':>10}{'MoorPy':>10}{'ratio':>8}{'tension off by':>17}{'place off by':>15}")
    for name, (cable, carried) in CASES.items():
        state = hang_cable(cable, carried)
        system = solved(state)
        tension = abs(system.lineList[0].TA / state.spans[0].tension_left - 1.0)
        found = np.array([(point.r[0], point.r[2]) for point in system.pointList[1:-1]])
        place = np.abs(found - np.array(state.load_points)).max()
        ours = best(lambda c=cable, w=carried: hang_cable(c, w), 20)
        theirs = best(lambda s=state: solved(s), 3)
        times = f"{ours * 1e3:>7.2f} ms{theirs * 1e3:>7.1f} ms{theirs / ours:>7.1f}x"
        print(f"{name:<44}{times}{tension:>17.1e}{place:>13.1e} m")


def single_lines() -> None:
    rng = np.random.default_rng(1)
    errors, ours, theirs = [], 0.0, 0.0
    for _ in range(40):
        run, rise = rng.uniform(5, 40), rng.uniform(0, 10)
        length = math.hypot(run, rise) * rng.uniform(0.998, 1.2)
        weight, modulus = rng.uniform(0.5, 20), 10 ** rng.uniform(4.5, 6.5)
        cable = Cable((run,), (length,), (rise,), weight, modulus)

        def library(run=run, rise=rise, length=length, modulus=modulus, weight=weight) -> tuple:
            return catenary(run, rise, length, modulus, weight, CB=-1e6, Tol=1e-10, MaxIter=200)

        (span,) = hang_cable(cable).spans
        errors.append(abs(library()[0] / span.horizontal - 1.0))
        ours += best(lambda c=cable: hang_cable(c), 3)
        theirs += best(library, 3)
    print(f"\n40 single lines: ours {ours * 25:.2f} ms, MoorPy {theirs * 25:.2f} ms each; ", end="")
    print(f"level tension apart by {max(errors):.1e} at most, {np.median(errors):.1e} in the middle")


def falls() -> None:
    worker = LineWorker(10.0, 100.0, 1.8, stiffness=5e4)
    caught, motion = energy_catch(LINE, worker), line_motion(LINE, worker)
    apart = abs(motion.peak_force / caught.force - 1.0)
    bound = best(lambda: energy_catch(LINE, worker), 3)
    followed = best(lambda: line_motion(LINE, worker, aim=caught), 1)
    print(
        f"\na fall: by energy {bound * 1e3:.0f} ms, in time {followed * 1e3:.0f} ms ({len(motion.time)} steps); ",
        end="",
    )
    print(f"peak force apart by {apart:.1e}, energy accounted for to {motion.energy_error:.1e}")


if __name__ == "__main__":
    loads()
    single_lines()
    falls()
