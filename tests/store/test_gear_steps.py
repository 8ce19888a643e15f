"""What may happen to gear as it stands: every kind of entry at every standing."""

from __future__ import annotations

import pytest
from gear_shelf import Shelf, act, add

from ropewright.store.entry import Entry
from ropewright.store.gear_actions import destroy, retire
from ropewright.store.gear_state import _EFFECTS, fold
from ropewright.store.gear_steps import NotAllowedError, gear_steps, may, standing_after
from ropewright.store.gear_words import CUT_UP, DESTROYED, IN_SERVICE, ISSUED, QUARANTINED, RETIRED, STANDINGS

CELLS = [(kind, standing) for kind in gear_steps() for standing in STANDINGS]
#: Entries that leave a piece that is out for good as it is.
SPOKEN_OF = {"corrected", "taken-out", "returned", "fell"}


@pytest.mark.parametrize(("kind", "standing"), CELLS)
def test_every_step_is_allowed_or_refused_with_what_would_be_right(kind: str, standing: str) -> None:
    after = standing_after(f"gear.{kind}", standing)
    if after is not None:
        assert after in STANDINGS
        may(f"gear.{kind}", "R-001", standing)
        return
    with pytest.raises(NotAllowedError, match=rf"^R-001 is {standing}: it can't .+; .{{20,}}") as refusal:
        may(f"gear.{kind}", "R-001", standing)
    assert refusal.value.field == "R-001"


@pytest.mark.parametrize("standing", [DESTROYED, CUT_UP])
def test_what_is_no_more_never_comes_back(standing: str) -> None:
    after = {kind: standing_after(f"gear.{kind}", standing) for kind in gear_steps()}
    assert {kind for kind, one in after.items() if one is not None} == {"corrected", "taken-out"}
    assert set(after.values()) == {None, standing}


def test_retired_gear_can_only_be_destroyed() -> None:
    after = {kind: standing_after(f"gear.{kind}", RETIRED) for kind in gear_steps()}
    assert {kind for kind, one in after.items() if one == DESTROYED} == {"destroyed"}
    assert {kind for kind, one in after.items() if one == RETIRED} == SPOKEN_OF


def test_only_a_release_leads_from_quarantine_to_service() -> None:
    leads = {kind for kind in gear_steps() if standing_after(f"gear.{kind}", QUARANTINED) in (IN_SERVICE, ISSUED)}
    assert leads == {"released"}


@pytest.mark.parametrize("standing", ["received", IN_SERVICE, ISSUED, QUARANTINED])
def test_a_fall_quarantines_whatever_is_not_out_for_good(standing: str) -> None:
    assert standing_after("gear.fell", standing) == QUARANTINED


def test_every_kind_of_entry_has_its_effect() -> None:
    assert set(_EFFECTS) == set(gear_steps())


def test_an_entry_that_cannot_follow_stops_the_fold() -> None:
    shelf = Shelf()
    tag = add(shelf, "rope")
    retire(shelf, [tag], "old", act())
    entry = Entry(9, "", "", "gear.issued", f"gear/{tag}", "A", {"day": "2026-11-28", "to": "B", "job": "C"}, "", "")
    with pytest.raises(ValueError, match=r"gear.issued can't follow for gear/R-001, which is retired"):
        fold(shelf.state(f"gear/{tag}"), entry)
    with pytest.raises(ValueError, match="which is not known"):
        fold(None, entry)


def test_nothing_is_destroyed_twice() -> None:
    shelf = Shelf()
    tag = add(shelf, "grab")
    destroy(shelf, [tag], "sawn through", act())
    with pytest.raises(NotAllowedError, match="what is destroyed never comes back"):
        destroy(shelf, [tag], "again", act())
