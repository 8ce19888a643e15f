"""Falls on plain roofs against what can be worked out by hand.

Flat roof, anchor A at roof level a = 3 m square from the south eave: l(A, E) = hypot(a, w) at w along the eave.
- Rope held at E comes taut L - l below it; worst at the foot, w = 0: free fall = h + L - a (+ travel to lock).
- Rope that slides along the eave: l(A, E - s z) = hypot(a + s, w), so that s = sqrt(L^2 - w^2) - a.
- Swing drop along a level eave: hypot(a, w) - a (Pythagoras).
Rake of slope angle q, anchor on the ridge at level distance w from it: a body comes to rest at slope distance w tan(q).
Undamped elastic rope: F = m g (1 + sqrt(1 + 2 h k / (m g))), every text on strength of materials.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from plain_jobs import assessed, field_of, finding, plain, points_on

G = 9.80665
A, STOP, LANYARD, H, LOCK = 3.0, 3.5, 0.5, 1.4, 0.1
L = STOP + LANYARD


def south(field):
    return points_on(field, "south eave")


def test_free_fall_at_the_foot_is_d_ring_height_and_slack():
    free_fall = finding(assessed(), "free-fall")
    assert free_fall.where.point == pytest.approx((6, 0, 6))
    assert free_fall.high == pytest.approx(H + L - A + LOCK)


def test_a_rope_that_slides_along_the_eave_comes_taut_later():
    field = field_of(assessed())
    for i in south(field):
        if field.reached[i] and field.taut[i] < L:
            w = field.points[i, 0] - 6
            # the D-ring starts as high as the rope lets it: hypot(a, w, h) <= L
            start = min(H, math.sqrt(L**2 - A**2 - w**2))
            assert field.free_fall[i] == pytest.approx(start + math.sqrt(L**2 - w**2) - A + LOCK, abs=5e-4)


def test_edges_are_reached_as_far_as_the_rope_goes():
    field = field_of(assessed())
    across = field.points[:, 0] - 6
    on_eave = np.isin(np.arange(len(field.edge)), south(field))
    assert (field.reached[on_eave] == (np.hypot(A, across[on_eave]) <= L + 1e-9)).all()
    assert not field.reached[~on_eave].any()


def test_a_high_anchor_lets_a_standing_worker_reach_what_the_rope_on_the_roof_does_not():
    """Anchor 1.4 m over the roof: 3 m to the back of a standing worker, hypot(3, 1.4) = 3.31 m to the edge itself."""
    assert field_of(assessed(anchor_0__above="1.4 m", line_0__length="2.6 m")).reached.any()
    assert not field_of(assessed(anchor_0__above="1.4 m", line_0__length="2.45 m")).reached.any()


def test_a_short_rope_from_a_high_anchor_holds_the_body_above_the_edge():
    """Rope of 3.1 m: taut where hypot(3, 1.4 - t) = 3.1, at t = 1.4 - sqrt(3.1^2 - 3^2) above the edge."""
    field = field_of(assessed(anchor_0__above="1.4 m", line_0__length="2.6 m"))
    i = next(i for i in south(field) if abs(field.points[i, 0] - 6) < 1e-9)
    assert field.free_fall[i] == pytest.approx(math.sqrt(3.1**2 - A**2) + LOCK, abs=1e-3)


def test_a_worker_kept_low_by_the_rope_falls_from_that_low():
    """Rope of 3.2 m to an anchor at roof level: a standing D-ring would need 3.31 m; it gets sqrt(3.2^2 - 3^2) high."""
    field = field_of(assessed(line_0__length="2.7 m"))
    i = next(i for i in south(field) if abs(field.points[i, 0] - 6) < 1e-9)
    assert field.free_fall[i] == pytest.approx(math.sqrt(3.2**2 - A**2) + (3.2 - A) + LOCK, abs=1e-3)


def test_along_an_eave_a_body_swings_down_to_the_foot_of_the_perpendicular():
    field = field_of(assessed(line_0__length="6.5 m", plan__spacing="0.05 m"))
    for i in south(field):
        if field.reached[i]:
            w = abs(field.points[i, 0] - 6)
            assert field.swing_drop[i] == pytest.approx(math.hypot(A, w) - A, abs=1e-6)
            assert field.hang[i, 0] == pytest.approx(6)
            assert field.drag[i] == pytest.approx(w)


@pytest.mark.parametrize("follows", [False, True], ids=["grab moved by hand", "trailing grab"])
def test_a_body_swings_on_the_rope_that_it_fell_on(follows):
    """A trailing grab gives each place its own length of rope; a fall keeps the one of the place it began at."""
    field = field_of(assessed(line_0__length="6.5 m", grab__g__follows=follows))
    i = max((i for i in south(field) if field.reached[i]), key=lambda i: field.points[i, 0])
    assert field.swing_drop[i] == pytest.approx(field.taut[i] - A, abs=1e-6)
    assert field.swing_drop[i] > 2


def gable(**changes):
    """Gable of 12 m by 8 m at 35 deg; anchor on the ridge, 2 m from the west rake."""
    roof = {"form": "gable", "size": ["12 m", "8 m"], "eave_height": "6 m", "pitch": "35 deg", "gable_sides": [2, 4]}
    return plain(roof=roof, anchor_0__at=["2 m", "4 m"], **changes)


def test_on_a_rake_a_body_comes_to_hang_w_tan_q_below_the_ridge():
    q, w = math.radians(35), 2.0
    field = field_of(assessed(gable(plan__spacing="0.05 m", line_0__length="4 m")))
    ridge = 6 + 4 * math.tan(q)
    for i in points_on(field, "west rake (south side)"):
        below = (ridge - field.points[i, 2]) / math.sin(q)
        if field.reached[i] and 1.5 < below < 3.5:
            edge_height = field.points[i, 2]
            assert (4 - field.hang[i, 1]) / math.cos(q) == pytest.approx(w * math.tan(q), abs=0.026)
            lost = edge_height + field.taut[i] - (ridge - w * math.tan(q) * math.sin(q) + w / math.cos(q))
            assert field.swing_drop[i] == pytest.approx(lost, abs=2e-4)


def test_a_rope_that_can_slide_off_along_a_rake_lets_the_worker_fall_further():
    """At slope distance t below the anchor: l(s)^2 = (w + s cos q)^2 + (t + s sin q)^2, s down the gable wall."""
    q, w, rope = math.radians(35), 2.0, 4.5
    field = field_of(assessed(gable(line_0__length="4 m")))
    rake = [i for i in points_on(field, "west rake (south side)") if field.reached[i]]
    for i in rake:
        t = (4 - field.points[i, 1]) / math.cos(q)
        if field.taut[i] < rope and t < 3:
            along, across = t * math.sin(q) + w * math.cos(q), t**2 + w**2 - rope**2
            s = -along + math.sqrt(along**2 - across)
            start = field.free_fall[i] - LOCK - s
            assert s > rope - field.taut[i] - 1e-9
            assert 0 < start <= H + 0.01


def test_an_elastic_rope_without_absorber_gives_the_closed_form():
    """Held above the edge, so that no rope bends over it: 2.6 m of rope of 60 kN work; the lanyard is rigid."""
    rig = {"l": {"length": "0.5 m", "strength": "25 kN"}}
    field = field_of(assessed(anchor_0__above="1.4 m", line_0__length="2.6 m", lanyard=rig, grab__g__lock="0 m"))
    i = next(i for i in south(field) if abs(field.points[i, 0] - 6) < 1e-9)
    k, weight, h = 60e3 / 2.6, 100 * G, math.sqrt(3.1**2 - A**2)
    expected = weight * (1 + math.sqrt(1 + 2 * h * k / weight))
    assert field.force_likely[i] == pytest.approx(expected, rel=1e-3)
    # the stiffness was told, maybe from a milder drop: up to 30 % low (Weber 2002)
    assert field.force_high[i] == pytest.approx(1.3 * expected, rel=1e-3)


def test_an_absorber_keeps_the_force_at_its_own_while_it_opens():
    """Its average force; the peak may be 1.25 times that (Carrion et al. 2020, the end remembered)."""
    field = field_of(assessed(line_0__length="2.7 m"))
    assert np.nanmax(field.force_likely) == pytest.approx(4000, rel=1e-6)
    assert np.nanmax(field.force_high) == pytest.approx(1.25 * 4000, rel=1e-6)


def test_friction_over_the_edge_lies_between_all_of_the_rope_and_the_hanging_part():
    """Without an absorber: between mu = 0, all 3.5 m of rope work, and mu without end, where what hangs does."""
    rig = {"l": {"length": "0.5 m", "strength": "25 kN"}}
    field = field_of(assessed(lanyard=rig, grab__g__lock="0 m"))
    i = next(i for i in south(field) if abs(field.points[i, 0] - 6) < 1e-9)
    weight, h = 100 * G, H + L - A

    def force(rope):
        return weight * (1 + math.sqrt(1 + 2 * h * 60e3 / rope / weight))

    assert force(3.5) < field.force_likely[i] < field.force_high[i] < force(0.5)


def test_a_trailing_grab_never_leaves_more_than_two_lanyards_of_slack():
    field = field_of(assessed(line_0__length="9 m", grab__g__follows=True))
    i = next(i for i in south(field) if abs(field.points[i, 0] - 6) < 1e-9)
    slack = math.hypot(A, H) + 2 * LANYARD - A
    assert field.free_fall[i] == pytest.approx(H + slack + LOCK, abs=1e-6)


def test_a_trailing_grab_is_never_worse_than_one_moved_by_hand():
    by_hand, trailing = (
        field_of(assessed(line_0__length="6 m", grab__g__follows=follows)) for follows in (False, True)
    )
    both = by_hand.reached & trailing.reached
    assert both.any()
    for name in ("free_fall", "force_high", "needed_book", "needed_high"):
        assert (getattr(trailing, name)[both] <= getattr(by_hand, name)[both] + 1e-9).all(), name


def test_without_a_grab_all_of_the_line_is_slack():
    raw = plain()
    line = {key: value for key, value in raw["line"][0].items() if key != "grab"}
    assert finding(assessed({**raw, "line": [line]}), "free-fall").high == pytest.approx(H + L - A)


def test_a_body_hangs_below_where_it_rests_by_the_rope_past_the_edge():
    field = field_of(assessed())
    reached = np.flatnonzero(field.reached & (field.taut < L))
    assert (field.hang[reached, 2] < 6 - (L - A) + 1e-9).all()
    assert np.isnan(field.hang[~field.reached]).all()
