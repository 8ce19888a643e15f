"""Least rope of four knots against the KnotInfo table (file of 2026.11.2, column ropelength, read).

Rope length over radius; half of it is in diameters, and metres follow for rope of 11 mm.
"""

import pytest

from ropewright.rope import ideal_rope_lengths, least_rope

KNOTS = [
    ("3_1", 32.7436, 16.3718, 0.18009),
    ("4_1", 42.0887, 21.04435, 0.23149),
    ("6_2", 57.0235, 28.51175, 0.31363),
    ("7_1", 61.4067, 30.70335, 0.33774),
]


@pytest.mark.parametrize(("knot", "radii", "diameters", "metres"), KNOTS, ids=[row[0] for row in KNOTS])
def test_least_rope_in_diameters_and_metres(knot, radii, diameters, metres):
    assert ideal_rope_lengths()[knot].value.likely == radii
    assert least_rope(knot, 1.0) == pytest.approx(diameters, rel=1e-6)
    assert least_rope(knot, 0.011) == pytest.approx(metres, rel=1e-4)
