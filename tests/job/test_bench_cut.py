"""Pieces told in a form: their ends are added, never lost, and every fault names the field it is in."""

from __future__ import annotations

import pytest

from ropewright.errors import InputErrors
from ropewright.job.bench_cut import NO_KNOT, cut_bench, end_knots
from ropewright.rope.knots import knots, tie

ASKED = {
    "units": "metric",
    "diameter": "11 mm",
    "piece": [{"name": "a", "length": "10 m"}],
    "spool": [{"name": "S", "length": "60 m"}],
}


def with_ends(end, far):
    return {**ASKED, "piece": [{"name": "a", "length": "10 m", "end": end, "far": far}]}


@pytest.mark.parametrize("knot", end_knots())
def test_an_end_adds_all_the_rope_that_its_knot_takes(knot):
    taken = tie(knots()[knot], 0.011).rope_in_all
    one, two = cut_bench(with_ends(knot, NO_KNOT)), cut_bench(with_ends(knot, knot))
    assert one.pieces[0].length == pytest.approx(10.0 + taken)
    assert two.pieces[0].length == pytest.approx(10.0 + 2 * taken)
    assert two.plan.cuts[0].pieces[0][1] == two.pieces[0].length


def test_spare_is_added_to_every_line():
    assert cut_bench({**ASKED, "spare": "0.5 m"}).pieces[0].length == pytest.approx(10.5)


def test_plain_piece_is_as_long_as_told_and_its_rest_is_waste():
    """60 m less 10 m and one cut of 2 cm leave 49.98 m; nothing is kept, so all but the piece is waste."""
    plan = cut_bench({**ASKED, "per_cut": "2 cm"}).plan
    assert plan.cuts[0].rest == pytest.approx(49.98)
    assert plan.waste == pytest.approx(50.0)
    assert plan.proven


def test_rest_that_goes_back_is_no_waste():
    plan = cut_bench({**ASKED, "keep": "5 m"}).plan
    assert plan.kept == pytest.approx(50.0)
    assert plan.waste == pytest.approx(0.0)


def test_what_the_stock_does_not_give_is_told():
    cut = cut_bench({**ASKED, "piece": [{"name": "a", "length": "50 m", "count": "2"}]})
    assert cut.plan.uncut == (("a", 50.0),)


def test_all_faults_are_told_by_the_fields_of_the_form():
    told = {"units": "metric", "piece": [{"name": "a", "length": "10", "end": "granny"}, {"length": "2 m"}],
            "spool": [{"name": "S", "length": "60 m", "count": "2.5"}]}  # fmt: skip
    with pytest.raises(InputErrors) as caught:
        cut_bench(told)
    fields = {fault.field for fault in caught.value.exceptions}
    assert fields == {"diameter", "piece[0].length", "piece[0].end", "piece[1].name", "spool[0].count"}
