"""Finding the canonical name of what a user called a fibre, a construction, a stretch class, an end or a surface."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from ropewright.errors import InputError
from ropewright.rope.vocabulary import (
    BASES,
    CONDITIONS,
    CONSTRUCTIONS,
    FIBRES,
    STRETCHES,
    SURFACES,
    TERMINATIONS,
    Aliases,
)

__all__ = [
    "Condition",
    "basis_names",
    "canonical_basis",
    "canonical_construction",
    "canonical_fibre",
    "canonical_stretch",
    "canonical_surface",
    "canonical_termination",
    "condition_names",
    "construction_names",
    "fibre_names",
    "read_condition",
    "stretch_names",
    "surface_names",
    "termination_names",
]


def _plain(text: str) -> str:
    """Text without what people write in many ways: capitals, hyphens, slashes, apostrophes, doubled blanks."""
    return re.sub(r"[\s\-_/.,]+", " ", re.sub("['\u2019`]", "", text.casefold())).strip()


@dataclass(frozen=True, slots=True)
class _Vocabulary:
    """The names of one kind of thing."""

    noun: str
    by_plain: Mapping[str, str]
    canonical: tuple[str, ...]

    @classmethod
    def of(cls, noun: str, aliases: Aliases) -> _Vocabulary:
        by_plain = {_plain(alias): name for name, more in aliases.items() for alias in (name, *more)}
        return cls(noun, by_plain, tuple(aliases))

    def find(self, text: object, field: str) -> str:
        name = self.by_plain.get(_plain(text)) if isinstance(text, str) else None
        if name is None:
            raise InputError(field, text, self._what_would_be_right(text))
        return name

    def _what_would_be_right(self, text: object) -> str:
        close = difflib.get_close_matches(_plain(text), self.by_plain, n=5, cutoff=0.6) if isinstance(text, str) else []
        nearest = list(dict.fromkeys(self.by_plain[alias] for alias in close))
        if nearest:
            return f"did you mean {_listed(nearest)}? The {self.noun} known are {_listed(self.canonical)}"
        return f"give one of the {self.noun} known: {_listed(self.canonical)}"


def _listed(names: Iterable[str]) -> str:
    """Names in double quotes where they hold an apostrophe, in single ones elsewhere, the last after 'or'."""
    quoted = [repr(name) for name in names]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} or {quoted[-1]}"


@cache
def _vocabularies() -> Mapping[str, _Vocabulary]:
    """All vocabularies, made when the first name is looked up."""
    kinds = {
        "fibres": FIBRES,
        "constructions": CONSTRUCTIONS,
        "stretch classes": STRETCHES,
        "ends": TERMINATIONS,
        "strength bases": BASES,
        "conditions": CONDITIONS,
        "surfaces": SURFACES,
    }
    return {noun: _Vocabulary.of(noun, aliases) for noun, aliases in kinds.items()}


def fibre_names() -> tuple[str, ...]:
    """Canonical names of fibres."""
    return tuple(FIBRES)


def construction_names() -> tuple[str, ...]:
    """Canonical names of constructions."""
    return tuple(CONSTRUCTIONS)


def stretch_names() -> tuple[str, ...]:
    """Canonical names of stretch classes."""
    return tuple(STRETCHES)


def termination_names() -> tuple[str, ...]:
    """Canonical names of ends: knots, hitches, splices, sewn eyes."""
    return tuple(TERMINATIONS)


def basis_names() -> tuple[str, ...]:
    """Canonical names of what a strength figure can be."""
    return tuple(BASES)


def condition_names() -> tuple[str, ...]:
    """Canonical names of the conditions of a rope; each may have ``wet`` or ``dry`` beside it."""
    return tuple(CONDITIONS)


def surface_names() -> tuple[str, ...]:
    """Canonical names of what a rope can bear on."""
    return tuple(SURFACES)


def canonical_fibre(text: object, field: str) -> str:
    """Canonical name of a fibre.

    Parameters
    ----------
    text : object
        What the user wrote; capitals, hyphens and doubled blanks do not matter.
    field : str
        Where it stood, for the error.

    Raises
    ------
    InputError
        If the name is unknown; the nearest known names are offered.

    Examples
    --------
    >>> canonical_fibre("PES", "rope.fibre")
    'polyester'
    >>> canonical_fibre("polyestre", "rope.fibre")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    ropewright.errors.InputError: rope.fibre: got 'polyestre'; did you mean 'polyester'...
    """
    return _vocabularies()["fibres"].find(text, field)


def canonical_construction(text: object, field: str) -> str:
    """Canonical name of a construction; see `canonical_fibre`.

    Examples
    --------
    >>> canonical_construction("Kernmantle", "rope.construction"), canonical_construction("3-strand", "construction")
    ('sheathed core', 'laid')
    """
    return _vocabularies()["constructions"].find(text, field)


def canonical_stretch(text: object, field: str) -> str:
    """Canonical name of a stretch class; see `canonical_fibre`.

    Examples
    --------
    >>> canonical_stretch("semi-static", "rope.stretch")
    'low-stretch'
    """
    return _vocabularies()["stretch classes"].find(text, field)


def canonical_termination(text: object, field: str) -> str:
    """Canonical name of an end; see `canonical_fibre`.

    Examples
    --------
    >>> canonical_termination("Figure 8 on a bight", "line.termination")
    'figure-eight loop'
    """
    return _vocabularies()["ends"].find(text, field)


def canonical_basis(text: object, field: str) -> str:
    """Canonical name of what a strength figure is; see `canonical_fibre`.

    Examples
    --------
    >>> canonical_basis("three sigma", "rope.strength_basis")
    'mean less 3 sd'
    """
    return _vocabularies()["strength bases"].find(text, field)


def canonical_surface(text: object, field: str) -> str:
    """Canonical name of what a rope bears on; see `canonical_fibre`.

    Examples
    --------
    >>> canonical_surface("wood", "edge.surface")
    'timber'
    """
    return _vocabularies()["surfaces"].find(text, field)


@dataclass(frozen=True, slots=True)
class Condition:
    """What is known of a rope's state; `wet` None: not told, so that it may be wet."""

    state: str
    wet: bool | None
    #: True if the state itself was not told beside ``wet`` or ``dry``.
    state_assumed: bool = False


def read_condition(text: object, field: str) -> Condition:
    """Read a condition such as ``new``, ``good``, ``new, dry`` or ``wet``.

    Parameters
    ----------
    text : object
        A condition, with ``wet`` or ``dry`` beside it if it is known. One of the two alone is taken as ``good``,
        and said to be assumed.
    field : str
        Where it stood, for the error.

    Raises
    ------
    InputError
        If the condition is unknown.

    Examples
    --------
    >>> read_condition("new, dry", "rope.condition")
    Condition(state='new', wet=False, state_assumed=False)
    >>> read_condition("wet", "rope.condition")
    Condition(state='good', wet=True, state_assumed=True)
    """
    words = _plain(text).split() if isinstance(text, str) else []
    water = {"wet", "dry"} & set(words)
    if len(water) != 1:
        return Condition(_vocabularies()["conditions"].find(text, field), None)
    state = " ".join(word for word in words if word not in (*water, "and"))
    wet = water == {"wet"}
    if not state:
        return Condition("good", wet, state_assumed=True)
    return Condition(_vocabularies()["conditions"].find(state, field), wet)
