"""Words of the crew's record: topics of training, systems, skills, reasons to train anew and roles."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from ropewright.errors import InputError
from ropewright.findings import Source
from ropewright.store.gear_words import TABLES

__all__ = [
    "MOST_TEXT",
    "ROLES",
    "Word",
    "crew_subject",
    "read_line",
    "read_word",
    "read_words",
    "skills",
    "systems",
    "topics",
    "triggers",
]

#: What a person may be on a job, in the words of 29 CFR 1926.32 and 1926.502(k)(9); a rescuer in our own.
ROLES: Mapping[str, str] = MappingProxyType(
    {
        "authorised": "may work on rope",
        "competent": "can see the hazards and has the authority to put them right",
        "qualified": "has the degree, certificate, standing or experience to solve such problems",
        "rescuer": "gets a hanging worker down",
    }
)


#: Longest line of text that is kept.
MOST_TEXT = 200


@dataclass(frozen=True, slots=True)
class Word:
    """One row of a list: what it is called, what it means, and where it comes from."""

    key: str
    text: str
    source: Source


@cache
def _words(table: str) -> Mapping[str, Word]:
    rows = TABLES.rows(table)
    return MappingProxyType({row["key"]: Word(row["key"], row["text"], TABLES.source_of(row)) for row in rows})


def topics() -> Mapping[str, Word]:
    """Topics that training can have, by key."""
    return _words("crew_topics")


def systems() -> Mapping[str, Word]:
    """Systems that people can be trained on, by key."""
    return _words("crew_systems")


def skills() -> Mapping[str, Word]:
    """Skills that can be signed off, by key; each says what is to be seen."""
    return _words("crew_skills")


def triggers() -> Mapping[str, Word]:
    """Reasons to train anew, by key."""
    return _words("crew_triggers")


def crew_subject(code: str) -> str:
    """What the ledger calls a person."""
    return f"crew/{code}"


def read_line(text: object, field: str, *, needed: str = "") -> str:
    """One line of text; `needed` says what to give where it may not be blank.

    Raises
    ------
    InputError
        If it is too long, more than one line, or blank where it may not be.
    """
    plain = text.strip() if isinstance(text, str) else ""
    if needed and not plain:
        raise InputError(field, text, needed)
    if len(plain) > MOST_TEXT or not plain.isprintable():
        raise InputError(field, plain[:40] + "...", f"give one line of text, {MOST_TEXT} characters at most")
    return plain


def read_word(text: object, known: Collection[str], field: str) -> str:
    """One of the words known, in any case; else an error with the nearest.

    Examples
    --------
    >>> read_word("Rescuer", ROLES, "--role")
    'rescuer'
    """
    word = text.strip().lower() if isinstance(text, str) else ""
    if word in known:
        return word
    near = difflib.get_close_matches(word[:80], known, n=1)
    hint = f"did you mean {near[0]!r}? " if near else ""
    shown = text[:40] if isinstance(text, str) else text
    raise InputError(field, shown, f"{hint}give one of {', '.join(sorted(known))}")


def read_words(texts: Iterable[object], known: Collection[str], field: str) -> tuple[str, ...]:
    """Several of the words known, sorted, each once; ``all`` stands for all of them."""
    given = list(texts)
    if any(isinstance(text, str) and text.strip().lower() == "all" for text in given):
        return tuple(sorted(known))
    return tuple(sorted({read_word(text, known, field) for text in given}))
