"""Cutting lists: every piece once, no spool beyond its length, never better than the bound."""

from __future__ import annotations

import math
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.rope.cutting import CuttingPlan, Piece, Spool, cutting_plan

lengths = st.integers(50, 3000).map(lambda steps: steps / 100)
stock_lengths = st.integers(500, 6000).map(lambda steps: steps / 100)


@st.composite
def needs(draw: st.DrawFn) -> tuple[list[Piece], list[Spool], float, float]:
    wanted = draw(st.lists(st.tuples(lengths, st.integers(1, 3)), min_size=1, max_size=8))
    stocked = draw(st.lists(st.tuples(stock_lengths, st.integers(1, 3)), min_size=1, max_size=5))
    pieces = [Piece(f"p{i}", length, count) for i, (length, count) in enumerate(wanted)]
    spools = [Spool(f"s{i}", length, count) for i, (length, count) in enumerate(stocked)]
    return pieces, spools, draw(st.sampled_from([0.0, 0.02, 0.5])), draw(st.sampled_from([math.inf, 4.0]))


def made(plan: CuttingPlan) -> Counter[tuple[str, float]]:
    return Counter(piece for cut in plan.cuts for piece in cut.pieces)


@settings(max_examples=60, deadline=None)
@given(needs())
def test_every_piece_is_cut_once_or_named_as_uncut(given_: tuple[list[Piece], list[Spool], float, float]) -> None:
    pieces, spools, per_cut, keep = given_
    plan = cutting_plan(pieces, spools, per_cut=per_cut, keep=keep, seconds=1.0)
    assert made(plan) + Counter(plan.uncut) == Counter({(p.name, p.length): p.count for p in pieces})


@settings(max_examples=60, deadline=None)
@given(needs())
def test_no_spool_gives_more_than_it_has(given_: tuple[list[Piece], list[Spool], float, float]) -> None:
    pieces, spools, per_cut, keep = given_
    plan = cutting_plan(pieces, spools, per_cut=per_cut, keep=keep, seconds=1.0)
    by_name = {spool.name: spool for spool in spools}
    opened = Counter(cut.spool for cut in plan.cuts)
    assert all(opened[spool.name] <= spool.count for spool in spools)
    assert len({(cut.spool, cut.number) for cut in plan.cuts}) == len(plan.cuts)
    for cut in plan.cuts:
        taken = sum(length for _, length in cut.pieces) + per_cut * (len(cut.pieces) - 1)
        assert taken <= by_name[cut.spool].length + 1e-9
        assert cut.rest == pytest.approx(max(by_name[cut.spool].length - taken - per_cut, 0.0), abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(needs())
def test_waste_is_what_neither_ends_in_a_piece_nor_goes_back(
    given_: tuple[list[Piece], list[Spool], float, float],
) -> None:
    pieces, spools, per_cut, keep = given_
    plan = cutting_plan(pieces, spools, per_cut=per_cut, keep=keep, seconds=1.0)
    by_name = {spool.name: spool for spool in spools}
    opened = sum(by_name[cut.spool].length for cut in plan.cuts)
    in_pieces = sum(length * many for (_, length), many in made(plan).items())
    assert plan.waste == pytest.approx(max(opened - in_pieces - plan.kept, 0.0), abs=1e-6)
    assert plan.kept == pytest.approx(sum(cut.rest for cut in plan.cuts if cut.rest >= keep))
    assert plan.uncut or plan.bound <= plan.waste + 1e-9


@settings(max_examples=30, deadline=None)
@given(needs())
def test_more_stock_never_wastes_more_where_both_are_proven(
    given_: tuple[list[Piece], list[Spool], float, float],
) -> None:
    pieces, spools, per_cut, keep = given_
    one = cutting_plan(pieces, spools, per_cut=per_cut, keep=keep, seconds=1.0)
    more = cutting_plan(pieces, [*spools, Spool("extra", 40.0, 2)], per_cut=per_cut, keep=keep, seconds=1.0)
    assert len(more.uncut) <= len(one.uncut)
    if one.proven and more.proven:
        assert more.waste <= one.waste + 0.01


def test_cut_takes_its_rope_but_for_the_last_that_leaves_nothing() -> None:
    pieces = [Piece("a", 5.0), Piece("b", 4.9)]
    exact = cutting_plan(pieces, [Spool("s", 10.0)], per_cut=0.1)
    assert (exact.uncut, exact.waste) == ((), pytest.approx(0.1))
    assert cutting_plan(pieces, [Spool("s", 9.99)], per_cut=0.1).uncut


def test_rest_long_enough_goes_back() -> None:
    plan = cutting_plan([Piece("a", 6.0)], [Spool("s", 10.0)], keep=4.0)
    assert (plan.waste, plan.kept, plan.proven) == (0.0, 4.0, True)
    assert cutting_plan([Piece("a", 6.0)], [Spool("s", 10.0)], keep=4.5).waste == 4.0


def test_feet_and_inches_leave_no_rounding() -> None:
    foot = 0.3048
    plan = cutting_plan([Piece("a", 33 * foot, 6)], [Spool("s", 99 * foot, 2)])
    assert (len(plan.cuts), plan.waste, plan.proven) == (2, pytest.approx(0.0, abs=1e-9), True)


def test_odd_lengths_never_come_out_short() -> None:
    plan = cutting_plan([Piece("a", 3.3333333, 3)], [Spool("s", 10.0199)])
    assert plan.uncut == ()
    assert plan.cuts[0].rest >= 0.0


def test_what_no_spool_can_give_is_uncut_and_nothing_is_claimed() -> None:
    plan = cutting_plan([Piece("long", 30.0), Piece("short", 5.0)], [Spool("s", 20.0)])
    assert plan.uncut == (("long", 30.0),)
    assert not plan.proven
    assert math.isnan(plan.bound)


def test_same_question_same_answer() -> None:
    pieces = [Piece(f"p{i}", 1.0 + 0.37 * i, 2) for i in range(12)]
    spools = [Spool("a", 17.0, 9), Spool("b", 11.5, 9)]
    assert cutting_plan(pieces, spools) == cutting_plan(pieces, spools)


@pytest.mark.parametrize(
    ("pieces", "spools", "per_cut"),
    [
        ([Piece("a", 0.0)], [Spool("s", 1.0)], 0.0),
        ([Piece("a", 1.0, -1)], [Spool("s", 1.0)], 0.0),
        ([Piece("a", 1.0), Piece("a", 2.0)], [Spool("s", 1.0)], 0.0),
        ([Piece("a", 1.0)], [Spool("s", math.inf)], 0.0),
        ([Piece("a", 1.0)], [Spool("s", 1.0)], -0.1),
    ],
    ids=["no length", "count below nought", "one name twice", "endless spool", "cut that gives rope"],
)
def test_what_means_nothing_is_refused(pieces: list[Piece], spools: list[Spool], per_cut: float) -> None:
    with pytest.raises(ValueError, match=r"above 0|name of its own|per_cut"):
        cutting_plan(pieces, spools, per_cut=per_cut)
