"""Lines and cables worked in textbooks, in a regulation and in a mooring code's own tests.

Sources, all read: the open companion notebooks (2017) of A. K. Tayal, *Engineering Mechanics*, Examples 10.1, 10.4,
10.5 and 10.6; of Beer and Johnston, *Vector Mechanics*, Sample Problem 7.8, p. 348; of Gönen, *Electric Power
Transmission*, Example 13.1, p. 690; of Ray, Example 5.3, p. 138; of J. B. Gupta, *Elements of Power Systems*, Example
10-E1, p. 246; of Hibbeler and Gupta, Example 3.4, p. 77; 29 CFR 1926 Subpart M App. C II(h)(6); the MoorPy test suite,
tests/test_catenary.py. Books that take a parabola are held against the catenary within the difference of the two.
"""

import math

import pytest
from scipy.optimize import brentq

from ropewright.arrest.cable import Cable, PointLoad, sag_amplification
from ropewright.arrest.cable_balance import hang_cable
from ropewright.arrest.cable_rig import rigged_to_length, rigged_to_sag, rigged_to_tension
from ropewright.arrest.cable_segment import piece_of
from ropewright.arrest.cable_span import SpanTask, hang_span


class TestThreeLoadsBetweenSupportsAtTwoLevels:
    """Tayal 10.1: 400, 600 and 400 N every 2 m; the middle one is 2.25 m below the far support, itself 2 m higher."""

    task = SpanTask(run=8.0, rise=2.0, places=(2.0, 4.0, 6.0), forces=(400.0, 600.0, 400.0))

    def test_level_tension_follows_from_the_place_of_the_middle_load(self):
        def below(h: float) -> float:
            return hang_span(self.task, h).nodes[2][1] - (2.0 - 2.25)

        assert brentq(below, 100.0, 1e5, rtol=1e-13) == pytest.approx(1600.0, rel=1e-6)

    def test_ends_and_sag(self):
        hung = hang_span(self.task, 1600.0)
        assert hung.v_right == pytest.approx(1100.0, rel=1e-6)
        assert hung.tension_left == pytest.approx(1627.8821, rel=1e-6)
        assert hung.tension_right == pytest.approx(1941.6488, rel=1e-6)
        assert 2.0 - hung.nodes[3][1] == pytest.approx(1.375, rel=1e-6)
        assert math.degrees(math.atan2(hung.v_right, hung.horizontal)) == pytest.approx(34.508523, rel=1e-6)


class TestThreeLoadsWithOnePointKnown:
    """Beer and Johnston 7.8: 30, 60, 20 kN; C is 1.5 m below A. The notebook has a slip of sign after y_B."""

    task = SpanTask(run=18.0, rise=6.0, places=(6.0, 9.0, 13.5), forces=(30e3, 60e3, 20e3))

    def solved(self):
        return hang_span(self.task, brentq(lambda h: hang_span(self.task, h).nodes[2][1] + 1.5, 1e3, 1e6, rtol=1e-13))

    def test_reactions(self):
        hung = self.solved()
        assert hung.horizontal == pytest.approx(90e3, rel=1e-4)
        assert -hung.v_left == pytest.approx(25e3, rel=1e-4)

    def test_points_slope_and_greatest_tension(self):
        hung = self.solved()
        assert -hung.nodes[1][1] == pytest.approx(5 / 3, rel=1e-4)
        assert hung.nodes[3][1] == pytest.approx(1.75, rel=1e-4)
        assert math.degrees(math.atan2(hung.v_right, hung.horizontal)) == pytest.approx(43.363423, rel=1e-4)
        assert hung.tension_right == pytest.approx(123.79418e3, rel=1e-4)


def test_shallow_cable_over_a_pulley():
    """Tayal 10.4: 30 m, 0.5 m sag, 0.5 kg/m; printed 1106.0748 N and 30.022222 m are of a parabola."""
    state = hang_cable(rigged_to_sag(Cable((30.0,), weight=0.5 * 9.81), 0.5))
    assert state.tension == pytest.approx(1106.486, rel=1e-6)
    assert state.stressed == pytest.approx(30.022211, rel=1e-7)
    assert state.tension == pytest.approx(1106.0748, rel=5e-4)
    assert math.degrees(math.atan2(-state.spans[0].v_left, state.spans[0].horizontal)) == pytest.approx(
        3.814075,
        rel=2e-3,
    )


def test_least_sag_for_a_tension():
    """Tayal 10.5: 3 N/m over 30 m at 400 N; printed 0.849141 m is of a parabola, a catenary sags 0.85007 m."""
    sag = hang_cable(rigged_to_tension(Cable((30.0,), weight=3.0), 400.0)).sag
    assert sag == pytest.approx(0.85007139, rel=1e-7)
    assert sag == pytest.approx(0.849141, rel=1.2e-3)


def test_catenary_of_known_length_and_sag():
    """Tayal 10.6: 200 m of 1000 kg with 50 m sag span 164.79184 m."""
    state = hang_cable(rigged_to_length(Cable((164.79184,), weight=5 * 9.81), 200.0))
    assert state.sag == pytest.approx(50.0, rel=1e-6)
    assert state.tension == pytest.approx(6131.25, rel=1e-6)


def test_long_shallow_span():
    """Gönen 13.1: c = 1600 ft, 500 ft span, 4122 lb per mile."""
    w = 4122 / 5280
    hung = hang_span(SpanTask(run=500.0, rise=0.0, weight=w), 1600.0 * w)
    assert hung.unstressed == pytest.approx(502.037, abs=6e-4)
    assert hung.sag == pytest.approx(19.571019, rel=1e-7)
    assert hung.tension_right == pytest.approx(1264.4, abs=0.05)
    assert hung.horizontal == pytest.approx(1249.1, abs=0.05)


def test_supports_at_different_heights():
    """Ray 5.3: 240 m between 20 and 15 m, 0.63 kgf/m at 1350 kgf; a parabola clears the ground by 13.675 m."""
    hung = hang_span(SpanTask(run=240.0, rise=-5.0, weight=0.63), 1350.0)
    assert 20.0 + hung.lowest[1] == pytest.approx(13.675, rel=3e-4)
    assert 0 < hung.lowest[0] < 240.0


def test_sag_of_a_taut_span():
    """Gupta 10-E1: 0.7 kgf/m over 200 m at 1400 kgf; the parabola sags 2.5 m, the catenary (1 + 0.1^2/48) times it."""
    assert hang_span(SpanTask(run=200.0, rise=0.0, weight=0.7), 1400.0).sag == pytest.approx(
        2.5 * (1 + 0.01 / 48), rel=1e-6
    )


@pytest.mark.parametrize(("angle", "printed"), [(15.0, 2.0), (5.0, 6.0), (30.0, 1.0)])
def test_amplification_by_sag_angle(angle, printed):
    """The rule's appendix: about 2 at 15 deg, about 6 at 5 deg; greatly amplified below 30 deg."""
    assert sag_amplification(angle) == pytest.approx(printed, rel=0.05)


def test_lamp_between_a_cord_and_an_elastic_cord():
    """Hibbeler 3.4: 8 kg, AB level with 300 N/m and 0.4 m unstretched, AC at 30 deg; AC is 1.32 m long."""
    weight = 8 * 9.81
    pull = weight / math.tan(math.radians(30))
    elastic = piece_of(0.4, pull, 0.0, 0.0, 1.0 / (300.0 * 0.4))
    cord = piece_of(1.3243209, pull, weight, 0.0, 0.0)
    assert pull == pytest.approx(135.93135, rel=1e-6)
    assert elastic.run == pytest.approx(0.85310449, rel=1e-6)
    assert elastic.run + cord.run == pytest.approx(2.0, rel=1e-6)


def test_suspended_mooring_line():
    """MoorPy, tests/test_catenary.py: 400 m by 200 m, 500 m of line."""
    (span,) = hang_cable(Cable((400.0,), (500.0,), (200.0,), weight=200.0, stiffness=7.51e12)).spans
    assert span.horizontal == pytest.approx(43694.581, rel=1e-6)
    assert span.v_right == pytest.approx(77634.401, rel=1e-6)
    assert span.v_left == pytest.approx(-22365.599, rel=1e-6)


def test_suspended_mooring_line_near_taut():
    """The same; printed from a solver that stops at its own tolerance (it gives 71117.61 when that is tightened)."""
    (span,) = hang_cable(Cable((246.22421,), (360.62566,), (263.55766,), weight=3.08735, stiffness=7e8)).spans
    assert span.horizontal == pytest.approx(71116.8, rel=2e-5)
    assert span.v_right == pytest.approx(76680.6, rel=2e-5)
    assert span.v_left == pytest.approx(75567.3, rel=2e-5)


def test_massless_lifeline_with_a_load_at_midspan():
    """Closed form 2 EA (2 r/L0 - 1) d/r = P with r = sqrt(10^2 + d^2): 20 m, 20.05 m of line, 1.7 MN, 6 kN."""
    state = hang_cable(Cable((20.0,), (20.05,), stiffness=1.7e6), [PointLoad(10.0, 6000.0)])
    assert state.sag == pytest.approx(1.643203, rel=1e-6)
    assert state.tension == pytest.approx(18501.864, rel=1e-7)
