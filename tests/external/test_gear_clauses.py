"""Clauses on inspection, withdrawal and return to service, put to the record of gear.

Sources, read: 29 CFR 1926.502(d)(19) (after impact out at once, back when a competent person finds it undamaged),
(d)(21) (inspected before each use, defective parts removed); 1926.104(a) (loaded in service: never used again for
people); 1910.140(c)(17) and (18) (the same as (d)(19); before first use in each shift); 1926 Subpart M App C II(g)
(what is taken out at once); 1910.27(b)(1)(i) (anchors of rope descent yearly). From memory: EN 365 (every 12 months),
AS/NZS 1891.4 (harnesses every 6 months, 10 years of textile life).
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "store"))

from gear_shelf import TODAY, Shelf, act, add, all_ok

from ropewright.findings import Verdict
from ropewright.rules import load_pack
from ropewright.rules.intervals import intervals_in_force
from ropewright.store.gear_actions import check, give_out, inspect, record_fall, release_gear
from ropewright.store.gear_fitness import fitness
from ropewright.store.gear_points import points_of
from ropewright.store.gear_steps import NotAllowedError
from ropewright.store.gear_words import gear_kinds

IN_CHAIN = [kind.name for kind in gear_kinds().values() if kind.in_chain]
TEXTILE = [kind.name for kind in gear_kinds().values() if kind.textile]


def in_force(pack: str, kind: str, **facts: object) -> dict[str, object]:
    return intervals_in_force(load_pack(pack), kind, facts)


@pytest.mark.parametrize("kind", IN_CHAIN)
def test_502_d_19_gear_that_caught_a_fall_is_out_at_once(kind: str) -> None:
    shelf = Shelf()
    tag = add(shelf, kind)
    give_out(shelf, [tag], "P-07", "Mill Lane 4", act())
    record_fall(shelf, act(), person="P-07")
    found = fitness(shelf.known[f"gear/{tag}"], TODAY)
    assert found.verdict is Verdict.FAILS
    assert str(found.reasons[0].source) == "29 CFR 1926.502 (d)(19)"
    with pytest.raises(NotAllowedError):
        give_out(shelf, [tag], "P-08", "Mill Lane 4", act())


def test_502_d_19_metal_gear_comes_back_when_a_competent_person_finds_it_undamaged() -> None:
    shelf = Shelf()
    tag = add(shelf, "connector")
    record_fall(shelf, act(), tags=[tag])
    release_gear(shelf, tag, act(), finding="undamaged", reason="measured", competent="course")
    assert fitness(shelf.known[f"gear/{tag}"], TODAY).verdict is Verdict.HOLDS


@pytest.mark.parametrize("kind", TEXTILE)
def test_104_a_against_502_d_19_textile_gear_is_retired_unless_somebody_signs(kind: str) -> None:
    shelf = Shelf()
    tag = add(shelf, kind)
    record_fall(shelf, act(), tags=[tag])
    with pytest.raises(NotAllowedError, match=r"1926\.104 \(a\).*1926\.502 \(d\)\(19\).*1910\.140 \(c\)\(17\)"):
        release_gear(shelf, tag, act(), finding="undamaged", reason="low load", competent="course")


@pytest.mark.parametrize(
    ("pack", "clause"), [("us-construction", "1926.502(d)(21)"), ("us-general-industry", "1910.140(c)(18)")]
)
def test_gear_is_looked_over_before_use_and_the_clause_goes_with_it(pack: str, clause: str) -> None:
    shelf = Shelf()
    tag = add(shelf, "harness", intervals=in_force(pack, "harness"))
    assert [row["clause"] for row in shelf.piece(tag).body["intervals"]["before_use"]] == [clause]
    check(shelf, tag, all_ok("harness", before_use=True), act("P. Sample"))
    assert shelf.piece(tag).body["checked"] == {"day": "2026-11-28", "by": "P. Sample", "number": 3, "ok": True}


def test_502_d_21_defective_parts_are_removed() -> None:
    shelf = Shelf()
    tag = add(shelf, "grab")
    inspect(shelf, tag, all_ok("grab", springs="fault"), act())
    assert shelf.piece(tag).standing == "quarantined"


#: App C II(g), in the words of the rule -> the points that ask for it.
NAMED = {
    "cuts, tears": {"rope/cuts", "harness/webbing", "lanyard/line"},
    "abrasion": {"rope/abrasion"},
    "mould": {"rope/mould", "harness/mould"},
    "undue stretch": {"rope/stretch", "lanyard/stretch"},
    "alterations": {"rope/alterations", "harness/alterations", "lanyard/alterations", "grab/alterations"},
    "fire": {"rope/heat", "harness/heat", "lanyard/heat", "absorber/heat"},
    "acid, corrosives": {"rope/chemicals", "harness/chemicals", "lanyard/chemicals", "absorber/chemicals"},
    "distorted hooks, bad springs": {"connector/body", "connector/springs", "grab/springs"},
    "buckle tongues not fitting": {"harness/buckles"},
    "loose mountings": {"anchor/fixings", "harness/rings"},
    "parts not working": {"grab/locks", "connector/gate"},
    "wear or decay inside the rope": {"rope/inside"},
}


def test_app_c_ii_g_every_finding_of_the_list_is_looked_for() -> None:
    known = {f"{kind}/{point.key}" for kind in gear_kinds() if kind != "kit" for point in points_of(gear_kinds()[kind])}
    for words, points in NAMED.items():
        assert points <= known, words


@pytest.mark.parametrize(
    ("pack", "kind", "facts", "due"),
    [
        ("eu-uk", "rope", {}, "2027-01-15"),  # EN 365: 12 months
        ("australia-nz", "harness", {}, "2026-07-15"),  # AS/NZS 1891.4: 6 months
        ("australia-nz", "anchor", {}, "2027-01-15"),  # the same: 12 months
        ("us-general-industry", "anchor", {"rope_descent": True}, "2027-01-15"),  # 1910.27(b)(1)(i): a year
    ],
)
def test_intervals_of_the_packs_become_days(pack: str, kind: str, facts: dict[str, object], due: str) -> None:
    shelf = Shelf()
    tag = add(shelf, kind, on="2026-01-15", intervals=in_force(pack, kind, **facts))
    assert shelf.known[f"gear/{tag}"].due == due


def test_en_365_an_examination_is_a_competent_persons() -> None:
    shelf = Shelf()
    tag = add(shelf, "rope", on="2026-01-15", intervals=in_force("eu-uk", "rope"))
    inspect(shelf, tag, all_ok("rope"), act(on="2026-06-01"))
    assert shelf.known[f"gear/{tag}"].due == "2027-01-15"
    inspect(shelf, tag, all_ok("rope"), act(on="2026-06-01"), competent="course of 2025")
    assert shelf.known[f"gear/{tag}"].due == "2027-06-01"


def test_ten_years_are_remembered_and_never_counted() -> None:
    shelf = Shelf()
    tag = add(shelf, "rope", made="2000", life_by_age=" ", intervals=in_force("australia-nz", "rope"))
    found = fitness(shelf.known[f"gear/{tag}"], TODAY)
    assert found.verdict is Verdict.ASK
    assert all(row["what"] != "retire" for row in shelf.piece(tag).due)
