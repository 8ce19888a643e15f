"""Worked examples of textbooks and rules: falling weights, ropes round drums, hauls, clearances."""

# ruff: noqa: E501 - each comparison stands on one line, as on the page

from __future__ import annotations

import math

from validation_cases import cables
from validation_cases.rows import Row, Section

from ropewright.arrest import GRAVITY, Chain, Datum, book_clearance, book_free_fall, catch
from ropewright.arrest.capstan import held_force
from ropewright.arrest.haul import HaulSystem, efficiency_of, pull_with_efficiency, pulley_efficiency_for

FEET = 0.3048
STEPS = 1e-4  # the error bound of the time steps is 3e-5, at its worst several times that


def sections() -> list[Section]:
    return [falling_weights(), cables.lines(), drums_and_hauls(), clearances()]


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
    d12, d15, d50 = (math.pi / 4 * d**2 for d in (12.5, 15, 50))
    cut = 3.14 / 4 * 15**2  # the book's own pi
    rod = _bar(200_000, cut, 1500)
    collar = _bar(210_000, 1000, 4000)
    bar, rope = _bar(210_000, d15, 2000), _bar(200_000, 2500, 15_000)
    stopped, sprung = _sudden_stop(60_000, 1.0, rope), _peak(4 * 9.81, 1.0, rod, anchor_stiffness=4500.0)
    rows = (
        Row("A01 collar of a bar, Bansal 4.9", "stress, MPa", 187.76389, _peak(10_000, 0.030, collar) / 1000, STEPS),
        Row("A01", "extension, mm", 3.576455, _peak(10_000, 0.030, collar) / collar * 1e3, STEPS, "3.575 printed, of a stress cut short"),
        Row("A01", "force over weight", 18.776389, _peak(10_000, 0.030, collar) / 10_000, STEPS),
        Row("A03 weight from its extension, Bansal 4.11", "weight, N", 1745.8432, _weight_of(2.1e-3, 0.040, _bar(200_000, 500, 3000)), STEPS),
        Row("A05 stiffness from a static load, Bansal 4.14", "force, N", 18_827.741, _peak(700, 0.075, 10_000 / 3.2e-3), STEPS),
        Row("A05", "stress, MPa", 153.42224, _peak(700, 0.075, 10_000 / 3.2e-3) / d12, STEPS, "the paper book has another, the notebook says wrongly"),
        Row("A07 light weight, long drop, Bansal 4.17", "stress, MPa", 174.71158, _peak(3000, 0.200, _bar(200_000, 2000, 4000)) / 2000, STEPS, "173.2 printed neglects the weight during stretch"),
        Row("A07 heavy weight, short drop", "stress, MPa", 188.85339, _peak(30_000, 0.020, _bar(200_000, 2000, 4000)) / 2000, STEPS),
        Row("A09 cage stopped on its rope, Bansal 4.19", "stress, MPa", 204.60946, stopped / 2500, 2e-4, "the book's g is 9.81"),
        Row("A09", "stress beyond the hanging 24, MPa", 180.60946, stopped / 2500 - 24.0, 2e-4, "180.61 printed as the whole"),
        Row("A10 load laid on suddenly, Bansal 4.4", "stress, MPa", 101.85916, _peak(1e5, 0.0, _bar(200_000, d50, 2000)) / d50, STEPS),
        Row("A10", "extension, mm", 1.0185916, _peak(1e5, 0.0, _bar(200_000, d50, 2000)) / _bar(200_000, d50, 2000) * 1e3, STEPS),
        Row("A12 mass on a rod, Gere 2.16", "stress, MPa", 188.12517, _peak(20 * 9.81, 0.150, bar) / d15, STEPS),
        Row("A12", "extension, mm", 1.7916683, _peak(20 * 9.81, 0.150, bar) / bar * 1e3, STEPS),
        Row("A12", "force over weight", 169.4417, _peak(20 * 9.81, 0.150, bar) / (20 * 9.81), STEPS),
        Row("A15 rod with a soft spring, Popov 2.11", "stress, MPa", 3.5937728, sprung / cut, STEPS, "with the book's pi of 3.14"),
        Row("A15", "force, N", 634.75012, sprung, STEPS),
        Row("A15", "deflection, mm", 141.08254, sprung * (1 / rod + 1 / 4500.0) * 1e3, STEPS),
        Row("A15 the same rod without it", "stress, MPa", 243.6235, _peak(4 * 9.81, 1.0, rod) / cut, STEPS),
        Row("A16 ball on a soft spring, Tayal 16.6", "deflection, m", 0.26910763, _peak(5 * 9.81, 0.1, 500.0) / 500, STEPS),
        Row("A16", "force, N", 134.55382, _peak(5 * 9.81, 0.1, 500.0), STEPS),
        Row("A18 very stiff spring, Verma 8.12", "compression, m", 0.0989849, _peak(0.04 * 9.8, 4.9, 400.0) / 400, STEPS, "0.098 printed neglects the weight"),
    )  # fmt: skip
    source = (
        "Falling weights of textbooks, read in their open companion notebooks (2017) and recomputed; where print and "
        "recomputation differ, the recomputed value stands here and the note says why. Ours: simulated in time."
    )
    return Section("Falling weights", source, rows)


def drums_and_hauls() -> Section:
    held = float(held_force(600.0, math.radians(120), 0.25))
    rows = (
        Row("C01 half turn on a drum, Tayal 7.4", "held, N", 455.93813, float(held_force(1000.0, math.pi, 0.25)), 1e-6, "455.975 printed with e = 2.718"),
        Row("C03 three turns on a post, Tayal 7.6", "held, N", 3.5004394, float(held_force(1000.0, 6 * math.pi, 0.3)), 1e-6, "3.5025 printed with e = 2.718"),
        Row("C05 belt, Beer and Johnston 8.8", "torque, lb in", 1957.0, (600.0 - held) * 8, 1e-3),
        Row("C05", "slack side, lb", 355.43091, held, 1e-6, "355.4 printed"),
        Row("C07 machine, Tayal 8.1", "efficiency", 0.83333333, efficiency_of(100.0, 20.0, 6.0), 1e-6),
        Row("C07", "effort lost, N", 3.3333333, 20.0 - pull_with_efficiency(100.0, 6.0, 1.0), 1e-6),
        Row("C07", "load lost to friction, N", 20.0, 6.0 * 20.0 * (1.0 - efficiency_of(100.0, 20.0, 6.0)), 1e-6),
        Row("C08 five pulleys, Tayal 8.4", "effort, N", 266.66667, pull_with_efficiency(1000.0, 5.0, 0.75), 1e-6),
        Row("C12 three to one without pulleys, University of Oregon", "advantage", 2.0, HaulSystem((3,), 0.6).advantage, 0.05, "about 2:1 is told; at 0.6 a karabiner"),
        Row("C12", "advantage at 0.5 a karabiner", 1.75, HaulSystem((3,), 0.5).advantage, 1e-6),
        Row("C12", "advantage at 0.6 a karabiner", 1.96, HaulSystem((3,), 0.6).advantage, 1e-6),
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
