"""Every row of every pack can be relied on for its unit, source, status and range."""

from __future__ import annotations

from datetime import date

import pytest

from ropewright.findings import SourceStatus
from ropewright.quantity import Dimension
from ropewright.rules import FACTS, Kind, Limit, Pack, compare, load_pack, pack_names

PACKS = [load_pack(name) for name in pack_names()]
LIMITS = [pytest.param(limit, id=f"{pack.id}/{limit.id}") for pack in PACKS for limit in pack.limits]

#: What no figure of a fall-protection rule lies outside of, SI; catches a slipped unit or digit.
SANE = {
    Dimension.LENGTH: (0.0, 100.0),
    Dimension.FORCE: (50.0, 30e3),
    Dimension.MASS: (40.0, 200.0),
    Dimension.ANGLE: (1.0, 90.0),
    Dimension.TIME: (7 * 86400.0, 11 * 365 * 86400.0),
    Dimension.AREA: (0.0, 0.1),
    Dimension.RATIO: (0.0, 10.0),
    Dimension.COUNT: (1.0, 10.0),
}


def test_the_five_jurisdictions_are_there() -> None:
    assert set(pack_names()) == {"us-construction", "us-general-industry", "eu-uk", "canada", "australia-nz"}


@pytest.mark.parametrize("pack", PACKS, ids=lambda pack: pack.id)
def test_every_pack_says_what_it_is(pack: Pack) -> None:
    for text in (pack.title, pack.jurisdiction, pack.edition, pack.disclaimer, pack.compared_with, pack.scope):
        assert text.strip()
    assert pack.compared == date(2026, 11, 25)
    assert "decide" in pack.disclaimer
    ids = [limit.id for limit in pack.limits]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("limit", LIMITS)
def test_every_limit_says_where_it_comes_from(limit: Limit) -> None:
    assert limit.source.document
    assert limit.source.clause
    assert limit.source.compared == date(2026, 11, 25)
    assert (limit.source.status is SourceStatus.MEMORY) == bool(limit.confidence)
    assert limit.summary.endswith(".")
    assert limit.applies_to
    assert limit.scope


@pytest.mark.parametrize("limit", LIMITS)
def test_every_figure_is_sane(limit: Limit) -> None:
    if limit.figure is None:
        return
    low, high = SANE[limit.figure.dimension]
    assert low <= limit.figure.value <= high
    assert limit.figure.in_law_unit(limit.figure.value) == pytest.approx(limit.figure.number, rel=1e-12)


@pytest.mark.parametrize("limit", LIMITS)
def test_what_can_be_asked_says_what_to_decide(limit: Limit) -> None:
    may_ask = not limit.settles or limit.past.value == "ask" or limit.kind is Kind.TRIGGER
    if may_ask or (limit.figure is None and limit.operator != "is"):
        assert limit.decide


@pytest.mark.parametrize("pack", PACKS, ids=lambda pack: pack.id)
def test_limits_of_a_family_answer_one_question(pack: Pack) -> None:
    families: dict[str, set[tuple[str, str, str]]] = {}
    for limit in pack.limits:
        if limit.family:
            families.setdefault(limit.family, set()).add((limit.fact, limit.kind, limit.safe_operator[0]))
    assert all(len(asked) == 1 for asked in families.values())


@pytest.mark.parametrize("pack", PACKS, ids=lambda pack: pack.id)
def test_ultimate_and_allowable_are_two_facts(pack: Pack) -> None:
    for limit in pack.limits:
        assert ("allowable" in limit.applies_to) == (limit.fact == "anchor_allowable")
        assert (limit.applies_to == "person") or limit.fact not in ("arrest_force", "free_fall")
        assert (limit.applies_to == "rigid test mass") or limit.fact != "rigid_mass_force"


@pytest.mark.parametrize("pack", PACKS, ids=lambda pack: pack.id)
def test_terms_and_conflicts_are_whole(pack: Pack) -> None:
    for definition in pack.definitions.values():
        assert definition.text.endswith(".")
        assert not definition.counts & definition.excludes
    for allowance in pack.allowances.values():
        assert 0 < allowance.value.low <= allowance.value.high < 10
        assert allowance.summary.endswith(".")
    for conflict in pack.conflicts:
        assert set(conflict.about) <= set(FACTS)
        assert conflict.text.endswith(".")
        assert conflict.handling.endswith(".")


def test_no_fact_is_of_no_use() -> None:
    used = {name for pack in PACKS for name in pack.facts_told}
    assert set(FACTS) - used <= {"state", "regime", "restraint"}


def test_a_pack_judges_what_it_can_be_told() -> None:
    for pack in PACKS:
        assert set(pack.facts) <= set(pack.facts_told)


def test_comparison_has_a_row_for_every_fact_of_any_pack() -> None:
    rows = compare(PACKS)
    assert {row.fact for row in rows} == {fact for pack in PACKS for fact in pack.facts}
    assert all(len(row.limits) == len(PACKS) for row in rows)


@pytest.mark.parametrize("pack", PACKS, ids=lambda pack: pack.id)
def test_every_pack_wants_clearance_of_more_than_nothing(pack: Pack) -> None:
    limit = pack.governing("clearance", {"state": "Queensland"})
    assert limit is not None
    assert (limit.operator, limit.value) == (">", 0.0)


@pytest.mark.parametrize(
    ("pack", "status", "at_least"),
    [("us-construction", "read", 100), ("us-general-industry", "read", 70), ("eu-uk", "memory", 15)],
)
def test_most_of_a_pack_is_known_as_its_sources_were(pack: str, status: str, at_least: int) -> None:
    found = sum(limit.source.status.value == status for limit in load_pack(pack).limits)
    assert found >= at_least
