"""What makes states of entries, for each family of subjects."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cached_property
from importlib import import_module
from typing import cast

from ropewright import __version__
from ropewright.store.entry import Entry, Fold, State

__all__ = ["FOLDS_VERSION", "ModuleFold", "UnknownFamilyError", "default_folds", "family_of", "folded"]

#: A record makes its states anew when another version of the program opens it, since that may make others of the same
#: entries; the number after the version is raised where the folds change between releases.
FOLDS_VERSION = f"{__version__}/3"

#: Family -> module that holds its `fold`; imported only when a subject of that family is met.
_MODULES = {
    "gear": "ropewright.store.gear_state",
    "kit": "ropewright.store.gear_state",
    "crew": "ropewright.store.crew_state",
}


class UnknownFamilyError(LookupError):
    """A subject of a family that no fold knows."""


class ModuleFold:
    """The fold of a module, which is imported when a subject of its family is met.

    Parameters
    ----------
    module : str
        Holds ``fold``; or ``step`` and ``finish`` too, where a part of the state follows from the rest of it and need
        not be worked out after each of many entries: ``fold(s, e)`` is ``finish(step(s, e))``.
    """

    def __init__(self, module: str) -> None:
        self._module = module

    def __call__(self, state: State | None, entry: Entry) -> State:
        """State after one more entry."""
        return self._fold(state, entry)

    @cached_property
    def _fold(self) -> Fold:
        return cast("Fold", import_module(self._module).fold)

    @cached_property
    def step(self) -> Fold:
        """As the fold, but what follows from the rest is left out."""
        return cast("Fold", getattr(import_module(self._module), "step", self._fold))

    def finish(self, state: State) -> State:
        """State with what follows from the rest of it."""
        finish = getattr(import_module(self._module), "finish", None)
        return state if finish is None else cast("State", finish(state))


def default_folds() -> dict[str, Fold]:
    """Folds of all families that the program knows."""
    return {family: ModuleFold(module) for family, module in _MODULES.items()}


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
