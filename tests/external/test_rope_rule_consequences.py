"""Which three-strand sizes reach 5,000 lbf, as new and with what the rules say of knots and edges.

Sources: 29 CFR 1926.502(d)(9), 5,000 lbf (read); 29 CFR 1926 Subpart M App C II(h)(3), knots 50 %, and II(h)(4), beam
edges 70 % (read); a reference site, pages on rope strength (read second hand). First sizes worked out by hand
from these.
"""

import pytest

from ropewright.findings import Verdict
from ropewright.rope import rigged_strength, suitability, three_strand, working_load
from ropewright.rope.tables import figures

LBF, INCH = 4.4482216152605, 0.0254
LIMIT = 5000 * LBF


def first_size(fibre, **rigging):
    """Thinnest size, in inches, that keeps 5,000 lbf as likely as rigged."""
    told = {"termination": "rated assembly", "edge": False, "condition": "new, dry", **rigging}
    for size in three_strand("reference_pages")[fibre]:
        chain = rigged_strength(
            size.strength.value, strength_basis="maker's minimum", fibre=fibre, construction="laid", **told
        )
        if chain.likely >= LIMIT:
            return size.diameter / INCH
    return None


@pytest.mark.parametrize(
    ("fibre", "inches"),
    [
        ("nylon", 1 / 2),
        ("polyester", 1 / 2),
        ("polyester-polyolefin", 9 / 16),
        ("polypropylene", 5 / 8),
        ("manila", 13 / 16),
    ],
)
def test_first_size_of_5000_pounds_without_a_knot(fibre, inches):
    assert first_size(fibre) == pytest.approx(inches)


@pytest.mark.parametrize(
    ("fibre", "inches"), [("nylon", 3 / 4), ("polypropylene", 7 / 8), ("polyester-polyolefin", 7 / 8)]
)
def test_first_size_of_5000_pounds_with_a_knot_that_costs_half(fibre, inches):
    """10,000 lbf as new is needed."""
    assert first_size(fibre, termination="bowline", rule_knot_retention=0.5) == pytest.approx(inches)


def test_first_nylon_of_5000_pounds_round_a_beam_that_costs_seven_tenths():
    """16,667 lbf as new is needed."""
    assert first_size("nylon", edge=True) == pytest.approx(7 / 8)


def test_half_inch_nylon_no_longer_does_it_wet():
    assert first_size("nylon", condition="new, wet") == pytest.approx(9 / 16)


def test_three_quarter_manila_does_not_reach_5000_pounds():
    """Regulator's letter of 1979, read: 3/4 in manila of 4,860 lbf does not comply."""
    three_quarters = next(
        s for s in three_strand("reference_pages")["manila"] if s.diameter == pytest.approx(0.75 * INCH)
    )
    assert three_quarters.strength.value.high / LBF == pytest.approx(4860)
    assert three_quarters.strength.value.high < LIMIT


def test_manila_is_refused_whatever_its_size():
    """29 CFR 1926.502(d)(14)."""
    assert any(answer.verdict is Verdict.FAILS for answer in suitability("manila", "laid", "static"))


def test_a_sliding_hitch_keeps_the_appendix_word_of_seventy_percent_lost():
    """29 CFR 1926 Subpart M App C II(h)(8)."""
    assert figures("terminations")["sliding hitch"].value.high == pytest.approx(1 - 0.70)


def test_practice_puts_the_working_load_of_the_least_lifeline_at_500_pounds():
    size = next(s for s in three_strand("reference_pages")["nylon"] if s.strength.value.likely >= LIMIT)
    assert working_load(size.strength.value).low / LBF == pytest.approx(567)
    assert working_load(size.strength.value).low >= 500 * LBF
