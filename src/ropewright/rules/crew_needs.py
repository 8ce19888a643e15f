"""What each rules pack asks of people before they may be on a job, with its clause."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from ropewright.findings import Source, SourceStatus
from ropewright.findings.figures import Tables
from ropewright.rules.load import pack_names
from ropewright.rules.pack import Pack

__all__ = ["CrewNeed", "crew_needs"]

#: Rows of every pack, and of one that has none of its own kind.
_ANY = "any"

#: What a pack's own rows of a kind put out of force: no text is watered down by our list, nor doubled by it.
_INSTEAD = frozenset({"topic"})


@dataclass(frozen=True, slots=True)
class CrewNeed:
    """One thing that a person in a role needs.

    Attributes
    ----------
    pack : str
        Whose rule it is; ``any`` for our own list.
    role : str
        A name of `store.crew_words.ROLES`.
    kind : str
        ``topic`` or ``trainer`` of a training, ``certificate``, ``skill``, ``role``, ``grounds`` of a role, or
        ``personal``, which must be known of a person.
    name : str
        Which topic, skill...
    when : str
        Case in which it is needed, such as ``low slope``; empty: always. Where the case is not known it is needed.
    source : Source
    note : str
    """

    pack: str
    role: str
    kind: str
    name: str
    when: str
    source: Source
    note: str


@cache
def _all() -> tuple[CrewNeed, ...]:
    return tuple(_need(row) for row in Tables("ropewright.rules").rows("crew_needs"))


def _need(row: Mapping[str, str]) -> CrewNeed:
    source = Source(row["document"], row["locator"], SourceStatus(row["status"]))
    pack, role, kind, name = row["key"].split("/")
    return CrewNeed(pack, role, kind, name, row["when"], source, row["note"])


def crew_needs(pack: Pack, role: str) -> tuple[CrewNeed, ...]:
    """What a pack, or the one that it is laid over, asks of a role; what it says nothing of comes from our own list.

    Parameters
    ----------
    pack : Pack
    role : str
        A name of `store.crew_words.ROLES`.

    Returns
    -------
    tuple of CrewNeed
        Sorted as the table is. Of a pack of one's own that stands on none of those that come with the program, all that
        any of them asks.

    Examples
    --------
    >>> from ropewright.rules import load_pack
    >>> [str(need.source) for need in crew_needs(load_pack("us-construction"), "authorised") if need.kind == "trainer"]
    ['29 CFR 1926.503 (a)(2)']
    """
    of_role = [need for need in _all() if need.role == role]
    roots = {pack.id, pack.based_on} & set(pack_names()) or set(pack_names())
    own = [need for need in of_role if need.pack in roots]
    settled = {need.kind for need in own} & _INSTEAD
    found = [need for need in of_role if need in own or (need.pack == _ANY and need.kind not in settled)]
    return tuple({(need.kind, need.name): need for need in reversed(found)}.values())[::-1]
