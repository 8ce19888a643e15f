"""A user's own rules: stricter and further go in, looser only by a decision that is printed."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ropewright.errors import InputErrors, RulesError
from ropewright.findings import SEVERITY, SourceStatus, Verdict
from ropewright.rules import Pack, check, load_pack

HEAD = 'extends = "us-construction"\nid = "ours"\ntitle = "Our yard rules"\n'
DECISION = 'decided_by = "A. Example, qualified person"\ndecided_on = 2026-11-20\nreason = "tested by the maker"\n'


SLOPE = (
    'id = "power-slope"\nstatus = "memory"\nconfidence = "high"\ngrowth = { fact = "power_line_voltage", '
    'above = "60 kV", each = "10 kV", adds = "4 in", whole = true }'
)


def overlaid(folder: Path, text: str, head: str = HEAD) -> Pack:
    path = folder / "ours.toml"
    path.write_text(head + text, encoding="utf-8")
    return load_pack(path)


def test_a_stricter_figure_replaces_the_packs(tmp_path: Path) -> None:
    pack = overlaid(tmp_path, '[[limit]]\nid = "free-fall"\nvalue = "4 ft"')
    limit = pack.governing("free_fall")
    assert limit is not None
    assert (limit.law_value, limit.operator, limit.source.status) == (4.0, "<=", SourceStatus.USER)
    finding = check(pack, {"free_fall": "5 ft"})[0]
    assert finding.verdict is Verdict.FAILS
    assert "no more than 6 ft is allowed (29 CFR 1926.502(d)(16)(iii))" in finding.summary


def test_a_looser_figure_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RulesError, match=r"its figure is looser; the pack says: no more than 6 ft.*decided_by"):
        overlaid(tmp_path, '[[limit]]\nid = "free-fall"\nvalue = "7 ft"')


def test_a_looser_figure_by_decision_is_printed_in_every_finding(tmp_path: Path) -> None:
    pack = overlaid(tmp_path, '[[limit]]\nid = "free-fall"\nvalue = "7 ft"\n' + DECISION)
    for told, verdict in (("6.5 ft", Verdict.HOLDS), ("8 ft", Verdict.FAILS)):
        finding = check(pack, {"free_fall": told})[0]
        assert finding.verdict is verdict
        for part in ("looser by decision of A. Example", "2026-11-20", "tested by the maker", "no more than 6 ft"):
            assert part in finding.summary


@pytest.mark.parametrize("missing", ["decided_by", "decided_on", "reason"])
def test_half_a_decision_is_none(tmp_path: Path, missing: str) -> None:
    half = "\n".join(line for line in DECISION.splitlines() if not line.startswith(missing))
    with pytest.raises(RulesError, match=f"limit free-fall.{missing}: missing; a decision needs all of"):
        overlaid(tmp_path, f'[[limit]]\nid = "free-fall"\nvalue = "7 ft"\n{half}')


def test_a_decision_needs_a_day(tmp_path: Path) -> None:
    wrong = DECISION.replace("2026-11-20", '"last week"')
    with pytest.raises(RulesError, match="decided_on: got 'last week'"):
        overlaid(tmp_path, '[[limit]]\nid = "free-fall"\nvalue = "7 ft"\n' + wrong)


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ('id = "anchor"\nvalue = "4,999 lbf"', "its figure is looser"),
        ('id = "user-mass"\noperator = "<="', "its figure is looser"),  # 310 lb is then allowed
        ('id = "user-mass"\nvalue = "310 lb"', "takes as confirmed a figure that the pack has from memory"),
        ('id = "free-fall"\nwhen = { positioning = true }', "applies under further conditions"),
        ('id = "free-fall"\nunless = [{ restraint = true }]', "adds an excuse"),
        ('id = "free-fall"\npast = "ask"\ndecide = "?"', "asks where the pack fails"),
        ('id = "roof-sound"\nvalue = false', "allows other answers"),
        ('id = "attachment"\nvalue = ["dorsal", "overhead", "sternal"]', "allows other answers"),
        ('id = "edge"\nvalue = "8 ft"', "its figure is looser"),
        ('id = "edge"\noperator = ">"', "its figure is looser"),
        ('id = "hole-fall"\nvalue = "7 ft"', "its figure is looser"),
        ('id = "anchor-designed"\nrequired = false', "no longer asked"),
        (SLOPE, "grows otherwise"),
    ],
)  # fmt: skip
def test_whatever_could_turn_an_answer_for_the_better_is_looser(tmp_path: Path, row: str, says: str) -> None:
    with pytest.raises(RulesError, match=says):
        overlaid(tmp_path, f"[[limit]]\n{row}")
    assert overlaid(tmp_path, f"[[limit]]\n{row}\n{DECISION}").limits


@pytest.mark.parametrize(
    "row",
    [
        'id = "free-fall"\noperator = "<"',
        'id = "free-fall"\nwhen = {}',
        'id = "edge"\nvalue = "4 ft"',
        'id = "edge"\nvalue = "6 ft"',
        'id = "hole-fall"\noperator = ">="',
        'id = "anchor"\nvalue = "22.3 kN"',  # another unit, and more
        'id = "attachment"\nvalue = ["dorsal"]',
        'id = "user-mass"\nvalue = "300 lb"\nstatus = "memory"\nconfidence = "high"',
        'id = "after-fall"\nunless = []',
        'id = "user-mass"\npast = "fails"\nstatus = "memory"\nconfidence = "high"',
    ],
)
def test_stricter_needs_no_decision(tmp_path: Path, row: str) -> None:
    assert overlaid(tmp_path, f"[[limit]]\n{row}").based_on == "us-construction"


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ('id = "free-fall"\nfact = "clearance"\nvalue = "1 ft"', "it is 'free_fall' here; use another id"),
        ('id = "free-fall"\napplies_to = "rope"', "it is 'person' here"),
        ('id = "free-fall"\noperator = ">="', "points the other way"),
        ('id = "edge"\nkind = "limit"', "it is 'trigger' here"),
        ('id = "power-50kv"\nfamily = "mine"', "it is 'power-line' here"),
    ],
)
def test_a_replacement_asks_the_same_question(tmp_path: Path, row: str, says: str) -> None:
    with pytest.raises(RulesError, match=says):
        overlaid(tmp_path, f"[[limit]]\n{row}\n{DECISION}")


ADDED = """
[[limit]]
id = "our-wind"
fact = "wind_speed"
operator = "<="
value = "20 mph"
applies_to = "job"
summary = "We stop above 20 mph."
"""


def test_a_further_limit_is_added(tmp_path: Path) -> None:
    pack = overlaid(tmp_path, ADDED)
    finding = check(pack, {"wind_speed": "25 mph"})[0]
    assert (finding.id, finding.verdict) == ("our-wind", Verdict.FAILS)
    assert "added by Our yard rules" in finding.summary
    assert len(pack.limits) == len(load_pack("us-construction").limits) + 1


def test_a_further_limit_may_not_join_a_family_of_the_pack(tmp_path: Path) -> None:
    row = ADDED.replace("wind_speed", "power_line_distance").replace("20 mph", "90 ft").replace("<=", ">=")
    with pytest.raises(RulesError, match="this family is the pack's"):
        overlaid(tmp_path, row + 'family = "power-line"')


def test_an_overlay_is_given_by_itself_or_over_a_pack(tmp_path: Path) -> None:
    path = tmp_path / "ours.toml"
    path.write_text(HEAD + ADDED, encoding="utf-8")
    assert load_pack("us-construction", overlay=path).limits == load_pack(path).limits
    with pytest.raises(RulesError, match="laid over 'eu-uk'"):
        load_pack("eu-uk", overlay=path)


def test_an_overlay_goes_over_an_overlay(tmp_path: Path) -> None:
    overlaid(tmp_path, '[[limit]]\nid = "free-fall"\nvalue = "5 ft"')
    second = tmp_path / "second.toml"
    text = 'extends = "ours.toml"\nid = "second"\ntitle = "Second"\n[[limit]]\nid = "free-fall"\nvalue = "VALUE"'
    second.write_text(text.replace("VALUE", "4 ft"), encoding="utf-8")
    limit = load_pack(second).governing("free_fall")
    assert limit is not None
    assert limit.law_value == 4.0
    second.write_text(text.replace("VALUE", "5.5 ft"), encoding="utf-8")
    with pytest.raises(RulesError, match="looser; the pack says: no more than 5 ft"):
        load_pack(second)


def test_allowances_may_grow_and_strengths_left_may_shrink(tmp_path: Path) -> None:
    pack = overlaid(tmp_path, '[allowance.margin]\nvalue = "4 ft"\nsummary = "Ours."')
    assert pack.allowances["margin"].value.likely == pytest.approx(4 * 0.3048)
    assert "the pack says: 3 ft" in pack.allowances["margin"].overridden_by
    with pytest.raises(RulesError, match="allowance margin: got '2 ft'; its figure is looser"):
        overlaid(tmp_path, '[allowance.margin]\nvalue = "2 ft"\nsummary = "Ours."')
    ratio = '[allowance.knot_retention]\ndimension = "ratio"\nsummary = "Ours."\nvalue = '
    assert overlaid(tmp_path, f"{ratio}0.4").allowances["knot_retention"].value.likely == 0.4
    with pytest.raises(RulesError, match="looser"):
        overlaid(tmp_path, f"{ratio}0.6")
    with pytest.raises(RulesError, match="it is a length here"):
        overlaid(tmp_path, '[allowance.margin]\nvalue = 2\ndimension = "ratio"\nsummary = "Ours."')


def test_a_definition_may_count_more_and_not_less(tmp_path: Path) -> None:
    counts = '["slack", "device slide", "self-retracting pay-out", "lifeline stretch"]'
    more = f'[definition.free_fall]\ntext = "Ours."\ncounts = {counts}\n'
    assert "lifeline stretch" in overlaid(tmp_path, more).definitions["free_fall"].counts
    less = '[definition.free_fall]\ntext = "Ours."\ncounts = ["slack"]\n'
    with pytest.raises(RulesError, match=r"definition free_fall: got .* it counts less"):
        overlaid(tmp_path, less)
    assert "A. Example" in overlaid(tmp_path, less + DECISION).definitions["free_fall"].text


def test_conflicts_and_caution_are_added_and_none_is_dropped(tmp_path: Path) -> None:
    base = load_pack("us-construction")
    row = '[[conflict]]\nid = "ours"\nabout = ["free_fall"]\ntext = "A."\nhandling = "B."'
    pack = overlaid(tmp_path, row, HEAD + 'disclaimer = "Ask the foreman."\n')
    assert pack.conflicts[:-1] == base.conflicts
    assert pack.disclaimer == f"Ask the foreman. {base.disclaimer}"


def test_all_faults_of_an_overlay_at_once(tmp_path: Path) -> None:
    with pytest.raises(InputErrors) as caught:
        overlaid(
            tmp_path,
            '[[limit]]\nid = "free-fall"\nvalue = "7 ft"\n[[limit]]\nid = "anchor"\nvalue = "1 lbf"',
            HEAD.splitlines()[0] + "\n",
        )
    assert len(caught.value.exceptions) == 4  # no id, no title, two looser figures


@given(st.floats(1.0, 12.0), st.floats(0.1, 15.0))
@settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_an_overlay_without_a_decision_never_gives_a_better_answer(tmp_path: Path, limit: float, told: float) -> None:
    try:
        pack = overlaid(tmp_path, f'[[limit]]\nid = "free-fall"\nvalue = "{limit:.3f} ft"')
    except RulesError:
        assert round(limit, 3) > 6
        return
    mine, theirs = (check(one, {"free_fall": told * 0.3048})[0] for one in (pack, load_pack("us-construction")))
    assert SEVERITY[mine.verdict] >= SEVERITY[theirs.verdict]
