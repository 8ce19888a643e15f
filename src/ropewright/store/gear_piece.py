"""A piece of gear as the record has it, and who does what to it when."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from ropewright.errors import InputError
from ropewright.store.entry import Draft, State
from ropewright.store.gear_due import ask_text
from ropewright.store.gear_state import whole_body
from ropewright.store.gear_steps import may
from ropewright.store.gear_words import FAMILY, GearKind, gear_kinds, read_tag, subject_of, tag_of
from ropewright.store.reading import View

__all__ = ["Act", "Piece", "known_piece", "known_pieces"]


@dataclass(frozen=True, slots=True)
class Act:
    """Who does something, and on which day.

    Parameters
    ----------
    by : str
        Never blank.
    day : date
        On which it happened where it happened.
    today : date
        Nothing happens later than that.
    """

    by: str
    day: date
    today: date

    def __post_init__(self) -> None:
        if not self.by.strip():
            raise InputError("by", self.by, "say who does it")
        if self.day > self.today:
            raise InputError("on", self.day.isoformat(), f"this day is yet to come; give one up to {self.today}")

    def draft(self, kind: str, tag: str, /, **body: Any) -> Draft:
        """Entry about a piece, as the ledger takes it; `kind` without the family."""
        at = None if self.day == self.today else datetime.combine(self.day, time(12)).astimezone()
        day = {"day": self.day.isoformat()}
        return Draft(f"{FAMILY}.{kind}", subject_of(tag), self.by.strip(), {**day, **body}, at)


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of gear as it stands.

    Parameters
    ----------
    state : State
        As the record gives it.
    """

    state: State

    @property
    def tag(self) -> str:
        """Code on its tag."""
        return tag_of(self.state.subject)

    @property
    def standing(self) -> str:
        """One of `gear_words.STANDINGS`."""
        return self.state.standing

    @property
    def body(self) -> Mapping[str, Any]:
        """All that follows from its entries, as `gear_state` makes it, with what its state leaves out."""
        return whole_body(self.state.body)

    @property
    def kind(self) -> GearKind:
        """What it is."""
        return gear_kinds()[self.body["kind"]]

    @property
    def told(self) -> Mapping[str, Any]:
        """Its fields, SI."""
        told: Mapping[str, Any] = self.body["told"]
        return told

    @property
    def holder(self) -> str | None:
        """Who has it, None if nobody."""
        holder: str | None = self.body["holder"]
        return holder

    @property
    def length(self) -> float | None:
        """Length of a rope or a lanyard, None if it was not told. [m]"""
        length: float | None = self.told.get("length_m")
        return length

    @property
    def due(self) -> list[dict[str, Any]]:
        """As `gear_due.dues`."""
        return list(self.body["due"])

    @property
    def asks(self) -> list[str]:
        """What somebody must be asked, in words."""
        return [ask_text(self.kind, word) for word in self.body["asks"]]

    def late(self, today: date) -> list[dict[str, Any]]:
        """What should have been done by yesterday."""
        return [row for row in self.due if row["day"] < today.isoformat()]

    def may(self, kind: str) -> None:
        """Refuse an entry that can't be, as `gear_steps.may`."""
        may(f"{FAMILY}.{kind}", self.tag, self.standing)


def known_piece(view: View, tag: str, field: str = "tag") -> Piece:
    """Piece of a tag.

    Raises
    ------
    InputError
        If the record has no such piece.
    """
    code = read_tag(tag, field)
    state = view.state(subject_of(code))
    if state is None:
        raise InputError(field, tag, "the record has no such piece; 'ropewright gear list' shows what there is")
    return Piece(state)


def known_pieces(view: View, tags: Iterable[str], field: str = "tag") -> list[Piece]:
    """Pieces of several tags, each once; raises as `known_piece`."""
    codes = dict.fromkeys(read_tag(tag, field) for tag in tags)
    if not codes:
        raise InputError(field, None, "name at least one piece by its tag")
    return [known_piece(view, code, field) for code in codes]
