"""The Gauss integral against closed forms: torus links, links of several turns, Lk = Tw + Wr, writhe of a helix.

Linking numbers of torus links and the writhe of a long helix, n (1 - sin a) for n turns at the pitch angle a, are
textbook results (Fuller 1971, from memory).
"""

from __future__ import annotations

import numpy as np
import pytest
from knot_identity import link

from ropewright.rope.linking import linking_number, twist, writhe


def torus_curve(p: int, q: int, phase: float, n: int = 240) -> np.ndarray:
    """P times round the long way and q times round the short way, p and q coprime; [x, y, z]."""
    t = np.linspace(0.0, 2 * np.pi, n, endpoint=False)
    radius = 2 + 0.8 * np.cos(q * t + phase)
    return np.column_stack([radius * np.cos(p * t), radius * np.sin(p * t), 0.8 * np.sin(q * t + phase)])


@pytest.mark.parametrize("q", [1, 2, 3, 5, -4])
def test_two_strands_of_a_torus_link_wind_q_times(q: int) -> None:
    one, other = torus_curve(1, q, 0.0), torus_curve(1, q, np.pi)
    assert linking_number(one, other) == pytest.approx(-q, abs=1e-6)


@pytest.mark.parametrize(("p", "q"), [(2, 3), (3, 2)])
def test_two_torus_knots_side_by_side_wind_p_times_q(p: int, q: int) -> None:
    one, other = torus_curve(p, q, 0.0, 500), torus_curve(p, q, np.pi / 2, 500)
    assert linking_number(one, other) == pytest.approx(-p * q, abs=1e-6)


def test_knot_library_counts_the_same() -> None:
    one, other = torus_curve(1, 3, 0.0), torus_curve(1, 3, np.pi)
    assert abs(link([one, other]).linking_matrix()[0][1]) == round(abs(linking_number(one, other)))


def test_curves_apart_do_not_wind() -> None:
    one = torus_curve(1, 2, 0.0, 100)
    assert linking_number(one, one + np.array([10.0, 0.0, 0.0])) == pytest.approx(0.0, abs=1e-7)


def test_mirror_image_winds_the_other_way() -> None:
    one, other, mirror = torus_curve(1, 2, 0.0), torus_curve(1, 2, np.pi), np.array([1.0, 1.0, -1.0])
    assert linking_number(one * mirror, other * mirror) == pytest.approx(-linking_number(one, other))
    assert writhe(one * mirror) == pytest.approx(-writhe(one))


def test_order_does_not_matter() -> None:
    one, other = torus_curve(1, 2, 0.0), torus_curve(1, 2, np.pi)
    assert linking_number(one, other) == pytest.approx(linking_number(other, one))


def test_edge_of_a_flat_ring_turned_three_times_has_twist_three() -> None:
    t = np.linspace(0.0, 2 * np.pi, 400, endpoint=False)
    ring = np.column_stack([np.cos(t), np.sin(t), 0 * t])
    aside = np.column_stack([np.cos(3 * t) * np.cos(t), np.cos(3 * t) * np.sin(t), np.sin(3 * t)])
    assert abs(twist(ring, ring + 0.05 * aside)) == pytest.approx(3.0, abs=1e-3)


def test_helix_writhes_as_its_pitch_says() -> None:
    turns, angle = 12, np.radians(20.0)
    t = np.linspace(0.0, 2 * np.pi * turns, 900)
    helix = np.column_stack([np.cos(t), np.sin(t), np.tan(angle) * t])
    far = 400.0  # led back far outside, where it adds nothing but half a turn's worth at its ends
    back = np.array([[0, 0, helix[-1, 2] + far], [far, 0, helix[-1, 2] + far], [far, 0, -far], [0, 0, -far]])
    ends = np.array([[0.0, 0.0, helix[-1, 2] + 3.0]]), np.array([[0.0, 0.0, -3.0]])
    closed = np.concatenate([helix, ends[0], back, ends[1]])
    assert abs(writhe(closed)) == pytest.approx(turns * (1 - np.sin(angle)), abs=0.5)
