"""What no single law reproduces, in the plan: on the unsafe side, at its published size, once.

- Weber, ITRS 2002 (abstract): the spring law of a rope up to 30 % low as mass and fall factor rise.
- Carrion et al. 2020 (abstract): average force of absorbers 87.5 % of their peak; the least share, 80 %, is remembered.
- Carrion et al. 2021 (abstract): absorbers up to 70 % longer than their test reports.
"""

from __future__ import annotations

import pytest
from plain_jobs import assessed, finding

from ropewright.findings import Verdict

LONG = {"force": "4 kN", "length": "3 m"}
BARE = {"l": {"length": "0.5 m", "strength": "25 kN"}}


def cites(found, words: str) -> bool:
    return any(words in source.document for source in found.sources)


def test_an_absorber_may_open_70_percent_further_than_worked_out():
    """Free for 2.5 m and stopped by 4 kN alone, 100 kg open it by m g h / (F - m g) = 0.812 m; the rope saves some."""
    found = finding(assessed(lanyard__l__absorber=LONG), "clearance-simulated")
    more = found.inputs["model_error_m"]
    assert 0.7 < more / 0.7 / 0.812 < 1
    assert found.high - more > found.value
    assert cites(found, "Carrion et al., Int. J. Environ. Res. Public Health 2021")


def test_deceleration_counts_the_further_opening_too():
    """29 CFR 1926.500: the distance from first action to rest leaves out the lifeline's stretch, not the absorber's."""
    found = finding(assessed(lanyard__l__absorber=LONG), "deceleration")
    assert 1.7 * found.value < found.high < 1.7 * 0.812
    assert found.inputs["opening_model_error"] == 1.7


def test_the_book_counts_none_of_it():
    found = finding(assessed(lanyard__l__absorber=LONG), "clearance-book")
    assert not cites(found, "Carrion")
    assert not any("model_error" in key for key in found.inputs)


def test_an_absorber_peaks_above_its_average():
    found = finding(assessed(lanyard__l__absorber=LONG), "arrest-force")
    assert (found.value, found.high) == (pytest.approx(4000), pytest.approx(5000))
    assert found.inputs["absorber_model_error"] == pytest.approx(1.25)
    assert cites(found, "Carrion et al., Int. J. Environ. Res. Public Health 2020")


def test_a_rope_whose_stiffness_was_told_may_pull_30_percent_harder():
    found = finding(assessed(lanyard=BARE), "arrest-force")
    assert found.high >= 1.3 * found.value
    assert found.inputs["rope_model_error"] == pytest.approx(1.3)
    assert cites(found, "Weber")


def test_a_range_found_in_drops_as_hard_holds_the_error_already():
    """Table of low-stretch rope: drops up to fall factor 1. Held above the edge, 0.8 m onto 2.6 m of free rope."""
    told = {"stretch": "low-stretch", "fibre": "polyamide", "diameter": "10.75 mm", "stiffness": None}
    rope = {f"rope__r__{key}": value for key, value in told.items()}
    mild = finding(assessed(lanyard=BARE, anchor_0__above="1.4 m", line_0__length="2.6 m", **rope), "arrest-force")
    assert mild.inputs["fall_m"] < mild.inputs["rope_m"]
    assert "rope_model_error" not in mild.inputs
    assert not cites(mild, "Weber")
    # bent over the eave, little of the rope works: harder than any of those drops
    hard = finding(assessed(lanyard=BARE, line_0__length="4.5 m", **rope), "arrest-force")
    assert hard.inputs["rope_model_error"] == pytest.approx(1.3)


def test_no_error_makes_an_answer_fail_that_does_not_at_likely_inputs():
    """The likely value carries no error, so that the error alone makes it doubtful at most."""
    room = assessed(lanyard__l__absorber=LONG, roof__eave_height="14 m", plan__swing_drop_limit="4 m")
    tight = finding(assessed(lanyard__l__absorber=LONG, roof__eave_height="5 m"), "clearance-simulated")
    assert finding(room, "clearance-simulated").verdict is Verdict.HOLDS
    need, error = tight.high, tight.inputs["model_error_m"]
    between = assessed(lanyard__l__absorber=LONG, roof__eave_height=f"{need - error / 2:.4f} m")
    assert finding(between, "clearance-simulated").verdict is Verdict.DOUBTFUL


def test_the_plan_says_which_errors_it_counts():
    told = " ".join(assessed().assumed)
    assert "peaks at 1.25 times its average force" in told
    assert "opens 1.7 times as far" in told
    assert "1.3 times as hard" in told
    assert "peaks at" not in " ".join(assessed(lanyard=BARE).assumed)
