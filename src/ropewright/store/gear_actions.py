"""What can be done with gear: each action decides on the record as it is and writes all of it or nothing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ropewright.store.entry import Entry
from ropewright.store.gear_piece import Act, known_piece
from ropewright.store.gear_receive import correction, new_piece
from ropewright.store.gear_words import GearKind
from ropewright.store.reading import Record

__all__ = ["correct", "receive"]


def receive(
    record: Record,
    kind: GearKind,
    tag: str | None,
    told: Mapping[str, Any],
    act: Act,
    *,
    intervals: Mapping[str, Any] | None = None,
) -> list[Entry]:
    """Take a piece into the record.

    Parameters
    ----------
    record : Record
    kind : GearKind
        As `gear_words.read_kind` gives it.
    tag : str or None
        None: the next free code of its kind.
    told : mapping
        As `gear_fields.read_told` gives it.
    act : Act
        Who does it, and when; so with all actions of this module.
    intervals : mapping, optional
        Intervals of inspection in force: ``pack``, ``edition``, ``compared`` and rows of ``inspect`` and
        ``before_use``, as `rules.intervals.intervals_in_force` gives them.

    Returns
    -------
    list of Entry
        What was written; so do all actions of this module.

    Raises
    ------
    InputError, InputErrors
        If something can't be as told; nothing is written. `NotAllowedError` where the piece stands in the way.
    """
    return record.write(lambda view: new_piece(view, kind, tag, told, act, intervals=intervals))


def correct(record: Record, tag: str, changes: Mapping[str, Any], reason: str, act: Act) -> list[Entry]:
    """Set what was told of a piece anew, by a new entry; None takes back what was told."""
    return record.write(lambda view: correction(known_piece(view, tag), changes, reason, act))
