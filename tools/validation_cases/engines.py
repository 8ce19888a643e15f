"""Other programs, run here: an ODE solver, two physics engines, a statistics library. Slow, and some are optional."""

# ruff: noqa: E501 - sentences of the page stand on one line, as on the page

from __future__ import annotations

import importlib
import importlib.util
import sys
from pathlib import Path

import numpy as np
from validation_cases.rows import Row, Section

from ropewright.arrest import GRAVITY, Chain, catch
from ropewright.arrest.chance import saltelli_draws, sobol_indices

ROOT = Path(__file__).parents[2]
MASS, FALL, LENGTH, MODULUS = 100.0, 2.0, 4.0, 40_000.0


def quick_sections() -> list[Section]:
    """What needs no other program."""
    return [elastic_recorded(), indices()]


def slow_sections() -> list[Section]:
    return [engines_now(), swings_now(), lines_now(), solver()]


def elastic_recorded() -> Section:
    caught = catch(Chain(MASS, FALL, MODULUS / LENGTH))
    force = float(caught.peak_force[0])
    rows = (
        Row("I01 closed form", "peak, N", 7320.0896, force, 1e-4),
        Row("I01 MuJoCo 4.0.0, as recorded", "peak, N", 7320.0878, force, 1e-4),
        Row("I01 pymunk, as recorded", "peak, N", 7320.0899, force, 1e-4),
        Row("I01 closed form", "stretch, m", 0.73200896, float(caught.stop_distance[0]), 1e-4),
    )
    return Section(
        "Elastic drop through three codes", "100 kg falls 2 m onto 4 m of rope of 40 kN per unit strain.", rows
    )


def indices() -> Section:
    x = -np.pi + 2 * np.pi * saltelli_draws(4096, 3)
    found = sobol_indices(np.sin(x[..., 0]) + 7 * np.sin(x[..., 1]) ** 2 + 0.1 * x[..., 2] ** 4 * np.sin(x[..., 0]))
    first, total = (0.314, 0.442, 0.0), (0.558, 0.442, 0.244)
    rows = tuple(
        Row("Ishigami function, 4,096 base draws", f"{kind} index of x{i + 1}", value, float(ours[i]), 0.02)
        for kind, values, ours in (("first-order", first, found.first), ("total", total, found.total))
        for i, value in enumerate(values)
    )
    return Section("Sobol indices", "Ishigami and Homma 1990, closed form, from memory.", rows)


def _missing(name: str) -> bool:
    return importlib.util.find_spec(name) is None


def engines_now() -> Section:
    sys.path.insert(0, str(ROOT / "tests" / "external"))
    missing = [name for name in ("mujoco", "pymunk") if _missing(name)]
    if missing:
        note = f"Skipped: {' and '.join(missing)} not installed (part of the `dev` extra)."
        return Section("Elastic drop, engines run now", "As above.", (), (note,))
    drop = importlib.import_module("test_drop_engines")

    ours = float(catch(Chain(MASS, FALL, MODULUS / LENGTH)).stop_distance[0])
    rows = (
        Row("MuJoCo, steps of 0.2 ms", "stretch, m", drop.mujoco_stretch(), ours, 5e-5),
        Row("pymunk, steps of 0.1 ms", "stretch, m", drop.pymunk_stretch(), ours, 5e-4),
    )
    return Section("Elastic drop, engines run now", "As above, at each engine's own step error.", rows)


def solver() -> Section:
    sys.path.insert(0, str(ROOT / "tests" / "external"))
    oracle = importlib.import_module("catch_oracle")

    r, n = np.random.default_rng(7), 40
    length = r.uniform(1, 15, n)
    f = {
        "mass": r.uniform(60, 140, n), "free_fall": r.uniform(0.3, 3, n), "stiffness": r.uniform(20e3, 49e3, n) / length,
        "fast_stiffness": r.uniform(10e3, 30e3, n) / length, "relaxation_time": r.uniform(0.1, 0.5, n),
        "grab_slip_force": r.uniform(3e3, 8e3, n), "grab_slip_length": r.uniform(0.05, 0.5, n),
        "absorber_force": r.uniform(3.5e3, 6e3, n), "absorber_length": r.uniform(0.3, 1.2, n),
        "lockout_stiffness": r.uniform(2e4, 1e6, n), "lanyard_stiffness": r.uniform(2e4, 1e6, n),
    }  # fmt: skip
    ours = catch(Chain(**f))
    worst = {"peak force": 0.0, "stopping distance": 0.0, "stopping time": 0.0}
    for i in range(n):
        g = {name: float(values[i]) for name, values in f.items()}
        slides = {
            "grab": (g["grab_slip_force"], g["grab_slip_length"]),
            "absorber": (g["absorber_force"], g["absorber_length"]),
        }
        step = np.sqrt(g["mass"] / (g["stiffness"] + g["fast_stiffness"])) / 100
        exact = oracle.solve(
            oracle.Catch(g["mass"], g["free_fall"], g["stiffness"], g["fast_stiffness"], g["relaxation_time"], slides,
                  1 / g["lanyard_stiffness"], 1 / g["lockout_stiffness"]),
            rtol=1e-10, max_step=step,
        )  # fmt: skip
        pairs = (
            (ours.peak_force[i], exact.peak),
            (ours.stop_distance[i], exact.distance),
            (ours.stop_time[i], exact.time),
        )
        for name, (mine, theirs) in zip(worst, pairs, strict=True):
            worst[name] = max(worst[name], abs(float(mine) / theirs - 1))
    rows = tuple(
        Row(f"greatest of {n} random chains", f"{name}, ours over theirs", 1.0, 1.0 + error, 3e-4)
        for name, error in worst.items()
    )
    source = (
        f"scipy's `solve_ivp` (LSODA, rtol 1e-10, short steps), phase by phase, on {n} random chains of damped rope, grab, "
        f"absorber, lock-out and springs; standard gravity {GRAVITY}."
    )
    return Section("Whole chains against an ODE solver", source, rows)


def swings_now() -> Section:
    """Swings over an eave and a rake, and slides over one, through MuJoCo."""
    sys.path.insert(0, str(ROOT / "tests" / "external"))
    if _missing("mujoco"):
        note = "Skipped: mujoco not installed (part of the `dev` extra)."
        return Section("Swings and slides, an engine run now", "As above.", (), (note,))
    from ropewright.arrest.motion import motion

    swing, slide = importlib.import_module("test_swing_mujoco"), importlib.import_module("test_slide_mujoco")
    rows: list[Row] = []
    for name, case in swing.CASES.items():
        place, force = swing.engine_path(case, 5e-4)
        chain = Chain(mass=100.0, free_fall=0.0, stiffness=case.stiffness)
        kept = {"time_limit": case.duration, "rest_speed": 1e-9, "least_loss": 0.0}
        ours = motion(swing.our_scene(case), swing.our_launch(case), chain, **kept)
        rows += [
            Row(f"swing, {name}", "peak, N", float(force.max()), float(ours.peak_force[0]), 2e-3),
            Row(f"swing, {name}", "lowest, m", float(place[:, 2].min()), float(ours.lowest[0]), 2e-3),
        ]
    for friction in (0.0, 0.2, 0.45):
        place, force = slide.engine(friction, 2.6)
        ours = slide.ours(friction, 2.6)
        rows += [
            Row(f"slide down 3 m of 35 deg, friction {friction:g}", "peak, N", float(force.max()), float(ours.peak_force[0]), 3e-3),
            Row(f"slide down 3 m of 35 deg, friction {friction:g}", "lowest, m", float(place[:, 2].min()), float(ours.lowest[0]), 4e-3),
        ]  # fmt: skip
    source = (
        "MuJoCo: its own tendon wrapped over a thin bar, its own contact with friction, at its own step error. What has no "
        "engine beside it: friction of rope on edge."
    )
    return Section("Swings and slides, an engine run now", source, tuple(rows))


def lines_now() -> Section:
    """Lines through MoorPy at a tight tolerance."""
    if _missing("moorpy"):
        note = "Skipped: moorpy not installed (part of the `dev` extra)."
        return Section("Lines, a mooring-line library run now", "As above.", (), (note,))
    import warnings

    from ropewright.arrest.cable import Cable
    from ropewright.arrest.cable_balance import hang_cable

    rows: list[Row] = []
    for name, run, rise, length, stiffness, weight in (
        ("B20", 400.0, 200.0, 500.0, 7.51e12, 200.0),
        ("B21", 246.22421, 263.55766, 360.62566, 7e8, 3.08735),
    ):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            catenary = importlib.import_module("moorpy.Catenary").catenary
            ends = catenary(run, rise, length, stiffness, weight, CB=-1e4, Tol=1e-10)
        (span,) = hang_cable(Cable((run,), (length,), (rise,), weight=weight, stiffness=stiffness)).spans
        rows += [
            Row(f"{name}, tolerance 1e-10", "level pull, N", float(abs(ends[2])), span.horizontal, 1e-6),
            Row(f"{name}, tolerance 1e-10", "upper end, N", float(abs(ends[3])), span.v_right, 1e-6),
        ]
    return Section("Lines, a mooring-line library run now", "MoorPy 1.3.0's own catenary.", tuple(rows))
