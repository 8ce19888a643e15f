"""The facts that rules can be asked about: what each means, in which dimension, and what is assumed of it."""

from __future__ import annotations

import csv
import difflib
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from ropewright.errors import RulesError
from ropewright.quantity import Dimension, Range, parse_range

__all__ = ["FACTS", "Fact", "Told", "assume", "find_fact", "in_words", "read_fact", "read_facts"]

#: What a fact can be told as: a figure (SI), a yes or no, or a word.
Told = Range | bool | str

_YES = MappingProxyType({"yes": True, "true": True, "no": False, "false": False})

#: The only figure that can lie below nothing: what is left between a body and what it could hit.
_MAY_BE_NEGATIVE = frozenset({"clearance"})


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing that a rule can be asked about.

    Parameters
    ----------
    name : str
    dimension : Dimension or None
        None for a yes or no and for a word.
    choices : tuple of str
        Words it may be; empty unless it is a word.
    is_context : bool
        True if it describes the case rather than being judged: told alone it asks for no figure.
    example : str
        How it is told; for a yes or no that is judged, the safe answer.
    assumed : bool or None
        What an untold yes or no counts as where another limit depends on it: the stricter of the two. None: neither,
        so that what depends on it can't be excluded.
    question : str
        What is asked of it, as a roofer would ask.
    meaning : str
        One plain sentence.
    """

    name: str
    dimension: Dimension | None
    choices: tuple[str, ...]
    is_context: bool
    example: str
    assumed: bool | None
    question: str
    meaning: str

    @property
    def is_yes_no(self) -> bool:
        """True if it is told as yes or no."""
        return self.dimension is None and not self.choices

    @property
    def kind(self) -> str:
        """Dimension, ``yes/no`` or ``word``."""
        return self.dimension.value if self.dimension else "yes/no" if self.is_yes_no else "word"

    @property
    def advice(self) -> str:
        """What to write, as the end of an error message."""
        if self.dimension:
            return f"give a {self.dimension.value}, such as {self.example!r}"
        return f"give one of {', '.join(self.choices)}" if self.choices else "give yes or no"


@cache
def _read_catalogue() -> Mapping[str, Fact]:
    text = files("ropewright.rules").joinpath("data", "facts.csv").read_text(encoding="utf-8")
    return MappingProxyType({row["fact"]: _fact(row) for row in csv.DictReader(text.splitlines())})


def _fact(row: Mapping[str, str]) -> Fact:
    kind, _, words = row["kind"].partition(":")
    return Fact(
        name=row["fact"],
        dimension=None if kind in ("yes/no", "choice") else Dimension(kind),
        choices=tuple(words.split(";")) if words else (),
        is_context=row["role"] == "context",
        example=row["example"],
        assumed=_YES.get(row["assume"]),
        question=row["question"],
        meaning=row["meaning"],
    )


#: Every fact by its name.
FACTS: Mapping[str, Fact] = _read_catalogue()


def find_fact(name: str) -> Fact:
    """Fact of a name.

    Raises
    ------
    RulesError
        For an unknown name; offers the nearest.

    Examples
    --------
    >>> find_fact("free_fal")
    Traceback (most recent call last):
    ...
    ropewright.errors.RulesError: fact: got 'free_fal'; no rule knows this fact, did you mean 'free_fall'?
    """
    if name in FACTS:
        return FACTS[name]
    near = difflib.get_close_matches(name.lower().replace("-", "_").replace(" ", "_"), FACTS, n=1, cutoff=0.5)
    hint = f"did you mean {near[0]!r}?" if near else "'ropewright rules facts PACK' lists them"
    raise RulesError("fact", name, f"no rule knows this fact, {hint}")


def read_fact(name: str, value: object) -> Told:
    """Value of a fact, from what a user wrote or a program worked out.

    Parameters
    ----------
    name : str
    value : str, float, int, bool or Range
        Text is read with its unit (``310 lb``, ``4 kN to 6 kN``, ``yes``, ``Ontario``); a float is SI.

    Returns
    -------
    Range, bool or str
        Figures as a range in SI; words as the catalogue spells them.

    Raises
    ------
    RulesError, QuantityError
        For an unknown fact, or a value of another kind than it takes.

    Examples
    --------
    >>> read_fact("user_mass", "310 lb").high
    140.6136347
    >>> read_fact("roof_sound", "yes"), read_fact("province", "ontario")
    (True, 'Ontario')
    """
    fact = find_fact(name)
    if fact.dimension:
        return _figure(fact, fact.dimension, value)
    if fact.is_yes_no:
        if isinstance(value, bool):
            return value
        if isinstance(value, str) and value.strip().lower() in _YES:
            return _YES[value.strip().lower()]
        raise RulesError(name, value, fact.advice)
    spelt = {choice.lower(): choice for choice in fact.choices}
    if isinstance(value, str) and value.strip().lower() in spelt:
        return spelt[value.strip().lower()]
    raise RulesError(name, value, f"{_nearest(value, fact)}{fact.advice}")


def assume(told: Mapping[str, Told]) -> dict[str, Told]:
    """Return the facts told, and the stricter answer for every yes or no that has one and was not told.

    Examples
    --------
    >>> assume({})["anchor_designed_by_qualified_person"]
    False
    """
    stricter: dict[str, Told] = {fact.name: fact.assumed for fact in FACTS.values() if fact.assumed is not None}
    return stricter | dict(told)


def in_words(answer: object) -> str:
    """Return a yes or no as a word, anything else as its text."""
    return ("yes" if answer else "no") if isinstance(answer, bool) else str(answer)


def read_facts(facts: Mapping[str, object]) -> dict[str, Told]:
    """Return every fact that is told, read; what is None is left out as not told."""
    return {name: read_fact(name, value) for name, value in facts.items() if value is not None}


def _nearest(value: object, fact: Fact) -> str:
    near = difflib.get_close_matches(str(value).title(), fact.choices, n=1)
    return f"did you mean {near[0]!r}? " if near else ""


def _figure(fact: Fact, dimension: Dimension, value: object) -> Range:
    if isinstance(value, Range):
        told = value
    elif isinstance(value, int | float) and not isinstance(value, bool):
        if math.isnan(value):
            raise RulesError(fact.name, value, fact.advice)
        told = Range.exact(float(value))
    else:
        told = parse_range(value, dimension, fact.name)
    if told.low < 0 and fact.name not in _MAY_BE_NEGATIVE:
        raise RulesError(fact.name, value, "give 0 or more")
    return told
