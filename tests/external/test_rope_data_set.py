"""Stiffness of dynamic rope against the open data set 'ropes' (R package plsdepot 0.3.0, 101 ropes, read).

Median certificate: 8.5 kN impact force, 7.6 % static and 33 % dynamic elongation, 80 kg, fall factor 4.8/2.8.
Worked-out targets in double precision from these medians.
"""

import pytest

from ropewright.rope import stiffness_from_elongation, stiffness_from_impact_force, stiffness_of

MASS, FALL_FACTOR, WEIGHT = 80.0, 4.8 / 2.8, 80.0 * 9.80665


def test_median_impact_force_gives_the_median_stiffness():
    stiffness = stiffness_from_impact_force(8500.0, MASS, FALL_FACTOR)
    assert stiffness / 1000 == pytest.approx(21.9022, rel=1e-5)
    assert 8500.0 / stiffness == pytest.approx(0.38809, rel=1e-4)  # above the certified 33 %: real ropes damp


def test_median_static_elongation_gives_the_median_stiffness():
    static = stiffness_from_elongation(WEIGHT, 0.076)
    assert static / 1000 == pytest.approx(10.3228, rel=1e-4)
    assert stiffness_from_impact_force(8500.0, MASS, FALL_FACTOR) / static == pytest.approx(2.12173, rel=1e-4)


@pytest.mark.parametrize(
    ("force", "stiffness"),
    [(7e3, 14.1), (8e3, 19.1), (8.5e3, 21.9), (9e3, 24.9), (9.5e3, 28.0), (10e3, 31.3), (12e3, 46.5)],
)
def test_impact_forces_of_the_standards_envelope(force, stiffness):
    """Table of kN worked out for EN 892 forces, three digits."""
    assert stiffness_from_impact_force(force, MASS, FALL_FACTOR) / 1000 == pytest.approx(stiffness, rel=4e-3)


def test_the_table_is_the_data_sets_five_fifty_and_ninety_five_percent():
    rope = stiffness_of("nylon", "sheathed core", "dynamic", 0.010, condition="new, dry")
    assert rope.arrest.likely == pytest.approx(stiffness_from_impact_force(8500.0, MASS, FALL_FACTOR), rel=2e-3)
    assert rope.arrest.high == pytest.approx(stiffness_from_impact_force(9500.0, MASS, FALL_FACTOR), rel=2e-3)
    assert rope.static.likely == pytest.approx(stiffness_from_elongation(WEIGHT, 0.076), rel=3e-3)
    assert rope.static.low == pytest.approx(stiffness_from_elongation(WEIGHT, 0.098), rel=3e-3)
    assert rope.static.high == pytest.approx(stiffness_from_elongation(WEIGHT, 0.050), rel=3e-3)


@pytest.mark.parametrize(
    ("elongation", "stiffness"), [(0.02, 49), (0.03, 32.7), (0.035, 28.0), (0.04, 24.5), (0.05, 19.6)]
)
def test_low_stretch_elongation_from_50_to_150_kg(elongation, stiffness):
    """EN 1891 elongation between 50 kg and 150 kg, 2 % to 5 %: kN worked out, three digits."""
    assert stiffness_from_elongation(100 * 9.80665, elongation) / 1000 == pytest.approx(stiffness, rel=4e-3)


def test_low_stretch_table_spans_two_to_five_percent():
    rope = stiffness_of("nylon", "sheathed core", "low-stretch", 0.01075, condition="new, dry")
    assert rope.static.low == pytest.approx(stiffness_from_elongation(100 * 9.80665, 0.05), rel=0.03)
    assert rope.static.high == pytest.approx(stiffness_from_elongation(100 * 9.80665, 0.02), rel=0.01)
