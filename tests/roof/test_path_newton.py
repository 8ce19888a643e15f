"""Shortest polylines over given edges, against scipy's bounded minimiser and by hand."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import minimize

from ropewright.roof import taut_rows as r
from ropewright.roof.taut_chain import shortest as kernel

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Chain:
    """Edges from a point ``x`` on to an image (p, q) of the source about the last one."""

    start: Floats
    along: Floats
    length: Floats
    x: Floats
    p: float
    q: float

    def sum(self, t: Floats) -> float:
        y = np.vstack([self.x, self.start + t[:, None] * self.along])
        legs = np.linalg.norm(np.diff(y, axis=0), axis=1)
        return float(legs.sum() + np.hypot(t[-1] - self.p, self.q))


def shortest(chain: Chain, t: Floats) -> tuple[float, Floats]:
    """What the search's kernel finds from a first guess."""
    m = len(t)
    edges, work = r.SCRATCH, r.SCRATCH + m * r.EDGE_ROW
    d, n = np.zeros(work + m * r.BEND_ROW), np.zeros(r.COUNTS, dtype=np.int64)
    d[r.GOAL : r.GOAL + 3] = chain.x
    rows = d[edges:work].reshape(m, r.EDGE_ROW)
    rows[:, r.START : r.START + 3], rows[:, r.ALONG : r.ALONG + 3] = chain.start, chain.along
    rows[:, r.SPAN] = chain.length
    bends = d[work:].reshape(m, r.BEND_ROW)
    bends[:, r.BEND], bends[:, r.PLACE] = edges + r.EDGE_ROW * np.arange(m), t
    n[r.WORK], n[r.BENDS] = work, m
    length = kernel(d, n, chain.p, chain.q)
    return float(length), bends[:, r.PLACE].copy()


def random_chain(seed: int, m: int) -> Chain:
    """Edges that lie roughly one after the other between a point and an image."""
    random = np.random.default_rng(seed)
    start = random.normal(size=(m, 3)) + np.arange(m, 0, -1)[:, None] * (0.0, 2.0, 0.0)
    along = random.normal(size=(m, 3))
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    x = np.array([random.normal(), 2.0 * (m + 1), random.normal()])
    return Chain(start, along, random.uniform(0.5, 4.0, m), x, random.normal(), random.uniform(0.5, 3.0))


@given(st.integers(0, 2**31), st.integers(1, 5))
@settings(deadline=None, max_examples=40)
def test_no_bounded_minimiser_finds_a_shorter_one(seed: int, m: int) -> None:
    chain = random_chain(seed, m)
    length, places = shortest(chain, 0.5 * chain.length)
    bounds = [(0.0, float(end)) for end in chain.length]
    found = minimize(chain.sum, 0.5 * chain.length, bounds=bounds, options={"ftol": 1e-13})
    assert length <= found.fun + 1e-9
    assert length == pytest.approx(found.fun, abs=1e-6)
    assert length == pytest.approx(chain.sum(places), abs=1e-12)
    assert ((places >= 0.0) & (places <= chain.length)).all()


@given(st.integers(0, 2**31), st.integers(1, 4))
@settings(deadline=None, max_examples=20)
def test_the_first_guess_does_not_matter(seed: int, m: int) -> None:
    chain = random_chain(seed, m)
    lengths = [shortest(chain, share * chain.length)[0] for share in (0.0, 0.3, 1.0)]
    assert lengths == pytest.approx([lengths[0]] * 3, abs=1e-10)


def one_edge(length: float) -> Chain:
    """An edge along x, a point 1 m before it at place 4, an image 3 m behind it at place 0."""
    x, start, along = np.array([4.0, 1.0, 0.0]), np.zeros((1, 3)), np.array([[1.0, 0.0, 0.0]])
    return Chain(start, along, np.array([length]), x, 0.0, 3.0)


def test_over_one_edge_the_image_is_seen_straight() -> None:
    length, places = shortest(one_edge(9.0), np.array([8.0]))
    assert length == pytest.approx(np.sqrt(32.0), abs=1e-12)
    assert places[0] == pytest.approx(3.0, abs=1e-9)


def test_a_place_stops_at_the_end_of_its_edge() -> None:
    length, places = shortest(one_edge(2.0), np.array([1.0]))
    assert places[0] == 2.0
    assert length == pytest.approx(np.hypot(2.0, 1.0) + np.hypot(2.0, 3.0), abs=1e-12)
