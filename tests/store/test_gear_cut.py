"""Cutting and ending rope, with the history of the whole; all gear is invented."""

from __future__ import annotations

import pytest
from gear_shelf import act, add, piece

from ropewright.errors import InputError
from ropewright.store.gear_actions import (
    cut,
    give_out,
    re_end,
    record_fall,
    release_gear,
    return_gear,
    wash,
)
from ropewright.store.gear_history import history
from ropewright.store.gear_rope import CutPiece
from ropewright.store.gear_steps import NotAllowedError
from ropewright.store.gear_use import Use
from ropewright.store.ledger import Ledger


def test_cut_pieces_have_tags_lengths_and_the_history_of_the_whole(record: Ledger) -> None:
    rope = add(record, "rope", on="2026-11-01", length_m="60 m", fibre="nylon", made="2024-05")
    give_out(record, [rope], "P-07", "Mill Lane 4", act(on="2026-11-02"))
    return_gear(record, [rope], Use(1, 3600.0), act(on="2026-11-02"))
    cut(record, rope, [CutPiece(None, 30.0), CutPiece("R-9", 29.5)], act(), loss=0.5)
    first, second, whole = (piece(record, tag) for tag in ("R-002", "R-9", rope))
    assert (first.length, second.length, whole.standing) == (30, 29.5, "cut up")
    assert (first.body["uses"], first.told["fibre"], first.body["first_use"]) == (1, "nylon", "2026-11-02")
    wash(record, ["R-9"], act())
    with record.read() as view:
        told = [(entry.subject, entry.kind) for entry in history(view, "R-9")]
    assert told[:2] == [("gear/R-001", "gear.received"), ("gear/R-001", "gear.intervals-set")]
    assert ("gear/R-001", "gear.returned") in told
    assert told[-3:] == [("gear/R-001", "gear.cut"), ("gear/R-9", "gear.cut-from"), ("gear/R-9", "gear.washed")]


def test_history_of_a_piece_ends_for_the_rest_of_the_rope_at_the_cut(record: Ledger) -> None:
    rope = add(record, "rope", length_m="60 m")
    cut(record, rope, [CutPiece("R-A", 20.0)], act(), kept=40.0)
    wash(record, [rope], act())
    cut(record, "R-A", [CutPiece("R-B", 10.0), CutPiece("R-C", 10.0)], act())
    with record.read() as view:
        kinds = [entry.kind for entry in history(view, "R-C")]
    assert "gear.washed" not in kinds
    assert kinds[-4:] == ["gear.cut-off", "gear.cut-from", "gear.cut", "gear.cut-from"]
    assert (piece(record, rope).length, piece(record, rope).standing) == (40, "received")


@pytest.mark.parametrize(
    ("lengths", "loss", "match"),
    [
        ((30.0, 31.0), 5.0, "got '61 m in all'; the pieces are 1.000 m longer than the rope"),
        ((30.0, 29.0), 0.5, "got '0.5 m'; 1.000 m are missing"),
        ((60.0,), 0.0, "one rope becomes two or more"),
        ((60.0, 0.0), 0.0, "got '0 m'; give each piece a length above 0"),
    ],
)
def test_lengths_of_a_cut_add_up(record: Ledger, lengths: tuple[float, ...], loss: float, match: str) -> None:
    rope = add(record, "rope", length_m="60 m")
    with pytest.raises(InputError, match=match):
        cut(record, rope, [CutPiece(None, length) for length in lengths], act(), loss=loss)


def test_one_piece_may_be_the_rest(record: Ledger) -> None:
    rope = add(record, "rope", length_m="60 m")
    cut(record, rope, [CutPiece(None, 20.0), CutPiece(None, None)], act(), kept=10.0, loss=0.5)
    assert [piece(record, tag).length for tag in (rope, "R-002", "R-003")] == [10, 20, 29.5]
    with pytest.raises(InputError, match="only one piece can be the rest"):
        cut(record, rope, [CutPiece(None, None), CutPiece(None, None)], act())
    with pytest.raises(InputError, match="the rope has 10 m"):
        cut(record, rope, [CutPiece(None, 11.0), CutPiece(None, None)], act())


def test_cut_refuses_codes_that_are_taken_and_ropes_without_a_length(record: Ledger) -> None:
    rope, other, bare = add(record, "rope", length_m="60 m"), add(record, "rope"), add(record, "grab")
    with pytest.raises(InputError, match=r"R-002.*this code is taken; R-003 is free"):
        cut(record, rope, [CutPiece(other, 30.0), CutPiece(None, 30.0)], act())
    with pytest.raises(InputError, match="two pieces can't have one code"):
        cut(record, rope, [CutPiece("x", 30.0), CutPiece("X", 30.0)], act())
    with pytest.raises(NotAllowedError, match="its length is not told"):
        cut(record, other, [CutPiece(None, 30.0), CutPiece(None, 30.0)], act())
    with pytest.raises(InputError, match="only rope is cut"):
        cut(record, bare, [CutPiece(None, 30.0), CutPiece(None, 30.0)], act())


def test_pieces_of_a_quarantined_rope_are_quarantined(record: Ledger) -> None:
    rope = add(record, "rope", length_m="60 m")
    record_fall(record, act(), tags=[rope])
    cut(record, rope, [CutPiece("R-A", 20.0), CutPiece("R-B", 40.0)], act())
    with pytest.raises(NotAllowedError, match="never lets such gear"):
        release_gear(record, "R-A", act(), finding="sound", reason="looked", competent="course")


def test_new_end_takes_its_length(record: Ledger) -> None:
    rope = add(record, "rope", length_m="60 m")
    re_end(record, rope, 1, "eye splice", act(), taken=0.6)
    assert (piece(record, rope).told["end_1"], piece(record, rope).length) == ("eye splice", pytest.approx(59.4))
    with pytest.raises(InputError, match="less than the rope"):
        re_end(record, rope, 1, "eye splice", act(), taken=60.0)


def test_ends_and_kept_lengths_are_told_as_they_can_be(record: Ledger) -> None:
    rope = add(record, "rope", length_m="60 m")
    with pytest.raises(InputError, match="1 for the working end or 2"):
        re_end(record, rope, 3, "eye splice", act())
    with pytest.raises(InputError, match="keep: got 0"):
        cut(record, rope, [CutPiece(None, 60.0)], act(), kept=0.0)
    with pytest.raises(InputError, match="loss: got -1"):
        cut(record, rope, [CutPiece(None, 30.0), CutPiece(None, 30.0)], act(), loss=-1.0)
    re_end(record, rope, 2, "sewn eye", act())
    assert (piece(record, rope).told["end_2"], piece(record, rope).length) == ("sewn eye", 60)
