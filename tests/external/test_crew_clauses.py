"""What the packs ask of people stands in the texts: 29 CFR 1926.503 and 1910.30, Work at Height Regulations 2005.

1926.503(a)(2)(i)-(viii) names eight topics; (b)(1) asks for a certificate with the name or other identity, the dates
and the signature of trainer or employer; 1910.30(a)(3) names four topics and (a)(2) a qualified trainer; Schedule 5
Part 1 paragraph 1 of the British text asks that user and enough others are trained, rescue included.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from ropewright.findings import SourceStatus
from ropewright.rules import load_pack, pack_names
from ropewright.rules.crew_needs import CrewNeed, crew_needs
from ropewright.store.crew_words import ROLES, skills, topics

CONSTRUCTION = {
    "hazards": "(a)(2)(i)",
    "assembly": "(a)(2)(ii)",
    "use": "(a)(2)(iii)",
    "monitor": "(a)(2)(iv)",
    "machines": "(a)(2)(v)",
    "handling": "(a)(2)(vi)",
    "plan": "(a)(2)(vii)",
    "rules": "(a)(2)(viii)",
}


def of_kind(pack: str, kind: str, role: str = "authorised") -> list[CrewNeed]:
    return [need for need in crew_needs(load_pack(pack), role) if need.kind == kind]


def test_construction_asks_for_the_eight_topics_with_their_clauses() -> None:
    found = {need.name: need for need in of_kind("us-construction", "topic")}
    assert {name: found[name].source.clause for name in CONSTRUCTION} == CONSTRUCTION
    assert all(found[name].source.status is SourceStatus.READ for name in CONSTRUCTION)
    assert {name for name, need in found.items() if need.source.status is not SourceStatus.READ} == {"procedures"}


def test_construction_asks_for_a_certificate_and_a_competent_trainer() -> None:
    (certificate,) = of_kind("us-construction", "certificate")
    (trainer,) = of_kind("us-construction", "trainer")
    assert (str(certificate.source), str(trainer.source)) == ("29 CFR 1926.503 (b)(1)", "29 CFR 1926.503 (a)(2)")
    assert trainer.name == "competent"


def test_general_industry_asks_for_four_topics_and_a_qualified_trainer() -> None:
    assert {need.name for need in of_kind("us-general-industry", "topic")} == {
        "hazards",
        "procedures",
        "assembly",
        "use",
    }
    (trainer,) = of_kind("us-general-industry", "trainer")
    assert (trainer.name, str(trainer.source)) == ("qualified", "29 CFR 1910.30 (a)(2)")
    assert of_kind("us-general-industry", "certificate") == []


def test_britain_asks_for_rescue_in_everybody_s_training() -> None:
    (rescue,) = [need for need in of_kind("eu-uk", "topic") if need.name == "rescue"]
    assert rescue.source.clause == "Schedule 5 Part 1 paragraph 1"


@pytest.mark.parametrize("pack", pack_names())
@pytest.mark.parametrize("role", ROLES)
def test_every_need_names_a_word_that_is_known_and_a_source(pack: str, role: str) -> None:
    known = {"topic": topics(), "skill": skills(), "role": ROLES, "grounds": ROLES}
    needs = crew_needs(load_pack(pack), role)
    assert needs
    assert len({(need.kind, need.name) for need in needs}) == len(needs)
    for need in needs:
        assert need.source.document
        assert need.source.clause
        assert need.name in known.get(need.kind, {need.name})
        assert need.kind in {*known, "trainer", "certificate", "personal"}


@pytest.mark.parametrize("pack", pack_names())
def test_no_figure_of_our_own_passes_for_law(pack: str) -> None:
    for need in crew_needs(load_pack(pack), "authorised"):
        if need.source.document == "our own list":
            assert need.source.status is SourceStatus.JUDGEMENT


def test_a_pack_of_one_s_own_asks_no_less_than_what_it_stands_on() -> None:
    """One laid over another asks the same; one that stands on none that is known asks all that any asks."""
    law = load_pack("us-construction")
    over = replace(law, id="ours", based_on="us-construction")
    assert crew_needs(over, "authorised") == crew_needs(law, "authorised")
    deep = {(need.kind, need.name) for need in crew_needs(replace(law, id="ours", based_on="theirs"), "authorised")}
    for pack in pack_names():
        own = {(need.kind, need.name) for need in crew_needs(load_pack(pack), "authorised")}
        assert {need for need in own if need[0] != "topic"} <= deep
    assert {("trainer", "competent"), ("trainer", "qualified"), ("certificate", "signed"), ("topic", "rescue")} <= deep
