"""Published drop tests and certificates against the laws and their default figures; the misses are left in."""

# ruff: noqa: E501 - each comparison stands on one line, as on the page

from __future__ import annotations

import numpy as np
from validation_cases.rows import Row, Section

from ropewright.arrest import GRAVITY, Chain, catch, modulus_from_peak_force
from ropewright.arrest.part_sets import PartKind, model_errors, part_sets
from ropewright.rope.tables import figures

LBF, LB, FOOT, INCH = 4.4482216152605, 0.45359237, 0.3048, 0.0254
#: Half of the last digit of "about 12 kN" and "about 10 kN".
_ABOUT_12, _ABOUT_10 = 0.5 / 12, 0.5 / 10
#: EN 892: mass, rope and fall of the single-rope drop.
EN_892 = (80.0, 2.8, 4.8)


def sections() -> list[Section]:
    return [dynamic_ropes(), low_stretch(), old_rope(), absorbers()]


def solid(kind: str, mass: float, length: float, fall: float) -> tuple[float, float, float]:
    """Peak force [N], greatest strain and hanging strain [-] of a damped rope at the likely figures of the tables."""
    e1, e2, tau = (figures("stiffness")[f"{kind}/sls {part}"].value.likely for part in ("e1", "e2", "tau"))
    caught = catch(Chain(mass, fall, e1 / length, e2 / length, tau))
    return float(caught.peak_force[0]), float(caught.stop_distance[0]) / length, mass * GRAVITY / e1


def elastic(modulus: float, mass: float, length: float, fall: float) -> tuple[float, float]:
    """Peak force [N] and greatest strain [-] of an undamped rope."""
    caught = catch(Chain(mass, fall, modulus / length))
    return float(caught.peak_force[0]), float(caught.stop_distance[0]) / length


def dynamic_ropes() -> Section:
    mass, length, fall = EN_892
    modulus = float(modulus_from_peak_force(8500.0, mass, fall / length))
    _, strain = elastic(modulus, mass, length, fall)
    peak, damped, hang = solid("dynamic", mass, length, fall)
    arrest = figures("stiffness")["dynamic/arrest"].value
    rows = [
        Row("elastic rope fitted to the median peak of 8.5 kN", "modulus, N", 21_902.2, modulus, 1e-4),
        Row("the same", "dynamic strain", 0.33, strain, 0.5 / 33, "an elastic rope that meets the peak stretches too far"),
        Row("damped rope of the tables", "peak, N", 8500.0, peak, 0.05 / 8.5, "median of the ropes"),
        Row("the same", "dynamic strain", 0.33, damped, 0.5 / 33, "median of the ropes"),
        Row("the same", "static strain at 80 kg", 0.076, hang, 0.05 / 7.6, "median of the ropes"),
        Row("the same, against 90 % of the ropes", "peak, N", (7200.0, 9500.0), peak),
        Row("the same, against 90 % of the ropes", "dynamic strain", (0.29, 0.37), damped),
        Row("the same, against 90 % of the ropes", "static strain", (0.050, 0.098), hang),
        Row("elastic rope, soft end of the tables", "peak, N", 7200.0, elastic(arrest.low, mass, length, fall)[0], 0.01, "5 % of the ropes"),
        Row("elastic rope, stiff end of the tables", "peak, N", 9500.0, elastic(arrest.high, mass, length, fall)[0], 0.01, "95 % of the ropes"),
    ]  # fmt: skip
    for force, dynamic, static, e1, e2, tau in _TRIPLES:
        caught = catch(Chain(mass, fall, e1 / length, e2 / length, tau))
        name = f"damped rope fitted to {force / 1e3:g} kN, {dynamic:.0%}, {static:.0%}".replace("%", " %")
        rows += [
            Row(name, "peak, N", force, float(caught.peak_force[0]), 0.01),
            Row(name, "dynamic strain", dynamic, float(caught.stop_distance[0]) / length, 0.015),
            Row(name, "static strain", static, float(caught.hang_extension[0]) / length, 0.01),
        ]
    source = (
        "Certificates of 101 dynamic ropes, 13 makers, spring 2011: open data set `ropes` of the R package plsdepot 0.3.0, "
        "read; its summary statistics stand here. Drop of EN 892: 80 kg, 2.8 m of rope, 4.8 m of fall. The four triples are "
        "typical certificates, from memory; each was fitted with its own damped rope."
    )
    note = (
        "An elastic rope gave more dynamic elongation than certified on 100 of the 101, by a factor of 1.175 in the median "
        "(1.06 to 1.42 for 90 %): the median miss above is of that size. Clearance worked out so errs high. Not reproduced "
        "by any law here: rope that stiffens at large strain, and friction that acts late (Leuthäusser, abstracts read)."
    )
    return Section("Dynamic ropes: certificates of 101", source, tuple(rows), (note,))


#: Peak [N], dynamic and static strain [-]; E1, E2 [N] and tau [s] fitted to them.
_TRIPLES = (
    (9000.0, 0.33, 0.08, 9.8e3, 21.7e3, 0.40),
    (8500.0, 0.34, 0.08, 9.8e3, 21.0e3, 0.26),
    (9500.0, 0.31, 0.07, 11.2e3, 24.1e3, 0.38),
    (8000.0, 0.36, 0.09, 8.7e3, 19.4e3, 0.25),
)


def low_stretch() -> Section:
    def peak(modulus: float, factor: float) -> float:
        return elastic(modulus, 100.0, 2.0, 2.0 * factor)[0]

    calm, hard = (float(modulus_from_peak_force(f, 100.0, 0.3)) for f in (5000.0, 6000.0))
    arrest = figures("stiffness")["low-stretch/arrest"].value
    error = model_errors()["rope/undamped peak"].value
    damped = solid("low-stretch", 100.0, 2.0, 2.0)[0]
    rows = (
        Row("elastic rope fitted to 6 kN at f = 0.3, new rope", "peak at f = 1, N", 12e3, peak(hard, 1.0), _ABOUT_12),
        Row("the same, old used rope", "peak at f = 1, N", 10e3, peak(hard, 1.0), _ABOUT_10),
        Row("elastic rope fitted to 5 kN at f = 0.3, new rope", "peak at f = 1, N", 12e3, peak(calm, 1.0), _ABOUT_12),
        Row("the same, old used rope", "peak at f = 1, N", 10e3, peak(calm, 1.0), _ABOUT_10),
        Row("the first with the model's error of 30 %, which should reach 12 kN", "peak at f = 1, N", (12e3, 1.3 * 12e3), error.high * peak(hard, 1.0)),
        Row("damped rope of the tables, new rope", "peak at f = 1, N", 12e3, damped, _ABOUT_12, "its constants are judgement"),
        Row("damped rope of the tables, old used rope", "peak at f = 1, N", 10e3, damped, _ABOUT_10, "its constants are judgement"),
        Row("damped rope of the tables, EN 1891", "peak at f = 0.3, N", (1961.0, 6000.0), solid("low-stretch", 100.0, 2.0, 0.6)[0], note="limit 6 kN"),
        Row("elastic rope, likely figure of the tables, EN 1891", "peak at f = 0.3, N", (1961.0, 6000.0), peak(arrest.likely, 0.3), note="limit 6 kN"),
        Row("elastic rope, stiff end of the tables, new rope", "peak at f = 1, N", 12e3, peak(arrest.high, 1.0), _ABOUT_12),
    )  # fmt: skip
    source = (
        "Six low-stretch ropes on a test blog (2018), read: about 10 kN (old, used) and 12 kN (new) in 2 m drops at fall "
        "factor 1, all below 6 kN at 0.3. The drop mass is not told; 100 kg is the standard's."
    )
    note = (
        "One modulus can't serve both fall factors: fitted at 0.3 it is too low at 1, by the 30 % that Weber (ITRS 2002, "
        "abstract read) found as mass and fall factor rise. That is why the undamped rope carries a model error of up to "
        "30 % and why the table's range reaches to 61 kN."
    )
    return Section("Low-stretch ropes: drops at fall factors 0.3 and 1", source, rows, (note,))


def old_rope() -> Section:
    force, length = 1450 * LBF, 10 * FOOT
    arrest = figures("stiffness")["dynamic/arrest"].value
    mass = np.array([60.0, 70.0, 80.0, 90.0, 100.0])
    modulus = modulus_from_peak_force(force, mass, 1.0)
    stretch = catch(Chain(mass, length, modulus / length)).stop_distance
    expected = (28_901.5, 23_851.3, 20_063.6, 17_117.7, 14_760.9)
    rows = (
        *(Row(f"modulus that fits, if {m:.0f} kg fell", "modulus, N", e, float(k), 1e-4) for m, e, k in zip(mass, expected, modulus, strict=True)),
        Row("elastic rope of the tables, likely, 80 kg", "peak, N", force, elastic(arrest.likely, 80.0, length, length)[0], 5 / 1450),
        Row("soft end with 60 kg, which should lie below", "peak, N", (0.5 * force, force), elastic(arrest.low, 60.0, length, length)[0]),
        Row("stiff end with 100 kg, which should lie above", "peak, N", (force, 2 * force), elastic(arrest.high, 100.0, length, length)[0]),
        Row("travel of about 1.5 m, fitted with 60 kg", "stretch, m", 1.5, float(stretch[0]), 0.05 / 1.5),
        Row("travel of about 1.5 m, fitted with 100 kg", "stretch, m", 1.5, float(stretch[-1]), 0.05 / 1.5),
    )  # fmt: skip
    source = (
        "Old dynamic rope in good condition, 10 ft fall at fall factor 1, 2,500 samples a second, 12 February 1989: public "
        "data on a university page, read. Peak 1,450 lbf, travel about 1.5 m; the mass is not told, so that the answer is a "
        "band. The moduli that fit were recomputed from the closed form."
    )
    note = (
        "Our stretch is short of the travel told at every mass tried: the record's travel may hold knots, harness and "
        "setting of the rig, which the elastic rope has not. Nothing was fitted to it."
    )
    return Section("One old dynamic rope", source, rows, (note,))


def absorbers() -> Section:
    def stopped(mass: float, fall: float, force: float, rate: float = 1e7) -> tuple[float, float, float]:
        caught = catch(Chain(mass, fall, rate, absorber_force=force, absorber_length=3.0))
        return float(caught.absorber_opening[0]), float(caught.average_force[0]), float(caught.peak_force[0])

    pounds = 282 * LB
    en = part_sets(PartKind.ABSORBER)["EN 355"].figures["force"].value
    rate = figures("stiffness")["low-stretch/arrest"].value.likely / 2.0
    _, average, peak = stopped(100.0, 4.0, en.likely, rate)
    rows = (
        Row("282 lb, 6 ft, 900 lbf", "opening, in", 32.9, stopped(pounds, 6 * FOOT, 900 * LBF)[0] / INCH, 0.005),
        Row("282 lb, 6 ft, 1,125 lbf", "opening, in", 24.1, stopped(pounds, 6 * FOOT, 1125 * LBF)[0] / INCH, 0.005),
        Row("282 lb, 12 ft, 1,350 lbf", "opening, in", 38.0, stopped(pounds, 12 * FOOT, 1350 * LBF)[0] / INCH, 0.005),
        Row("EN 355: 100 kg, 4 m, 3.222 kN opens all of 1.75 m", "opening, m", 1.75, stopped(100.0, 4.0, 3222.2)[0], 0.005),
        Row("20 lanyards, 100 kg, greatest height allowed", "average over peak", 0.875, average / peak, 6e-4, "the law knows one force, and a 2 m rope lanyard gives a little"),
    )  # fmt: skip
    source = (
        "Force limits and travel of ANSI/ASSP Z359.13 and EN 355, from memory: openings follow from the energy balance. "
        "Carrión et al. 2020 and 2021 (abstracts read): 20 drops of 10 models."
    )
    errors = model_errors()
    note = (
        f"Carried as model error, since no single force reproduces it: peak over average "
        f"{errors['absorber/peak over average'].value.likely:g} (1/0.875), opening up to "
        f"{errors['absorber/opening'].value.high:g} times what the test method reports. Two of the ten models went "
        "above the limit of 6 kN, and so does the high end of the set `EN 355` with that error."
    )
    return Section("Energy absorbers", source, rows, (note,))
