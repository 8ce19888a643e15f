"""Which limits bear on a figure, and what they make of it; held against the rules' own answer where that exists."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_jobs import plain

from ropewright.findings import SEVERITY, Verdict
from ropewright.job import job_from_mapping
from ropewright.job.ruled import judge, judge_one, rulings
from ropewright.quantity import Range
from ropewright.rules import check

KN = 1000.0


def job(pack, **facts):
    return job_from_mapping(plain(job={"name": "p", "units": "metric", "rules": pack}, facts=facts))


def verdict(pack, fact, value, told=None, **facts):
    return judge_one(rulings(job(pack, **facts), fact, told), value)[0]


@settings(deadline=None, max_examples=40)
@given(
    case=st.sampled_from(
        [
            ("us-construction", "free_fall", 3.0),
            ("us-construction", "arrest_force", 10e3),
            ("us-general-industry", "deceleration_distance", 2.0),
            ("us-construction", "line_strength", 40e3),
            ("eu-uk", "arrest_force", 9e3),
            ("eu-uk", "anchor_strength", 25e3),
            ("canada", "arrest_force", 12e3),
        ]
    ),
    share=st.floats(0.05, 1.0),
)
def test_a_known_figure_is_judged_as_the_rules_judge_it(case, share):
    """`ropewright rules check` with the same pack and facts is the other way to ask; the worst of what it finds."""
    pack, fact, most = case
    told = {"anchor_users": 1.0} if fact == "anchor_strength" else {}
    there = job(pack)
    ours = judge_one(rulings(there, fact, told), Range.exact(share * most))[0]
    theirs = check(there.pack, {**told, fact: share * most}, only=(fact,))
    assert SEVERITY[ours] == max(SEVERITY[one.verdict] for one in theirs)


@settings(deadline=None, max_examples=30)
@given(ends=st.lists(st.floats(0.5, 3.0), min_size=3, max_size=3).map(sorted))
def test_many_values_are_judged_as_each_alone(ends):
    found = rulings(job("us-construction"), "free_fall")
    low, likely, high = (np.array([end, 1.0]) for end in ends[:1] + ends[1:2] + ends[2:])
    together = judge(found, low, np.maximum(likely, low), np.maximum(high, likely))
    alone = judge_one(found, Range(*ends))[0]
    assert together.codes[0] == SEVERITY[alone]


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (Range(1.0, 1.5, 1.8), Verdict.HOLDS),
        (Range(1.0, 1.5, 2.0), Verdict.DOUBTFUL),
        (Range(1.0, 1.9, 2.0), Verdict.FAILS),
        (Range.exact(6 * 0.3048), Verdict.HOLDS),
    ],
    ids=["within", "unsafe end past", "likely past", "at the limit, given in metres"],
)
def test_where_a_range_lies_decides(value, expected):
    assert verdict("us-construction", "free_fall", value) is expected


def test_a_limit_whose_case_is_not_told_is_asked_never_failed():
    assert verdict("eu-uk", "anchor_strength", Range.exact(14 * KN), {"anchor_users": 1.0}) is Verdict.ASK
    told = {"anchor_users": 1.0, "anchor_of_textile": True}
    assert verdict("eu-uk", "anchor_strength", Range.exact(14 * KN), told) is Verdict.FAILS


def test_a_limit_that_surely_applies_fails_whatever_is_not_told():
    assert verdict("eu-uk", "anchor_strength", Range.exact(11 * KN), {"anchor_users": 1.0}) is Verdict.FAILS


def test_what_a_job_file_tells_settles_which_limit_applies():
    assert verdict("canada", "arrest_force", Range.exact(5 * KN)) is Verdict.ASK
    found = rulings(job("canada", province="Ontario"), "arrest_force")
    assert [one.certain for one in found] == [True]


def test_a_figure_from_a_drop_test_says_nothing_of_a_person():
    """EN 353-2 lets a guided arrester slide 1 m with a rigid mass of 100 kg; a person's fall is not held to that."""
    assert rulings(job("eu-uk"), "deceleration_distance", {"guided_arrester": True}) == ()


def test_a_length_need_not_meet_a_limit_that_may_not_apply():
    """France allows 1 m; in another country nobody's line is shortened for it, though it is asked."""
    found = rulings(job("eu-uk"), "free_fall")
    values = np.array([1.5])
    judged = judge(found, values, values, values)
    assert judged.codes[0] == SEVERITY[Verdict.ASK]
    assert judged.met.all()


def test_noise_past_a_limit_is_no_negative_margin():
    found = rulings(job("us-construction"), "free_fall")
    assert judge_one(found, Range.exact(1.8288 + 1e-12))[2] == 0.0
