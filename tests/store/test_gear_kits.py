"""Kits as one thing to take; all gear is invented."""

from __future__ import annotations

import pytest
from gear_shelf import act, add, piece

from ropewright.errors import InputError
from ropewright.store.gear_actions import (
    destroy,
    give_out,
    put_in_kit,
    quarantine_gear,
    return_gear,
    take_out_of_kit,
)
from ropewright.store.gear_steps import NotAllowedError
from ropewright.store.gear_use import Use
from ropewright.store.ledger import Ledger


def test_a_kit_comes_back_without_the_part_that_was_destroyed(record: Ledger) -> None:
    kit, rope, grab = add(record, "kit"), add(record, "rope"), add(record, "grab")
    put_in_kit(record, kit, [rope, grab], act())
    give_out(record, [kit], "P-07", "Mill Lane 4", act())
    destroy(record, [rope], "cut up on site", act())
    return_gear(record, [kit], Use(1, 0.0), act())
    assert [piece(record, tag).standing for tag in (kit, rope, grab)] == ["in service", "destroyed", "in service"]


def test_kits_hold_what_is_in_no_other_kit(record: Ledger) -> None:
    kit, other, rope = add(record, "kit"), add(record, "kit"), add(record, "rope")
    put_in_kit(record, kit, [rope], act())
    assert (piece(record, kit).body["parts"], piece(record, rope).body["kit"]) == ([rope], kit)
    for whole, part, match in (
        (other, rope, "it is in K-001"),
        (other, kit, "can't be part of a kit"),
        (rope, other, "it is a rope, not a kit"),
    ):
        with pytest.raises(InputError, match=match):
            put_in_kit(record, whole, [part], act())
    with pytest.raises(InputError, match="it is not in K-002, which holds nothing"):
        take_out_of_kit(record, other, [rope], act())
    take_out_of_kit(record, kit, [rope], act())
    assert (piece(record, kit).body["parts"], piece(record, rope).body["kit"]) == ([], None)
    with pytest.raises(InputError, match="this kit holds nothing"):
        give_out(record, [kit], "P-07", "Mill Lane 4", act())


def test_a_kit_goes_out_and_comes_back_with_its_parts(record: Ledger) -> None:
    kit, rope, grab = add(record, "kit"), add(record, "rope"), add(record, "grab")
    put_in_kit(record, kit, [rope, grab], act())
    give_out(record, [kit], "P-07", "Mill Lane 4", act())
    assert [piece(record, tag).standing for tag in (kit, rope, grab)] == ["issued"] * 3
    return_gear(record, [kit], Use(1, 0.0), act())
    assert [piece(record, tag).standing for tag in (kit, rope, grab)] == ["in service"] * 3


def test_a_kit_with_a_part_in_the_way_does_not_go_out(record: Ledger) -> None:
    kit, rope, grab = add(record, "kit"), add(record, "rope"), add(record, "grab")
    put_in_kit(record, kit, [rope, grab], act())
    quarantine_gear(record, [grab], "spring weak", act())
    with pytest.raises(NotAllowedError, match="G-001 is quarantined"):
        give_out(record, [kit], "P-07", "Mill Lane 4", act())
    assert piece(record, rope).standing == "received"
