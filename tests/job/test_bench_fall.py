"""A fall set up for a class, held against closed forms and against the laws it is made of.

Swing along a level edge: H = z - (L - l), so the drop is l(start) - l(nearest), Pythagoras. Peak of an undamped rope
without absorber: m g (1 + sqrt(1 + 2 h k / (m g))), any text on dynamics.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.arrest.parts import GRAVITY
from ropewright.errors import InputError
from ropewright.findings import Verdict
from ropewright.job.bench_fall import ROPES, BenchFall, answer_bench_fall, shared_span
from ropewright.quantity import Range

PLAIN = BenchFall(Range.exact(100.0), Range.exact(1.8), 6.0, absorber="EN 355", setback=4.0)


def test_swing_drop_over_an_edge_is_pythagoras():
    assert replace(PLAIN, setback=3.0, offset=4.0).swing_drop == pytest.approx(2.0)


def test_swing_drop_under_an_anchor_overhead_is_that_of_a_pendulum():
    assert replace(PLAIN, setback=0.0, offset=3.0, line=5.0).swing_drop == pytest.approx(1.0)


def test_swing_speed_is_that_of_the_height_lost():
    found = answer_bench_fall(replace(PLAIN, setback=3.0, offset=4.0))
    assert found.swing_speed == pytest.approx(math.sqrt(2 * GRAVITY * 2.0))


def test_overhead_fall_without_absorber_has_the_peak_of_the_closed_form():
    found = answer_bench_fall(replace(PLAIN, absorber="", setback=0.0))
    k = found.fall.task.inputs["modulus"].likely / 6.0
    weight = 100.0 * GRAVITY
    assert found.fall.one.number("peak_force") == pytest.approx(
        weight * (1 + math.sqrt(1 + 2 * 1.8 * k / weight)), rel=1e-3
    )


@pytest.mark.parametrize("rope", list(ROPES))
def test_parts_of_the_simulated_clearance_add_up(rope):
    found = answer_bench_fall(replace(PLAIN, rope=rope, grab="EN 353-2", offset=2.0))
    assert sum(value for _, value in found.simulated) == pytest.approx(found.needed_likely, abs=2e-3)


def test_book_adds_swing_and_margin():
    found = answer_bench_fall(replace(PLAIN, offset=3.0, margin=1.5))
    terms = {term.key: float(term.value) for term in found.book.terms}
    assert (terms["swing_drop"], terms["margin"]) == pytest.approx((1.0, 1.5))
    assert float(found.book.total) == pytest.approx(sum(terms.values()))


def test_friction_over_the_edge_stiffens_the_catch():
    free, over = (answer_bench_fall(replace(PLAIN, absorber="", setback=back)) for back in (0.0, 4.0))
    assert over.fall.one.number("peak_force") > free.fall.one.number("peak_force")


def test_too_short_a_line_restrains_and_says_so():
    with pytest.raises(InputError, match="nobody falls"):
        answer_bench_fall(replace(PLAIN, line=3.9))


def test_unknown_rope_names_those_there_are():
    with pytest.raises(InputError, match="laid polyester"):
        answer_bench_fall(replace(PLAIN, rope="string"))


def test_clearance_that_the_swing_uses_up_fails():
    found = answer_bench_fall(replace(PLAIN, offset=3.0, clearance=1.5))
    assert found.verdict is Verdict.FAILS


def test_limits_hold_only_with_every_input_at_its_unsafe_end():
    found = answer_bench_fall(replace(PLAIN, clearance=50.0, force_limit=50e3))
    assert found.verdict is Verdict.HOLDS
    assert answer_bench_fall(replace(PLAIN, clearance=found.needed_high - 0.01)).verdict is Verdict.DOUBTFUL


@given(st.floats(0.0, 3.0), st.floats(0.05, 1.0), st.floats(0.0, 4.0))
@settings(max_examples=25, deadline=None)
def test_more_slack_and_more_offset_never_need_less(slack, more, offset):
    setup = replace(PLAIN, slack=Range.exact(slack), offset=offset, line=8.0)
    least = answer_bench_fall(setup).needed
    assert answer_bench_fall(replace(setup, slack=Range.exact(slack + more))).needed >= least - 1e-3
    # further along the edge less rope hangs free, which stretches less; but what is lost in the swing is more
    assert replace(setup, offset=offset + more).swing_drop >= setup.swing_drop


def test_corner_falls_span_the_likely_one():
    found = answer_bench_fall(replace(PLAIN, mass=Range(90.0, 100.0, 110.0)))
    deepest = min(run.height.min() for run in found.corner_histories)
    shallowest = max(run.height.min() for run in found.corner_histories)
    assert deepest < found.history.height.min() < shallowest


def test_shared_span_holds_both_falls():
    falls = tuple(answer_bench_fall(replace(PLAIN, slack=Range.exact(slack))) for slack in (0.6, 1.8))
    assert shared_span(falls)[1] == max(shared_span((one,))[1] for one in falls)
