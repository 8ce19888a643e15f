"""Worked examples of textbooks and rules: falling weights, lines, ropes round drums, hauls, clearances."""

# ruff: noqa: E501 - each comparison stands on one line, as on the page

from __future__ import annotations

import math
from collections.abc import Callable

from validation_cases.rows import Row, Section

from ropewright.arrest import GRAVITY, Chain, Datum, book_clearance, book_free_fall, catch
from ropewright.arrest.cable import Cable, PointLoad, sag_amplification
from ropewright.arrest.cable_balance import hang_cable
from ropewright.arrest.cable_rig import rigged_to_length, rigged_to_sag, rigged_to_tension
from ropewright.arrest.cable_segment import piece_of
from ropewright.arrest.cable_span import SpanTask, hang_span
from ropewright.arrest.capstan import held_force
from ropewright.arrest.haul import HaulSystem, efficiency_of, pull_with_efficiency, pulley_efficiency_for

FEET = 0.3048
STEPS = 1e-4  # the error bound of the time steps is 3e-5, at its worst several times that


def sections() -> list[Section]:
    return [falling_weights(), lines(), drums_and_hauls(), clearances()]


def _bar(modulus_mpa: float, area_mm2: float, length_mm: float) -> float:
    return modulus_mpa * area_mm2 / length_mm * 1e3


def _peak(weight: float, fall: float, stiffness: float, **more: float) -> float:
    return float(catch(Chain(weight / GRAVITY, fall, stiffness, **more)).peak_force[0])


def _sudden_stop(weight: float, speed: float, stiffness: float) -> float:
    """Cage on a running rope that stops: the fall that passes its place of rest under the weight at that speed."""
    fall = (speed**2 - GRAVITY * weight / stiffness) / (2 * GRAVITY)
    return _peak(weight, fall, stiffness)


def _weight_of(extension: float, fall: float, stiffness: float) -> float:
    low, high = 100.0, 1e4
    for _ in range(50):
        middle = (low + high) / 2
        is_short = catch(Chain(middle / GRAVITY, fall, stiffness)).stop_distance[0] < extension
        low, high = (middle, high) if is_short else (low, middle)
    return middle


def falling_weights() -> Section:
    d15, d50 = (math.pi / 4 * d**2 for d in (15, 50))
    cut = 3.14 / 4 * 15**2  # the book's own pi
    rod = _bar(200_000, cut, 1500)
    rows = (
        Row("A01 collar of a bar, Bansal 4.9", "stress, MPa", 187.76389, _peak(10_000, 0.030, _bar(210_000, 1000, 4000)) / 1000, STEPS),
        Row("A03 weight from its extension, Bansal 4.11", "weight, N", 1745.8432, _weight_of(2.1e-3, 0.040, _bar(200_000, 500, 3000)), STEPS),
        Row("A05 stiffness from a static load, Bansal 4.14", "force, N", 18_827.741, _peak(700, 0.075, 10_000 / 3.2e-3), STEPS),
        Row("A07 light weight, long drop, Bansal 4.17", "stress, MPa", 174.71158, _peak(3000, 0.200, _bar(200_000, 2000, 4000)) / 2000, STEPS, "173.2 printed neglects the weight during stretch"),
        Row("A07 heavy weight, short drop", "stress, MPa", 188.85339, _peak(30_000, 0.020, _bar(200_000, 2000, 4000)) / 2000, STEPS),
        Row("A09 cage stopped on its rope, Bansal 4.19", "stress, MPa", 204.60946, _sudden_stop(60_000, 1.0, _bar(200_000, 2500, 15_000)) / 2500, 2e-4, "180.61 printed leaves the static 24 out; the book's g is 9.81"),
        Row("A10 load laid on suddenly, Bansal 4.4", "stress, MPa", 101.85916, _peak(1e5, 0.0, _bar(200_000, d50, 2000)) / d50, STEPS),
        Row("A12 mass on a rod, Gere 2.16", "stress, MPa", 188.12517, _peak(20 * 9.81, 0.150, _bar(210_000, d15, 2000)) / d15, STEPS),
        Row("A15 rod with a soft spring, Popov 2.11", "stress, MPa", 3.5937728, _peak(4 * 9.81, 1.0, rod, anchor_stiffness=4500.0) / cut, STEPS),
        Row("A15 the same rod without it", "stress, MPa", 243.6235, _peak(4 * 9.81, 1.0, rod) / cut, STEPS),
        Row("A16 ball on a soft spring, Tayal 16.6", "deflection, m", 0.26910763, _peak(5 * 9.81, 0.1, 500.0) / 500, STEPS),
        Row("A18 very stiff spring, Verma 8.12", "compression, m", 0.0989849, _peak(0.04 * 9.8, 4.9, 400.0) / 400, STEPS, "0.098 printed neglects the weight"),
    )  # fmt: skip
    source = (
        "Falling weights of textbooks, read in their open companion notebooks (2017) and recomputed; where print and "
        "recomputation differ, the recomputed value stands here and the note says why. Ours: simulated in time."
    )
    return Section("Falling weights", source, rows)


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
        Row("B03 one sag known, Beer and Johnston 7.8", "level pull, N", 90e3, cable.horizontal, 1e-4),
        Row("B03", "greatest tension, N", 123.79418e3, cable.tension_right, 1e-4, "the notebook has a slip of sign"),
        Row("B03", "D over A, m", 1.75, cable.nodes[3][1], 1e-4),
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
        Row("B08 least sag, Tayal 10.5", "sag, m", 0.849141, least.sag, 1.2e-3, "printed of a parabola"),
        Row("B08 the same as a catenary", "sag, m", 0.85007139, least.sag, 1e-6),
        Row("B09 length and sag, Tayal 10.6", "sag, m", 50.0, long.sag, 1e-6),
        Row("B09", "greatest tension, N", 6131.25, long.tension, 1e-6),
        Row("B11 long shallow span, Gönen 13.1", "length, ft", 502.037, shallow.unstressed, 2e-6),
        Row("B11", "sag, ft", 19.571019, shallow.sag, 1e-6, "19.6 printed"),
        Row("B11", "greatest tension, lb", 1264.4, shallow.tension_right, 5e-5),
        Row("B14 uneven supports, Ray 5.3", "clearance, m", 13.675, 20 + uneven.lowest[1], 3e-4, "of a parabola"),
        Row("B15 taut span, Gupta 10-E1", "sag, m", 2.5, taut.sag, 2.5e-4, "of a parabola"),
    ]


def _lifelines() -> list[Row]:
    lamp = piece_of(1.3243209, 8 * 9.81 / math.tan(math.radians(30)), 8 * 9.81, 0.0, 0.0).run
    spring = piece_of(0.4, 8 * 9.81 / math.tan(math.radians(30)), 0.0, 0.0, 1.0 / 120.0).run
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
        Row("B19 lamp on two cords, Hibbeler 3.4", "level distance, m", 2.0, lamp + spring, 1e-6),
        Row("B20 suspended line, MoorPy's own tests", "level pull, N", 43694.581, moored.horizontal, 1e-6),
        Row("B20", "upper end, N", 77634.401, moored.v_right, 1e-6),
        Row("B21 the same, near taut", "level pull, N", 71116.8, near.horizontal, 2e-5),
        Row("B21", "upper end, N", 76680.6, near.v_right, 2e-5),
        Row("I02 load at midspan, closed form", "sag, m", 1.643203, state.sag, 1e-6),
        Row("I02", "tension, N", 18501.864, state.tension, 1e-6),
        Row("I02 with its weight, MoorPy 1.3.0 as recorded", "sag, m", 1.644764, dry.sag, 1e-4),
        Row("I02", "tension, N", 18546.47, dry.tension, 1e-4),
        Row("I02 less what sea water takes off an 8 mm line", "sag, m", 1.644764, afloat.sag, 1e-4, "the recorded run weighed its line in water: found out here, since both numbers then agree"),
        Row("I02", "tension, N", 18546.47, afloat.tension, 1e-4),
    ]  # fmt: skip


def lines() -> Section:
    source = (
        "Textbooks, read in their open companion notebooks (2017); a rule's appendix, read; the test suite of a "
        "mooring-line library, read. Ours hangs elastic catenaries, so a book's parabola differs by what the two differ."
    )
    return Section("Lines and cables", source, (*_three_loads(), *_catenaries(), *_lifelines()))


def drums_and_hauls() -> Section:
    held = float(held_force(600.0, math.radians(120), 0.25))
    rows = (
        Row("C01 half turn on a drum, Tayal 7.4", "held, N", 455.93813, float(held_force(1000.0, math.pi, 0.25)), 1e-6, "455.975 printed with e = 2.718"),
        Row("C03 three turns on a post, Tayal 7.6", "held, N", 3.5004394, float(held_force(1000.0, 6 * math.pi, 0.3)), 1e-6, "3.5025 printed with e = 2.718"),
        Row("C05 belt, Beer and Johnston 8.8", "torque, lb in", 1957.0, (600.0 - held) * 8, 1e-3),
        Row("C07 machine, Tayal 8.1", "efficiency", 0.83333333, efficiency_of(100.0, 20.0, 6.0), 1e-6),
        Row("C08 five pulleys, Tayal 8.4", "effort, N", 266.66667, pull_with_efficiency(1000.0, 5.0, 0.75), 1e-6),
        Row("C12 three to one without pulleys, University of Oregon", "advantage", 2.0, HaulSystem((3,), 0.6).advantage, 0.05, "about 2:1 is told; at 0.6 a karabiner"),
        Row("C12", "efficiency that gives 2:1", 0.61803399, pulley_efficiency_for((3,), 2.0), 1e-6),
    )  # fmt: skip
    return Section("Ropes round drums, and hauls", "Textbooks and a rescue course page, read.", rows)


def clearances() -> Section:
    def feet(datum: Datum, **terms: float) -> float:
        return float(book_clearance(datum, {name: value * FEET for name, value in terms.items()}).total) / FEET

    body = {"deceleration": 3.5, "harness_shift": 1.0, "d_ring_height": 5.0, "margin": 3.0}
    australia = {"line": 2.0, "deceleration": 1.7, "d_ring_height": 1.8, "margin": 1.0}
    free_a, free_b = (float(book_free_fall(lanyard * FEET, above * FEET)) / FEET for lanyard, above in ((4, 0), (6, 4)))
    rows = (
        Row("E01 six-foot lanyard, from the D-ring's level", "clearance, ft", 18.5, feet(Datum.D_RING, free_fall=6.0, **body), 1e-9),
        Row("E01 the same, from the anchor", "clearance, ft", 18.5, feet(Datum.ANCHOR, line=6.0, **body), 1e-9),
        Row("E02 two-metre lanyard, Australia", "clearance, m", 6.5, float(book_clearance(Datum.ANCHOR, australia).total), 1e-9, "1.7 and 6.5 read, the rest from memory"),
        Row("E03 arrest distance, Europe", "distance, m", 5.75, float(book_clearance(Datum.FEET, {"free_fall": 4.0, "deceleration": 1.75}).total), 1e-9, "from memory"),
        Row("E04 four feet, anchor at the D-ring", "free fall, ft", 4.0, free_a, 1e-9),
        Row("E04 six feet, anchor four feet above", "free fall, ft", 2.0, free_b, 1e-9),
        Row("E04 the first, all in all", "clearance, ft", 16.5, feet(Datum.D_RING, free_fall=free_a, **body), 1e-9),
        Row("E04 the second, all in all", "clearance, ft", 14.5, feet(Datum.D_RING, free_fall=free_b, **body), 1e-9),
    )  # fmt: skip
    source = (
        "Training quiz on OSHA material and OSHA Technical Manual V-4 through a law page; Safe Work Australia model code "
        "(March 2015) through trade articles; EN 355, EN 363 and BS 8437 from memory."
    )
    return Section("Clearance by the book", source, rows)
