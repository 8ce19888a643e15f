"""What makes states of entries, for each family of subjects."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from importlib import import_module
from typing import cast

from ropewright import __version__
from ropewright.store.entry import Entry, Fold, State

__all__ = ["FOLDS_VERSION", "UnknownFamilyError", "default_folds", "family_of", "folded"]

#: A record makes its states anew when another version of the program opens it, since that may make others of the same
#: entries; the number after the version is raised where the folds change between releases.
FOLDS_VERSION = f"{__version__}/1"

#: Family -> module that holds its `fold`; imported only when a subject of that family is met.
_MODULES = {
    "gear": "ropewright.store.gear_state",
    "kit": "ropewright.store.gear_state",
    "crew": "ropewright.store.crew_state",
}


class UnknownFamilyError(LookupError):
    """A subject of a family that no fold knows."""


def default_folds() -> dict[str, Fold]:
    """Folds of all families that the program knows."""
    return {family: _lazy(module) for family, module in _MODULES.items()}


def _lazy(module: str) -> Fold:
    found: list[Fold] = []

    def fold(state: State | None, entry: Entry) -> State:
        if not found:
            found.append(cast("Fold", import_module(module).fold))
        return found[0](state, entry)

    return fold


def family_of(subject: str) -> str:
    """Return a subject's part before the slash."""
    return subject.partition("/")[0]


def folded(folds: Mapping[str, Fold], state: State | None, entry: Entry) -> State:
    """State of an entry's subject after it.

    Parameters
    ----------
    folds : mapping of str to Fold
    state : State or None
        The state before.
    entry : Entry

    Raises
    ------
    UnknownFamilyError
        If no fold knows the family.
    ValueError
        If a fold made a state of another subject.
    """
    family = family_of(entry.subject)
    if family not in folds:
        raise UnknownFamilyError(f"no fold for the family {family!r} of {entry.subject!r}")
    after = folds[family](state, entry)
    if after.subject != entry.subject:
        raise ValueError(f"the fold of {entry.subject!r} made a state of {after.subject!r}")
    return replace(after, number=entry.number)
