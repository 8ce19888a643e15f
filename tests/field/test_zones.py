"""What holds at points inside a roof, from the rule: every edge within the rope at that point can be fallen over."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.field.zones import CAUGHT, NOT_HELD, OUT_OF_REACH, RESTRAINED, zone_codes

NEAREST, BAD = np.array([5.0, 7.0]), np.array([False, True])


def code(length, needed=0.0, *, nearest=NEAREST, bad=BAD, margin=0.6):
    return int(zone_codes(nearest, bad, np.array([length]), np.array([needed]), margin=margin)[0])


@pytest.mark.parametrize(
    ("length", "expected"),
    [(4.4, RESTRAINED), (4.5, CAUGHT), (6.4, CAUGHT), (6.5, NOT_HELD), (9.0, NOT_HELD)],
    ids=["margin kept", "within the margin", "short of the bad edge", "within the margin of it", "past it"],
)
def test_each_zone_ends_a_margin_before_the_edge_it_is_about(length, expected):
    assert code(length) == expected


def test_a_place_that_the_rope_does_not_reach_is_out_of_reach():
    assert code(4.0, needed=4.1) == OUT_OF_REACH


def test_without_a_margin_the_edge_itself_parts_the_zones():
    assert (code(5.0, margin=0.0), code(5.0 + 1e-6, margin=0.0)) == (RESTRAINED, CAUGHT)


def test_a_roof_without_fall_edges_restrains_everybody():
    assert code(50.0, nearest=np.empty(0), bad=np.empty(0, bool)) == RESTRAINED


@settings(deadline=None, max_examples=50)
@given(length=st.floats(0, 12), more=st.floats(0, 5), margin=st.floats(0, 2), wide=st.floats(0, 2))
def test_more_rope_or_more_margin_is_never_better(length, more, margin, wide):
    assert code(length + more, margin=margin) >= code(length, margin=margin)
    assert code(length, margin=margin + wide) >= code(length, margin=margin)
