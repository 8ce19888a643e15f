"""Default parts of a chain, and what no law of them reproduces: figures with source, status and range."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType

from ropewright.errors import InputError
from ropewright.findings.figures import Figure, Tables
from ropewright.quantity import Range

__all__ = ["TABLES", "Condition", "PartKind", "PartSet", "absorber_force", "model_errors", "part_set", "part_sets"]

#: Tables of this package: ``parts`` and ``model_errors``.
TABLES = Tables("ropewright.arrest")


class PartKind(StrEnum):
    """What a default set is for; the first word of its keys in the table."""

    ABSORBER = "absorber"
    GRAB = "grab"
    LANYARD = "lanyard"
    ANCHOR = "anchor"
    BODY = "body"
    PERSON = "person"


class Condition(StrEnum):
    """What an absorber has been through before the fall."""

    DRY = "dry"
    CONDITIONED = "conditioned"  #: hot, cold or wet, as the tests of its standard condition it
    UNKNOWN = "unknown"  #: either, so the range spans both


@dataclass(frozen=True, slots=True)
class PartSet:
    """Figures of one part.

    Parameters
    ----------
    kind : PartKind
    name : str
        ``EN 355``; empty where there is one set of its kind.
    figures : mapping of str to Figure
        By quantity: ``force``, ``length``, ``lock``.
    """

    kind: PartKind
    name: str
    figures: Mapping[str, Figure]

    def range(self, quantity: str) -> Range | None:
        """Range of a quantity in its SI unit; None where the set has no figure for it."""
        figure = self.figures.get(quantity)
        return None if figure is None else figure.value


@cache
def part_sets(kind: PartKind) -> Mapping[str, PartSet]:
    """Sets of one kind, by name.

    Examples
    --------
    >>> list(part_sets(PartKind.GRAB))
    ['ANSI Z359.15', 'EN 353-2']
    >>> part_sets(PartKind.ABSORBER)["EN 355"].range("threshold")
    Range(low=2000.0, likely=2200.0, high=2500.0)
    """
    found: dict[str, dict[str, Figure]] = {}
    for key, figure in TABLES.figures("parts").items():
        part, _, quantity = key.partition("/")
        of_kind, _, name = part.partition(" ")
        if of_kind == kind:
            found.setdefault(name, {})[quantity] = figure
    return MappingProxyType({name: PartSet(kind, name, MappingProxyType(its)) for name, its in found.items()})


def part_set(kind: PartKind, name: str, field: str) -> PartSet:
    """Set of that name, however it is capitalised.

    Parameters
    ----------
    kind : PartKind
    name : str
    field : str
        Where the name stood, for the error.

    Raises
    ------
    InputError
        If there is none; says which there are.

    Examples
    --------
    >>> part_set(PartKind.ABSORBER, "en 355", "--absorber").name
    'EN 355'
    """
    sets = part_sets(kind)
    for known, found in sets.items():
        if known.casefold() == " ".join(name.split()).casefold():
            return found
    raise InputError(field, name, "give one of " + ", ".join(f"'{known}'" for known in sets))


def absorber_force(absorber: PartSet, condition: Condition = Condition.UNKNOWN) -> Range:
    """Force at which an absorber of a set opens.

    Parameters
    ----------
    absorber : PartSet
    condition : Condition
        Heat, cold and water make it open harder.

    Returns
    -------
    Range
        [N]

    Raises
    ------
    ValueError
        If the set is no absorber.

    Examples
    --------
    >>> absorber = part_sets(PartKind.ABSORBER)["EN 355"]
    >>> absorber_force(absorber, Condition.DRY)
    Range(low=3200.0, likely=4400.0, high=5700.0)
    >>> absorber_force(absorber, Condition.UNKNOWN)
    Range(low=3200.0, likely=4400.0, high=7125.0)
    """
    dry, factor = absorber.range("force"), absorber.range("conditioned")
    if dry is None or factor is None:
        raise ValueError(f"{absorber.kind} {absorber.name} has no force to open at")
    if condition is Condition.DRY:
        return dry
    if condition is Condition.CONDITIONED:
        return Range(dry.low * factor.low, dry.likely * factor.likely, dry.high * factor.high)
    return Range(dry.low, dry.likely, dry.high * factor.high)


def model_errors() -> Mapping[str, Figure]:
    """What measurement gave over what the laws give, by law and quantity [-].

    Notes
    -----
    They are applied on the unsafe side: an error that would make an answer milder is named and left out.

    Examples
    --------
    >>> model_errors()["rope/undamped peak"].value
    Range(low=1.0, likely=1.2, high=1.3)
    """
    return TABLES.figures("model_errors")
