"""Rope beyond the stop: how much there is, where its end can go, and that nothing untold is taken as well kept.

On the plain job the anchor lies 3 m in from the south eave and 6 m from both ends, on a flat roof 6 m up, and the line
is 3.5 m to its stop. So rope of 10 m can hang over the south eave by what is left of it after 3 m of roof.
"""

from __future__ import annotations

import pytest
from plain_jobs import PLAIN, assessed, finding, plain, workers

from ropewright.errors import InputErrors
from ropewright.findings import Finding, Verdict
from ropewright.job import job_from_mapping
from ropewright.job.line_ends import rope_needed
from ropewright.rope.knots import knots, tie
from ropewright.rope.termination import terminations

STOPPER = tie(knots()["double overhand stopper"], 0.011).rope_in_all


def loose(**changes: object) -> Finding:
    return finding(assessed(**changes), "loose-rope")


def test_left_over_is_the_whole_rope_less_the_set_line_and_its_stopper() -> None:
    """The end is the maker's: what it takes is not known, and nothing is taken off for it."""
    found = loose(rope__r__length="10 m")
    assert found.value == pytest.approx(10.0 - 3.5 - STOPPER)
    assert found.unit == "m"


def test_a_knotted_end_takes_its_rope_off_what_is_left_over() -> None:
    knot = tie(knots()["figure-eight on a bight"], 0.011).rope_in_all
    found = loose(rope__r__length="10 m", line_0__termination="figure-eight loop")
    assert found.value == pytest.approx(10.0 - 3.5 - STOPPER - knot)


@pytest.mark.parametrize("end", sorted(terminations()))
def test_whatever_ends_a_line_what_is_left_over_is_no_more_than_the_rope_less_the_line(end: str) -> None:
    job = job_from_mapping(plain(line_0__termination=end))
    assert rope_needed(job.lines[0]) >= 3.5 + STOPPER - 1e-9


def test_without_the_length_of_the_rope_it_is_asked_however_it_is_told_to_be_kept() -> None:
    found = loose(rope__r__length=None)
    assert found.verdict is Verdict.ASK
    assert "enter its length" in found.decide


def test_untold_it_is_asked_and_the_least_container_is_named() -> None:
    """Rope packs to a quarter of the container at the least: four times its own volume, in litres."""
    found = loose(rope__r__length="10 m", line_0__loose_rope=None)
    assert found.verdict is Verdict.ASK
    litres = 4 * 0.785398 * 0.011**2 * (10.0 - 3.5 - STOPPER) * 1000
    named = float(found.decide.split("at least ")[1].split(" L")[0])
    assert litres <= named <= litres + 0.1


@pytest.mark.parametrize("kept", ["in a bag", "in a bucket", "laid back and forth", "hung up"])
def test_rope_told_to_be_kept_holds_and_says_how_to_do_it(kept: str) -> None:
    found = loose(line_0__loose_rope=kept)
    assert found.verdict is Verdict.HOLDS
    assert kept in found.summary


def test_rope_told_to_lie_out_fails_where_it_can_hang_over_an_edge() -> None:
    found = loose(rope__r__length="10 m", line_0__loose_rope="lying out")
    assert found.verdict is Verdict.FAILS
    hang = float(str(found.inputs["over_edges"]).split("south eave ")[1].split(" m")[0])
    assert hang == pytest.approx(10.0 - STOPPER - 3.0, abs=0.01)


def test_an_end_long_enough_is_said_to_come_down_to_what_lies_below() -> None:
    """Six metres down: 3 m of roof and 6 m of drop need 9 m of rope and its stopper."""
    assert "down to what lies below" in loose(rope__r__length="10 m", line_0__loose_rope="lying out").summary
    assert "down to what lies below" not in loose(rope__r__length="8 m", line_0__loose_rope="lying out").summary


def test_rope_that_stays_on_the_roof_is_in_doubt_where_only_its_own_worker_is() -> None:
    """1.5 m to the stop and 0.9 m left over end short of the eave, 3 m away."""
    found = loose(line_0__length="1.5 m", rope__r__length="2.8 m", line_0__loose_rope="lying out")
    assert found.verdict is Verdict.DOUBTFUL
    assert found.inputs["over_edges"] == "none"


def test_a_rope_cut_to_its_line_leaves_nothing_and_holds_untold() -> None:
    found = loose(rope__r__length="4 m", line_0__loose_rope=None)
    assert found.verdict is Verdict.HOLDS
    assert 0 <= found.value < 0.3


def test_rope_where_another_works_names_who() -> None:
    second = {**PLAIN["line"][0], "name": "two"}  # type: ignore[index]
    told = plain(line=[*PLAIN["line"], second], crew=workers("one", "two"))  # type: ignore[misc]
    told["line"][0]["loose_rope"] = "lying out"  # type: ignore[index]
    found = finding(assessed(told), "loose-rope/one")
    assert found.inputs["where_others_work"] == "w2"
    assert "lie where w2 works" in found.summary


def test_rope_below_a_worker_up_by_the_anchor_is_told() -> None:
    """Standing by the anchor the D-ring is 1.4 m from it at most; with 0.5 m of lanyard the rest of 3.5 m lies out."""
    found = loose()
    assert 3.5 - 1.4 + 0.5 <= found.inputs["below_climber_m"] <= 3.5


def test_more_rope_is_never_better() -> None:
    untold = [loose(rope__r__length=f"{whole} m", line_0__loose_rope="lying out") for whole in (4, 5, 6, 8, 12)]
    order = [Verdict.HOLDS, Verdict.DOUBTFUL, Verdict.FAILS]
    ranks = [order.index(found.verdict) for found in untold]
    assert ranks == sorted(ranks)


def test_the_mend_is_to_keep_it_and_it_is_proven() -> None:
    found = finding(assessed(line_0__loose_rope="lying out", remedies=True), "loose-rope")
    assert found.remedy is not None
    assert found.remedy.proven
    assert found.remedy.change == {"line[0].loose_rope": "in a bag"}


def test_a_word_that_is_not_known_names_those_that_are() -> None:
    with pytest.raises(InputErrors) as caught:
        job_from_mapping(plain(line_0__loose_rope="in a pocket"))
    (fault,) = caught.value.exceptions
    assert "line[0].loose_rope" in str(fault)
    assert "'laid back and forth'" in str(fault)


WIRE = {"name": "wire", "voltage": "7.2 kV", "points": [["0 m", "-4 m", "5 m"], ["12 m", "-4 m", "5 m"]]}


def test_a_hanging_end_tells_how_near_an_overhead_line_it_comes() -> None:
    """The line runs 4 m out from the south eave, 1 m below it: an end of 2 m or more hangs level with it, 4 m away."""
    told = {"rope__r__length": "10 m", "line_0__loose_rope": "lying out", "site__power_line": [WIRE]}
    found = loose(**told)
    assert found.inputs["overhead_line"] == "wire"
    assert found.inputs["to_overhead_line_m"] == pytest.approx(4.0, abs=1e-6)
    assert "of overhead line wire, in still air" in found.summary
    short = loose(**{**told, "rope__r__length": f"{3.5 + STOPPER + 0.31} m"})
    assert short.inputs["to_overhead_line_m"] > 4.0  # hangs 0.81 m, not yet level with it
    assert (
        "overhead_line"
        not in loose(**{**told, "site__power_line": [{**WIRE, "confirmed_dead_by": "the utility"}]}).inputs
    )
