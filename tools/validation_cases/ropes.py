"""Rope as a material: stiffness out of test limits, friction, hauling, break tests, knots; published and recomputed."""

# ruff: noqa: E501 - each comparison stands on one line, as on the page

from __future__ import annotations

import math

from validation_cases.rows import Row, Section

from ropewright.arrest import GRAVITY, Chain, book_rope_stretch, catch, modulus_from_peak_force
from ropewright.arrest.capstan import friction_from_hold, held_force
from ropewright.arrest.haul import HaulSystem, haulers
from ropewright.rope.batch import batch_test, tolerance_factor
from ropewright.rope.knot import least_rope
from ropewright.rope.modulus import stiffness_from_elongation
from ropewright.rope.tables import figures


def sections() -> list[Section]:
    return [stiffness(), friction(), pulling(), break_tests(), knots_and_inputs()]


def _peak(modulus: float, mass: float, length: float, factor: float) -> float:
    return float(catch(Chain(mass, length * factor, modulus / length)).peak_force[0])


def stiffness() -> Section:
    factor, rows = 4.8 / 2.8, []
    for force, modulus, strain in (
        (7.0, 14.1, 0.495), (8.0, 19.1, 0.418), (8.5, 21.9, 0.388), (9.0, 24.9, 0.362), (9.5, 28.0, 0.339),
        (10.0, 31.3, 0.319), (12.0, 46.5, 0.258),
    ):  # fmt: skip
        ours = float(modulus_from_peak_force(force * 1e3, 80.0, factor))
        rows += [
            Row(f"EN 892, {force:g} kN", "modulus, kN", modulus, ours / 1e3, 0.004),
            Row(f"EN 892, {force:g} kN", "greatest strain", strain, _peak(ours, 80.0, 2.8, factor) / ours, 0.003),
        ]
    for fall_factor, pairs in (
        (0.3, ((4.0, 13.9), (4.5, 19.4), (5.0, 25.8), (5.5, 33.1), (6.0, 41.2))),
        (1.0, ((8.0, 24.6), (10.0, 41.0), (12.0, 61.4))),
    ):
        for force, modulus in pairs:
            ours = float(modulus_from_peak_force(force * 1e3, 100.0, fall_factor))
            rows.append(Row(f"EN 1891, {force:g} kN at f = {fall_factor:g}", "modulus, kN", modulus, ours / 1e3, 0.004))
    for strain, modulus in ((0.02, 49.0), (0.03, 32.7), (0.035, 28.0), (0.04, 24.5), (0.05, 19.6)):
        ours = stiffness_from_elongation(100.0 * GRAVITY, strain)
        rows.append(Row(f"EN 1891, {strain * 100:g} % from 50 kg to 150 kg", "modulus, kN", modulus, ours / 1e3, 0.002))
    us = stiffness_from_elongation(1800 * 4.4482216152605, 0.22)
    rows += [
        Row("ANSI/ASSP Z359.15, 22 % at 1,800 lbf (from memory)", "modulus, kN", 36.0, us / 1e3, 0.015),
        Row("15 m of low-stretch rope at 4 kN", "stretch, m", 1.7, float(book_rope_stretch(4e3, 15.0, 35e3)), 0.01),
        Row("damped rope that never relaxes is the elastic one of both springs", "peak, N", _peak(32e3, 80.0, 2.8, factor), _damped(math.inf), 1e-4),
        Row("damped rope that relaxes at once is the first spring alone", "peak, N", _peak(10e3, 80.0, 2.8, factor), _damped(0.0), 1e-4),
    ]  # fmt: skip
    source = (
        "Elastic modulus out of what the drop tests of EN 892 (80 kg, 4.8 m on 2.8 m) and EN 1891 (100 kg) give or allow, "
        "worked out apart from the closed form; the strains simulated. Limits read in rope-training pages and a rope-access manual."
    )
    soft = _soft()
    note = (
        "It is often written that the peak of a damped rope lies between those of its two limits. That holds for stiff "
        f"catches alone: 100 kg that fall 0.2 m onto a first spring of 1 kN/m and a second of 3 kN/m that relaxes in 0.3 s "
        f"peak at {soft[0]:,.0f} N, below the {soft[1]:,.0f} N of the first spring alone, since the dashpot takes energy out."
    )
    return Section("Stiffness out of test limits", source, tuple(rows), (note,))


def _damped(tau: float) -> float:
    return float(catch(Chain(80.0, 4.8, 10e3 / 2.8, 22e3 / 2.8, tau)).peak_force[0])


def _soft() -> tuple[float, float]:
    damped, alone = catch(Chain(100.0, 0.2, 1e3, [3e3, 0.0], 0.3)).peak_force
    return float(damped), float(alone)


def friction() -> Section:
    rows = [
        Row(f"friction {mu:g}, {degrees} deg", "factor", factor, 1.0 / float(held_force(1.0, math.radians(degrees), mu)), 0.004)
        for mu, factors in ((0.2, (1.17, 1.37, 1.87)), (0.3, (1.27, 1.60, 2.57)), (0.4, (1.37, 1.87, 3.51)))
        for degrees, factor in zip((45, 90, 180), factors, strict=True)
    ]  # fmt: skip
    rows += [
        Row("8 mm cord on a karabiner lets 50 % through", "friction", 0.22, float(friction_from_hold(1.0, 0.50, math.pi)), 0.01),
        Row("8 mm cord on a karabiner lets 60 % through", "friction", 0.16, float(friction_from_hold(1.0, 0.60, math.pi)), 0.02),
        Row("ball-bearing pulley lets 89 % through", "friction", 0.037, float(friction_from_hold(1.0, 0.89, math.pi)), 0.01),
        Row("cord on a pine roller held 14 to 1 over 1.5 turns", "friction", 0.28001268, float(friction_from_hold(14.0, 1.0, 3 * math.pi)), 1e-6),
        Row("cord on a pine roller slipped at 19 to 1", "friction", 0.31241468, float(friction_from_hold(19.0, 1.0, 3 * math.pi)), 1e-6),
    ]  # fmt: skip
    source = (
        "Capstan law, worked out apart. Home test of cord on karabiners and a pulley, read; a knot forum's tilting board with "
        "photos, read."
    )
    note = (
        "A popular article (read) prints 0.7 for dry nylon on steel; that would let 11 % through half a turn where 50 % to "
        "60 % were measured, and is not used."
    )
    return Section("Friction of rope", source, tuple(rows), (note,))


def pulling() -> Section:
    rows = [
        Row(f"{parts} to 1 at {eta:g} a pulley", "advantage", told, HaulSystem((parts,), eta).advantage, 0.003)
        for parts, pairs in (
            (3, ((0.5, 1.75), (0.55, 1.85), (0.618, 2.0), (0.9, 2.71))),
            (5, ((0.5, 1.94), (0.9, 4.10))),
        )
        for eta, told in pairs
    ]
    pull = HaulSystem((3,), 0.9).pull(100.0 * GRAVITY)
    rows += [
        Row("100 kg on 3 to 1 at 0.9", "pull, N", 361.869, pull, 1e-5),
        Row("the same, mean grip of 209 N", "people", 2.0, float(haulers(pull, 209.0))),
        Row("the same, weakest grip of 46 N", "people", 8.0, float(haulers(pull, 46.0))),
    ]
    source = (
        "Pulleys in series, worked out apart; grips on a moving rope of a rescue belay study (Mauthner), quoted in Moyer, "
        "ITRS 2006, read."
    )
    return Section("Pulling on rope", source, tuple(rows))


def break_tests() -> Section:
    lbf = 4.4482216152605
    five = batch_test([6500 * lbf, 6750 * lbf, 6675 * lbf, 7005 * lbf, 6925 * lbf])
    soft = batch_test([6500 * lbf, 6750 * lbf, 6675 * lbf, 7005 * lbf, 6925 * lbf], coverage=0.90)
    assert five.sd is not None
    assert five.three_sigma is not None
    assert five.tolerance is not None
    assert soft.tolerance is not None
    k = tolerance_factor(43, 0.90, 0.99)
    rows = [
        Row("G01 43 pieces, 90 % with 99 % confidence, NIST 7.2.6.3", "factor", 1.8739536, k, 1e-6),
        Row("G01 the same as printed", "factor", 1.8751896, k, 1e-3, "by Natrella's approximation; ours is the exact one"),
        Row("G01", "upper limit", 97.120255, 97.07 + k * 0.0268, 1e-6, "the handbook once printed 102.096 for a wrong deviation"),
        Row("G01", "lower limit", 97.019745, 97.07 - k * 0.0268, 1e-6),
        Row("G03 five breaks, rope-testing explainer", "mean, lbf", 6771.0, five.mean / lbf, 1e-6),
        Row("G03", "deviation, lbf", 200.97885, five.sd / lbf, 1e-6),
        Row("G03", "mean less three deviations, lbf", 6168.0634, five.three_sigma / lbf, 1e-6),
        Row("G03", "90 % with 95 % confidence, lbf", 6086.3387, soft.tolerance / lbf, 1e-6),
        Row("G03", "99 % with 95 % confidence, lbf", 5617.1634, five.tolerance / lbf, 1e-6, "9 % below what is sold as 99.7 %"),
    ]  # fmt: skip
    for n, factors in (
        (3, (6.155, 7.656, 10.553)), (5, (3.407, 4.203, 5.741)), (6, (3.006, 3.708, 5.062)), (10, (2.355, 2.911, 3.981)),
        (20, (1.926, 2.396, 3.295)), (30, (1.777, 2.220, 3.064)), (50, (1.646, 2.065, 2.862)),
    ):  # fmt: skip
        rows += [
            Row(f"{n} pieces, {coverage * 100:g} % with 95 %", "factor", told, tolerance_factor(n, coverage, 0.95), 3e-4)
            for coverage, told in zip((0.90, 0.95, 0.99), factors, strict=True)
        ]  # fmt: skip
    source = (
        "NIST/SEMATECH handbook 7.2.6.3 as a spreadsheet page reproduces it, read; a rope-testing explainer, read; the table "
        "of factors worked out apart with the noncentral t distribution."
    )
    return Section("Break tests", source, tuple(rows))


def knots_and_inputs() -> Section:
    knots = (("3_1", 32.7436, 0.18009), ("4_1", 42.0887, 0.23149), ("6_2", 57.0235, 0.31363), ("7_1", 61.4067, 0.33774))
    rows = [
        Row(f"H01 least rope of {name}, 11 mm", "length, m", metres, least_rope(name, 0.011), 1e-4)
        for name, _, metres in knots
    ]
    rows += [
        Row(f"H01 the same in any rope, {name}", "length over radius", told, figures("ideal_rope_length")[name].value.likely, 1e-6)
        for name, told, _ in knots
    ]  # fmt: skip
    section, length = math.pi / 4 * 0.006**2, 4.5
    wire, nylon = (
        float(Chain(1.0, 0.0, modulus * section / length).slow_stretch(100.0)[0]) for modulus in (4.8e11, 4.8e9)
    )
    rows += [
        Row("J01 nylon as a textbook prints it, Verma 14.2", "extension, m", 3.315728e-5, wire, 1e-6, "3.3e-05 printed; the arithmetic is right, and the modulus of 480 GPa is refused as a rope's"),
        Row("J01 with a hundredth of that modulus", "extension, m", 3.315728e-3, nylon, 1e-6),
    ]  # fmt: skip
    source = (
        "KnotInfo table (file of 2026.11.2, column ropelength), read: upper bounds found by computers, for closed knots. A "
        "textbook in its open companion notebook, read."
    )
    return Section("Knots, and an input that can't be", source, tuple(rows))
