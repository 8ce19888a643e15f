"""Worked examples of lines and cables: textbooks, a regulation, and the tests of a mooring-line library."""

# ruff: noqa: E501 - each comparison stands on one line, as on the page

from __future__ import annotations

import math
from collections.abc import Callable

from validation_cases.rows import Row, Section

from ropewright.arrest.cable import Cable, PointLoad, sag_amplification
from ropewright.arrest.cable_balance import hang_cable
from ropewright.arrest.cable_rig import rigged_to_length, rigged_to_sag, rigged_to_tension
from ropewright.arrest.cable_segment import piece_of
from ropewright.arrest.cable_span import SpanTask, hang_span


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    from scipy.optimize import brentq

    return float(brentq(function, low, high, rtol=1e-13))


def _three_loads() -> list[Row]:
    tayal = SpanTask(run=8.0, rise=2.0, places=(2.0, 4.0, 6.0), forces=(400.0, 600.0, 400.0))
    h = _root(lambda h: hang_span(tayal, h).nodes[2][1] + 0.25, 100.0, 1e5)
    hung = hang_span(tayal, h)
    beer = SpanTask(run=18.0, rise=6.0, places=(6.0, 9.0, 13.5), forces=(30e3, 60e3, 20e3))
    cable = hang_span(beer, _root(lambda h: hang_span(beer, h).nodes[2][1] + 1.5, 1e3, 1e6))
    return [
        Row("B01 three loads, Tayal 10.1", "level pull, N", 1600.0, h, 1e-6),
        Row("B01", "left tension, N", 1627.8821, hung.tension_left, 1e-6),
        Row("B01", "right tension, N", 1941.6488, hung.tension_right, 1e-6),
        Row("B01", "right end's plumb force, N", 1100.0, hung.v_right, 1e-6),
        Row("B01", "E below the right end, m", 1.375, 2.0 - hung.nodes[3][1], 1e-6),
        Row("B01", "steepest, deg", 34.508523, math.degrees(math.atan2(hung.v_right, h)), 1e-6),
        Row("B03 one sag known, Beer and Johnston 7.8", "level pull, N", 90e3, cable.horizontal, 1e-4),
        Row("B03", "greatest tension, N", 123.79418e3, cable.tension_right, 1e-4, "the notebook has a slip of sign"),
        Row("B03", "D over A, m", 1.75, cable.nodes[3][1], 1e-4, "-9.25 printed, of that slip"),
        Row("B03", "B below A, m", 1.6666667, -cable.nodes[1][1], 1e-4, "1.67 printed"),
        Row("B03", "left end's plumb force, N", 25e3, abs(cable.v_left), 1e-4),
        Row(
            "B03",
            "steepest, deg",
            43.363423,
            math.degrees(math.atan2(cable.v_right, cable.horizontal)),
            1e-4,
            "73.6 printed, of that slip",
        ),
    ]


def _catenaries() -> list[Row]:
    pulley = hang_cable(rigged_to_sag(Cable((30.0,), weight=0.5 * 9.81), 0.5))
    least = hang_cable(rigged_to_tension(Cable((30.0,), weight=3.0), 400.0))
    long = hang_cable(rigged_to_length(Cable((164.79184,), weight=5 * 9.81), 200.0))
    w = 4122 / 5280
    shallow = hang_span(SpanTask(run=500.0, rise=0.0, weight=w), 1600.0 * w)
    uneven = hang_span(SpanTask(run=240.0, rise=-5.0, weight=0.63), 1350.0)
    taut = hang_span(SpanTask(run=200.0, rise=0.0, weight=0.7), 1400.0)
    return [
        Row("B07 shallow cable, Tayal 10.4", "tension, N", 1106.0748, pulley.tension, 5e-4, "printed of a parabola"),
        Row("B07 the same as a catenary", "tension, N", 1106.486, pulley.tension, 1e-6),
        Row(
            "B07",
            "slope at the ends, deg",
            3.8140748,
            math.degrees(math.acos(pulley.spans[0].horizontal / pulley.tension)),
            5e-4,
            "of a parabola",
        ),
        Row("B07", "length, m", 30.022222, pulley.spans[0].unstressed, 1e-6, "of a parabola"),
        Row("B07 the same as a catenary", "length, m", 30.022211, pulley.spans[0].unstressed, 1e-7),
        Row("B08 least sag, Tayal 10.5", "sag, m", 0.849141, least.sag, 1.2e-3, "printed of a parabola"),
        Row("B08 the same as a catenary", "sag, m", 0.85007139, least.sag, 1e-6),
        Row("B09 length and sag, Tayal 10.6", "sag, m", 50.0, long.sag, 1e-6),
        Row(
            "B09",
            "span of that length and sag, m",
            164.79184,
            _root(
                lambda run: hang_cable(rigged_to_length(Cable((run,), weight=5 * 9.81), 200.0)).sag - 50.0, 160.0, 170.0
            ),
            1e-6,
        ),
        Row("B09", "level pull over weight a metre, m", 75.0, long.spans[0].horizontal / (5 * 9.81), 1e-6),
        Row("B09", "greatest tension, N", 6131.25, long.tension, 1e-6),
        Row("B11 long shallow span, Gönen 13.1", "length, ft", 502.037, shallow.unstressed, 2e-6),
        Row("B11", "sag, ft", 19.571019, shallow.sag, 1e-6, "19.6 printed"),
        Row("B11", "greatest tension, lb", 1264.4, shallow.tension_right, 5e-5),
        Row("B11", "least tension, lb", 1249.0909, shallow.horizontal, 1e-6, "1,249.1 printed"),
        Row("B11", "level pull, lb", 1246.5527, shallow.horizontal, 2.5e-3, "of a parabola"),
        Row("B11", "length, ft", 502.03451, shallow.unstressed, 1e-5, "of a series cut short"),
        Row("B14 uneven supports, Ray 5.3", "clearance, m", 13.675, 20 + uneven.lowest[1], 3e-4, "of a parabola"),
        Row("B14", "sag below the upper support, m", 6.3250298, -uneven.lowest[1], 3e-4, "of a parabola"),
        Row("B14", "sag below the lower support, m", 1.3250298, -uneven.lowest[1] - 5.0, 1e-3, "of a parabola"),
        Row("B15 taut span, Gupta 10-E1", "sag, m", 2.5, taut.sag, 2.5e-4, "of a parabola"),
    ]


def _lifelines() -> list[Row]:
    pull = 8 * 9.81 / math.tan(math.radians(30))
    cord = piece_of(
        0.4, pull, 0.0, 0.0, 1.0 / (300.0 * 0.4)
    )  # unstressed length, level pull, ..., stretch per force and length
    held = _root(lambda length: piece_of(length, pull, 8 * 9.81, 0.0, 0.0).run + cord.run - 2.0, 1.0, 2.0)
    (moored,) = hang_cable(Cable((400.0,), (500.0,), (200.0,), weight=200.0, stiffness=7.51e12)).spans
    (near,) = hang_cable(Cable((246.22421,), (360.62566,), (263.55766,), weight=3.08735, stiffness=7e8)).spans
    state = hang_cable(Cable((20.0,), (20.05,), stiffness=1.7e6), [PointLoad(10.0, 6000.0)])
    dry, afloat = (
        hang_cable(Cable((20.0,), (20.05,), weight=mass * 9.81, stiffness=1.7e6), [PointLoad(10.0, 6000.0)])
        for mass in (0.25, 0.25 - 1025 * math.pi / 4 * 0.008**2)
    )
    return [
        *(
            Row("B18 amplification, 29 CFR 1926 Subpart M App. C", f"factor at {angle:g} deg", about, sag_amplification(angle), 0.05)
            for angle, about in ((15.0, 2.0), (5.0, 6.0), (30.0, 1.0))
        ),
        Row("B19 lamp on two cords, Hibbeler 3.4", "length of the cord that holds it, m", 1.3243209, held, 1e-6, "1.32 printed"),
        Row("B19", "elastic cord, N", 135.93135, pull, 1e-6),
        Row("B19", "elastic cord, m", 0.85310449, cord.run, 1e-6),
        Row("B20 suspended line, MoorPy's own tests", "level pull, N", 43694.581, moored.horizontal, 1e-6),
        Row("B20", "upper end, N", 77634.401, moored.v_right, 1e-6),
        Row("B20", "lower end, N", -22365.599, moored.v_left, 1e-6),
        Row("B21 the same, near taut", "level pull, N", 71116.8, near.horizontal, 2e-5),
        Row("B21", "upper end, N", 76680.6, near.v_right, 2e-5),
        Row("B21", "lower end, N", 75567.3, near.v_left, 2e-5),
        Row("B21 with that library's tolerance set tight", "level pull, N", 71117.6, near.horizontal, 1e-6, "its tests' own figure is as loose as its default"),
        Row("I02 load at midspan, closed form", "sag, m", 1.643203, state.sag, 1e-6),
        Row("I02", "tension, N", 18501.864, state.tension, 1e-6),
        Row("I02 with its weight, MoorPy 1.3.0 as recorded", "sag, m", 1.644764, dry.sag, 1e-4),
        Row("I02", "tension, N", 18546.47, dry.tension, 1e-4),
        Row("I02", "tension at the load, N", 18543.3, dry.spans[0].pieces[0].t2, 1e-4),
        Row("I02 less what sea water takes off an 8 mm line", "sag, m", 1.644764, afloat.sag, 1e-4, "the recorded run weighed its line in water: found out here, since both numbers then agree"),
        Row("I02", "tension, N", 18546.47, afloat.tension, 1e-4),
        Row("I02", "tension at the load, N", 18543.3, afloat.spans[0].pieces[0].t2, 1e-4),
    ]  # fmt: skip


def lines() -> Section:
    source = (
        "Textbooks, read in their open companion notebooks (2017); a rule's appendix, read; the test suite of a "
        "mooring-line library, read. Ours hangs elastic catenaries, so a book's parabola differs by what the two differ."
    )
    return Section("Lines and cables", source, (*_three_loads(), *_catenaries(), *_lifelines()))
