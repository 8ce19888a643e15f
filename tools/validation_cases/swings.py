"""Pendulums, swings and free falls: textbooks and closed forms against falls followed in three dimensions."""

# ruff: noqa: E501 - each comparison stands on one line, as on the page

from __future__ import annotations

import math
import sys
from pathlib import Path

import numpy as np
from validation_cases.rows import Row, Section

from ropewright.arrest import GRAVITY, Chain, catch
from ropewright.arrest.motion import motion
from ropewright.arrest.motion_history import MotionHistory, motion_history
from ropewright.arrest.motion_launch import Launch

sys.path.insert(0, str(Path(__file__).parents[2] / "tests" / "arrest"))

from motion_scenes import eave_scene, on_slope

#: So stiff that a pendulum's rope keeps its length to some millimetres. [N/m]
_STIFF = 3.0e5
_MASS = 100.0
_FOOT = 0.3048


def sections() -> list[Section]:
    """What takes some seconds."""
    return [pendulums(), swings()]


def swung(angle: float, radius: float, *, speed: float = 0.0, duration: float = 0.6) -> MotionHistory:
    """Pendulum about an edge that holds its rope fast, let go at an angle from plumb."""
    tight = _MASS * (GRAVITY * math.cos(angle) + speed**2 / radius)
    long = radius + tight / _STIFF * radius / (5.0 + radius)  # only the rope on the body's side stretches
    scene = eave_scene(on_slope(-5.0 * math.sin(angle), 5.0 * math.cos(angle)))
    launch = Launch(
        0, [long * math.sin(angle), 0.0, -long * math.cos(angle)], 5.0 + radius, velocity=[speed, 0, 0], edge_friction=50.0
    )  # fmt: skip
    return motion_history(
        scene, launch, Chain(_MASS, 0.0, _STIFF), duration=duration, rest_speed=1e-6, error_bound=3e-4
    )


def _period(angle: float, radius: float) -> float:
    fall = swung(angle, radius)
    return 4.0 * float(np.interp(0.0, -fall.place[:, 0], fall.time))


def _damped_period() -> float:
    """Twice the time to the first rest of a weight hung on a slack spring with a dashpot beside it.

    A dashpot straight beside a spring is refused here, because its force jumps at first contact; it is what the
    standard linear solid becomes as its second spring grows and relaxes as much faster.
    """
    dashpot, stiff = 5e-3, 3e4 * 0.030
    hung = catch(Chain(0.002, 0.0, 0.030, fast_stiffness=stiff, relaxation_time=dashpot / stiff))
    return 2.0 * float(hung.stop_time[0])


def pendulums() -> Section:
    scale = math.sqrt(GRAVITY / 10.0)
    rises = swung(0.0, 0.5, speed=3.0 * scale, duration=0.3)
    turned = np.arctan2(rises.place[:, 0], -rises.place[:, 2])
    small = _period(math.radians(4.0), 0.6)
    # of 4 degrees, which is 1.0003 times that of none; the book's g is 9.81
    at_book = small / 1.0003 * math.sqrt(GRAVITY / 9.81)
    rows = [
        Row("D01 pendulum slowed as it rises, Verma 8.5", "speed at 60 deg, m/s", 2.0, float(np.interp(math.pi / 3, turned, rises.speed)) / scale, 2e-3, "at the book's g of 10: speeds go as its root"),
        Row("D03 small pendulum, Bansal 16.19", "period, s", 1.5538926, at_book, 3e-3, "1.55 printed"),
        Row("D05 damped spring, Prakash 2-4", "period, s", 1.7140387, _damped_period(), 5e-3, "1.71 printed; as a limit of the damped rope, since a dashpot straight beside a spring is refused here"),
    ]  # fmt: skip
    rows += [
        Row(f"wide pendulum, let go at {degrees} deg", "period over the small one", factor, _period(math.radians(degrees), 0.6) / (small / 1.0003), 2e-3)
        for degrees, factor in ((30, 1.0174), (60, 1.0732))
    ]  # fmt: skip
    source = (
        "Textbooks, read in their open companion notebooks (2017); wide pendulums by the complete elliptic integral, worked "
        "out apart. Ours: a body on a rope of 300 kN/m that friction holds fast on an edge, followed in three dimensions."
    )
    return Section("Pendulums", source, tuple(rows))


def swings() -> Section:
    rows: list[Row] = []
    for height, aside in ((3.0, 2.0), (3.0, 3.0), (6.0, 4.5)):
        length = math.hypot(height, aside)
        fall = swung(math.atan2(aside, height), length, duration=2.4)
        bottom = float(np.interp(0.0, -fall.place[:, 0], fall.speed))
        name = f"anchor {height:g} m up, {aside:g} m aside"
        rows += [
            Row(name, "swing drop, m", length - height, float(fall.place[0, 2] - fall.place[:, 2].min()), 5e-3, "its rope stretches by some millimetres"),
            Row(name, "speed at the bottom, m/s", math.sqrt(2 * GRAVITY * (length - height)), bottom, 2e-3),
        ]  # fmt: skip
    for degrees, times in ((30, 1.268), (45, 1.586), (60, 2.0)):
        fall = swung(math.radians(degrees), 3.0, duration=1.5)
        rows.append(Row(f"let go at {degrees} deg", "greatest pull over weight", times, float(fall.force.max()) / (_MASS * GRAVITY), 0.01, "the rope is elastic"))  # fmt: skip
    drops = motion(
        eave_scene(on_slope(0, 4)),
        Launch(0, [0, -0.5, 0], 900.0, floor=[-0.6, -1.8, -2.0, -4.0]),
        Chain(_MASS, 0.0, 1e3),
    )
    rows += [
        Row(f"free fall of {drop:g} m", "speed, m/s", speed, float(ours), 5e-3, "3.43, 5.94, 6.26, 8.86 to two digits" if drop == 0.6 else "")
        for drop, speed, ours in zip((0.6, 1.8, 2.0, 4.0), (3.43, 5.94, 6.26, 8.86), drops.met_speed, strict=True)
    ]  # fmt: skip
    for seconds, feet in ((1.0, 16.1), (2.0, 64.3), (3.0, 144.8)):
        fall = motion(
            eave_scene(on_slope(0, 4)), Launch(0, [0, -0.5, 0], 900.0), Chain(_MASS, 0.0, 1e3), time_limit=seconds
        )
        steps = float(fall.time[0]) / seconds  # it is followed to the step after
        rows.append(
            Row(f"free fall of {seconds:g} s", "way, ft", feet, -float(fall.lowest[0]) / _FOOT / steps**2, 2e-3)
        )
    source = (
        "Closed forms of the swing below an anchor: drop l - H, speed sqrt(2 g (l - H)), pull W (3 - 2 cos) at the bottom; "
        "free fall sqrt(2 g h). No regulator's example with numbers could be read."
    )
    source += " From 90 deg, rope and edge would lie along each other."
    return Section("Swings and free falls", source, tuple(rows))
