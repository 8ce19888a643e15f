"""Strength as rigged against published single figures.

Sources: UFC 4-159-03 (3 Oct 2005) Table 6-8, p. 128 (read): nylon loses 15 % wet, stiffness 3.54 times average break;
a mooring-rope study of 1990 (read): usually 20 % wet; a sailing magazine of November 2017, p. 73 (read): bowline in
high-modulus line; an article on rescue hauling (read): slip of a three-wrap hitch; Symmetry 16(2):167 (2024), abstract
(read): best of five anchor knots; HSE CRR 364/2001 (read): strength of two low-stretch ropes.
"""

import pytest

from ropewright.quantity import Range
from ropewright.rope import double_braid_nylon, rigged_strength, sheathed_core_figures, stiffness_of, terminations
from ropewright.rope.tables import figures

LBF, G, INCH = 4.4482216152605, 9.80665, 0.0254
KIP = 1000 * LBF


def rig(strength, **changes):
    told = {
        "strength_basis": "maker's minimum",
        "termination": "rated assembly",
        "fibre": "nylon",
        "construction": "laid",
        "condition": "new, wet",
        "edge": False,
    }
    return rigged_strength(Range.exact(strength), **{**told, **changes})


def test_wet_nylon_of_half_an_inch():
    """25.22 kN dry: 21.437 kN at 15 % and 20.176 kN at 20 %; both lie in the band, the first is the likely one."""
    wet = rig(25.22e3)
    assert wet.likely == pytest.approx(21437, rel=1e-4)
    assert wet.low <= 20176 <= wet.high


def test_wet_half_inch_nylon_falls_below_5000_pounds():
    """5,670 lbf by the table, 4,820 lbf wet."""
    assert rig(5670 * LBF).likely / LBF == pytest.approx(4820, abs=1)


def test_one_inch_double_braid_wet_and_in_both_units():
    """33.6 kip is 149.46 kN, 127.04 kN wet; 118.9 kip is 528.9 kN; break strain if linear 28.26 %."""
    size = double_braid_nylon()[0]
    strength, stiffness = size.strength.value.likely, size.stiffness.value.likely
    assert strength / 1000 == pytest.approx(149.46, rel=1e-5)
    assert stiffness / 1000 == pytest.approx(528.894, rel=1e-5)
    assert rig(strength, construction="double braid").likely / 1000 == pytest.approx(127.041, rel=1e-5)
    assert strength / stiffness == pytest.approx(0.28259, rel=1e-4)


@pytest.mark.parametrize("size", double_braid_nylon(), ids=lambda size: f"{size.diameter / INCH:.1f} in")
def test_stiffness_of_double_braid_comes_back_from_its_strength(size):
    """The table's average strength is entered as if it were a minimum, so the true stiffness is in the low half."""
    found = stiffness_of("nylon", "double braid", "static", size.diameter, size.strength.value, condition="new, dry")
    assert found.static.low == pytest.approx(size.stiffness.value.likely, rel=2e-3)
    assert found.static.high >= size.stiffness.value.likely


def test_a_bowline_in_high_modulus_line_leaves_no_more_than_was_pulled():
    """12 mm rated 6,000 kg left under 2,400 kg, 23.5 kN; 2.82 times a winch of 850 kg."""
    chain = rig(6000 * G, fibre="HMPE", construction="braided", termination="bowline", condition="new, dry")
    assert chain.high <= 2400 * G * (1 + 1e-12)
    assert chain.high / 1000 == pytest.approx(23.536, rel=1e-4)
    assert chain.high / (850 * G) == pytest.approx(2.82353, rel=1e-4)


def test_slip_of_a_sliding_hitch_in_two_units():
    """7 to 9.5 kN printed as 1,575 to 2,125 lbf; 9.5 kN is 2,136 lbf."""
    slip = figures("strength_figures")["sliding hitch/slip"].value
    assert slip.low / LBF == pytest.approx(1573.66, rel=1e-5)
    assert slip.high / LBF == pytest.approx(2135.68, rel=1e-5)
    assert (slip.low / LBF, slip.high / LBF) == (pytest.approx(1575, rel=6e-3), pytest.approx(2125, rel=6e-3))


def test_no_anchor_knot_is_counted_better_than_the_best_of_five():
    """Best mean of five anchor knots in 90 breaks: 61.82 %, rounded here to two digits."""
    for name in ("double overhand loop", "figure-eight loop", "bowline", "butterfly loop", "overhand loop"):
        assert terminations()[name].retention.value.likely <= 0.62


@pytest.mark.parametrize(("strength", "grams"), [(27.0e3, 65.0), (29.9e3, 67.0)])
def test_low_stretch_bands_hold_the_two_ropes_of_the_laboratory_report(strength, grams):
    known = sheathed_core_figures()
    band = known["low-stretch/strength over diameter squared"].value
    mass = known["low-stretch/mass over diameter squared"].value
    assert band.low <= strength / 0.0105**2 <= band.high
    assert mass.low * 0.999 <= grams / 1000 / 0.0105**2 <= mass.high * 1.001
