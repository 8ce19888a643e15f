"""Whatever is done to gear in whatever order: no way round a quarantine, no length lost, state = fold of entries."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from gear_shelf import NO_INTERVALS, Shelf, act, add, all_ok, yearly
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, consumes, invariant, precondition, rule

from ropewright.errors import InputError, InputErrors
from ropewright.store.entry import State
from ropewright.store.gear_actions import (
    check,
    correct,
    cut,
    destroy,
    give_out,
    inspect,
    put_in_kit,
    quarantine_gear,
    re_end,
    record_fall,
    release_gear,
    retire,
    return_gear,
    start_use,
    take_out_of_kit,
    wash,
)
from ropewright.store.gear_piece import Piece
from ropewright.store.gear_rope import CutPiece
from ropewright.store.gear_state import fold
from ropewright.store.gear_use import Override, Use
from ropewright.store.gear_words import CUT_UP, DESTROYED, IN_SERVICE, ISSUED, QUARANTINED

PEOPLE = st.sampled_from(["B. Sample", "C. Pattern"])


class Gear(RuleBasedStateMachine):
    """Anything may be tried; what is refused must leave the record as it was."""

    tags = Bundle("tags")
    kits = Bundle("kits")

    def __init__(self) -> None:
        super().__init__()
        self.shelf = Shelf()
        self.bought = 0.0
        self.lost = 0.0

    def tried(self, action: Any, *arguments: Any, **more: Any) -> list[Any]:
        before = len(self.shelf.ledger)
        try:
            return list(action(self.shelf, *arguments, **more))
        except (InputError, InputErrors):
            assert len(self.shelf.ledger) == before
            return []

    def has_room(self) -> bool:
        """Few pieces, so that much happens to each."""
        return len(self.shelf.known) < 5

    @precondition(has_room)
    @rule(target=tags, length=st.integers(1, 200), late=st.booleans())
    def buy_rope(self, length: int, late: bool) -> str:
        self.bought += length
        told = {"length_m": f"{length} m"}
        rhythm = yearly("1 day") if late else NO_INTERVALS
        return add(self.shelf, "rope", on="2026-11-01" if late else "2026-11-28", intervals=rhythm, **told)

    @precondition(has_room)
    @rule(target=tags, kind=st.sampled_from(["harness", "grab", "connector", "bag"]))
    def buy_other(self, kind: str) -> str:
        return add(self.shelf, kind)

    @precondition(has_room)
    @rule(target=kits)
    def make_kit(self) -> str:
        return add(self.shelf, "kit")

    @rule(kit=kits, tag=tags)
    def put_in(self, kit: str, tag: str) -> None:
        self.tried(put_in_kit, kit, [tag], act())

    @rule(kit=kits, tag=tags)
    def take_out(self, kit: str, tag: str) -> None:
        self.tried(take_out_of_kit, kit, [tag], act())

    @rule(tag=tags | kits)
    def start(self, tag: str) -> None:
        self.tried(start_use, [tag], act())

    @rule(tag=tags | kits, person=PEOPLE, pressed=st.booleans())
    def issue(self, tag: str, person: str, pressed: bool) -> None:
        override = Override("D. Boss", "no other") if pressed else None
        entries = self.tried(give_out, [tag], person, "Mill Lane 4", act(), override=override)
        for subject in {entry.subject for entry in entries}:
            assert self.shelf.known[subject].standing == ISSUED

    @rule(tag=tags | kits, uses=st.none() | st.integers(0, 2), fault=st.booleans())
    def give_back(self, tag: str, uses: int | None, fault: bool) -> None:
        self.tried(return_gear, [tag], Use(uses, 3600.0), act(), fault="torn" if fault else "")

    @rule(tag=tags, broken=st.booleans())
    def inspect(self, tag: str, broken: bool) -> None:
        kind = self.shelf.piece(tag).kind.name
        answers = all_ok(kind)
        if broken:
            answers = (replace(answers[0], answer="fault"), *answers[1:])
        self.tried(inspect, tag, answers, act())

    @rule(tag=tags)
    def check(self, tag: str) -> None:
        self.tried(check, tag, all_ok(self.shelf.piece(tag).kind.name, before_use=True), act())

    @rule(tag=tags)
    def wash(self, tag: str) -> None:
        self.tried(wash, [tag], act())

    @rule(target=tags, tag=tags, share=st.floats(0.05, 0.9), keep=st.booleans(), loss=st.floats(0, 0.5))
    def cut(self, tag: str, share: float, keep: bool, loss: float) -> str:
        length = self.shelf.piece(tag).length or 0.0
        first = length * share
        second = length - first - loss
        pieces = [CutPiece(None, first)] if keep else [CutPiece(None, first), CutPiece(None, second)]
        entries = self.tried(cut, tag, pieces, act(), kept=second if keep else None, loss=loss)
        if not entries:
            return tag
        self.lost += entries[0].body["loss_m"]
        return str(entries[-1].subject.partition("/")[2])

    @rule(tag=tags, taken=st.floats(0, 3))
    def re_end(self, tag: str, taken: float) -> None:
        entries = self.tried(re_end, tag, 1, "eye splice", act(), taken=taken)
        self.lost += taken if entries else 0.0

    @rule(tag=tags)
    def fall_of_piece(self, tag: str) -> None:
        self.tried(record_fall, act(), tags=[tag])

    @rule(tag=tags, catches=st.integers(0, 2))
    def correct(self, tag: str, catches: int) -> None:
        self.tried(correct, tag, {"catches": catches}, "told anew", act())

    @rule(person=PEOPLE)
    def fall_of_person(self, person: str) -> None:
        held = {
            one.subject
            for one in self.shelf.states("gear", standing=ISSUED)
            if Piece(one).holder == person and one.body["kind"] not in ("bag", "kit")
        }
        entries = self.tried(record_fall, act(), person=person)
        assert held <= {entry.subject for entry in entries}

    @rule(kit=kits)
    def fall_of_kit(self, kit: str) -> None:
        self.tried(record_fall, act(), kit=kit)

    @rule(tag=tags)
    def quarantine(self, tag: str) -> None:
        self.tried(quarantine_gear, [tag], "acid", act())

    @rule(tag=tags, competent=st.booleans(), signs=st.booleans())
    def release(self, tag: str, competent: bool, signs: bool) -> None:
        before = self.shelf.piece(tag)
        grounds, name = ("course" if competent else ""), ("A. Example" if signs else "")
        told = {"finding": "sound", "reason": "looked at", "competent": grounds, "signed": name}
        if self.tried(release_gear, tag, act(), **told):
            assert competent
            assert signs or not (before.body["fallen"] and before.kind.textile)

    @precondition(lambda self: len(self.shelf.known) > 3)
    @rule(tag=tags | kits)
    def retire(self, tag: str) -> None:
        self.tried(retire, [tag], "old", act())

    @precondition(lambda self: len(self.shelf.known) > 3)
    @rule(tag=consumes(tags))
    def destroy(self, tag: str) -> None:
        self.tried(destroy, [tag], "sawn", act())

    @invariant()
    def nothing_that_fell_is_in_service_without_release(self) -> None:
        last: dict[str, str] = {}
        for entry in self.shelf.ledger:
            if entry.kind in ("gear.fell", "gear.quarantined", "gear.released"):
                last[entry.subject] = entry.kind
        for subject, kind in last.items():
            if kind != "gear.released":
                assert self.shelf.known[subject].standing not in ("received", IN_SERVICE, ISSUED), subject

    @invariant()
    def what_is_no_more_stays_so(self) -> None:
        gone: set[str] = set()
        for entry in self.shelf.ledger:
            assert entry.subject not in gone or entry.kind in ("gear.taken-out", "gear.corrected")
            if entry.kind in ("gear.destroyed", "gear.cut"):
                gone.add(entry.subject)
        for subject in gone:
            assert self.shelf.known[subject].standing in (DESTROYED, CUT_UP)

    @invariant()
    def lengths_are_conserved(self) -> None:
        there = sum(
            state.body["told"].get("length_m", 0.0)
            for state in self.shelf.known.values()
            if state.body["kind"] == "rope" and state.standing != CUT_UP
        )
        assert abs(there + self.lost - self.bought) < 1e-3

    @invariant()
    def what_is_out_is_with_somebody(self) -> None:
        for state in self.shelf.known.values():
            if state.standing == ISSUED:
                assert Piece(state).holder
            if state.standing in ("received", IN_SERVICE):
                assert not Piece(state).holder
            assert (state.standing == QUARANTINED) == ("quarantine" in state.body)

    def teardown(self) -> None:
        """State = fold of the entries."""
        made: dict[str, State] = {}
        for entry in self.shelf.ledger:
            made[entry.subject] = replace(fold(made.get(entry.subject), entry), number=entry.number)
        assert made == self.shelf.known


TestGear = Gear.TestCase
TestGear.settings = settings(max_examples=60, stateful_step_count=50, deadline=None)
