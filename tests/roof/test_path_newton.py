"""Shortest polylines over given edges, against scipy's bounded minimiser and by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import minimize

from ropewright.roof.newton import Chains, shortest


def random_chain(seed: int, m: int) -> Chains:
    """Edges that lie roughly one after the other between a point and an image."""
    random = np.random.default_rng(seed)
    start = random.normal(size=(1, m, 3)) + np.arange(m, 0, -1)[None, :, None] * (0.0, 2.0, 0.0)
    along = random.normal(size=(1, m, 3))
    along /= np.linalg.norm(along, axis=2, keepdims=True)
    x = np.array([[random.normal(), 2.0 * (m + 1), random.normal()]])
    return Chains(start, along, random.uniform(0.5, 4.0, (1, m)), x, random.normal(size=1), random.uniform(0.5, 3.0, 1))


@given(st.integers(0, 2**31), st.integers(1, 5))
@settings(deadline=None, max_examples=40)
def test_no_bounded_minimiser_finds_a_shorter_one(seed: int, m: int) -> None:
    chain = random_chain(seed, m)
    length, places = shortest(chain, 0.5 * chain.length)
    bounds = [(0.0, float(end)) for end in chain.length[0]]

    def total(t: NDArray[np.float64]) -> float:
        return float(chain.sum(t[None])[0])

    found = minimize(total, 0.5 * chain.length[0], bounds=bounds, options={"ftol": 1e-13})
    assert length[0] <= found.fun + 1e-9
    assert length[0] == pytest.approx(found.fun, abs=1e-6)
    assert ((places >= 0.0) & (places <= chain.length)).all()


@given(st.integers(0, 2**31), st.integers(1, 4))
@settings(deadline=None, max_examples=20)
def test_the_first_guess_does_not_matter(seed: int, m: int) -> None:
    chain = random_chain(seed, m)
    lengths = [shortest(chain, share * chain.length)[0][0] for share in (0.0, 0.3, 1.0)]
    assert lengths == pytest.approx([lengths[0]] * 3, abs=1e-10)


def one_edge(length: float) -> Chains:
    """An edge along x, a point 1 m before it at place 4, an image 3 m behind it at place 0."""
    x, start, along = np.array([[4.0, 1.0, 0.0]]), np.zeros((1, 1, 3)), np.array([[[1.0, 0.0, 0.0]]])
    return Chains(start, along, np.array([[length]]), x, np.zeros(1), np.array([3.0]))


def test_over_one_edge_the_image_is_seen_straight() -> None:
    length, places = shortest(one_edge(9.0), np.array([[8.0]]))
    assert length[0] == pytest.approx(np.sqrt(32.0), abs=1e-12)
    assert places[0, 0] == pytest.approx(3.0, abs=1e-9)


def test_a_place_stops_at_the_end_of_its_edge() -> None:
    length, places = shortest(one_edge(2.0), np.array([[1.0]]))
    assert places[0, 0] == 2.0
    assert length[0] == pytest.approx(np.hypot(2.0, 1.0) + np.hypot(2.0, 3.0), abs=1e-12)


def test_many_chains_equal_one_by_one() -> None:
    chains = [random_chain(seed, 3) for seed in range(12)]
    names = ("start", "along", "length", "x", "p", "q")
    together = Chains(*(np.concatenate([getattr(c, name) for c in chains]) for name in names))
    alone = [shortest(c, 0.5 * c.length)[0][0] for c in chains]
    assert shortest(together, 0.5 * together.length)[0] == pytest.approx(alone, abs=1e-12)
