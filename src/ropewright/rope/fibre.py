"""Fibres that ropes are made of: family, physical properties and what harms them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import TypeVar

from ropewright.findings import Source
from ropewright.rope.tables import Figure, Grade, figures, rows, source_of

__all__ = ["Family", "Fibre", "Statement", "fibre_facts", "fibre_properties", "fibres", "weathering"]

T = TypeVar("T")


class Family(StrEnum):
    """What decides how a fibre behaves in a lifeline."""

    POLYAMIDE = "polyamide"
    POLYESTER = "polyester"
    POLYOLEFIN = "polyolefin"
    HIGH_MODULUS = "high-modulus"
    NATURAL = "natural"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Fibre:
    """A fibre by its canonical name."""

    name: str
    family: Family
    source: Source
    grade: Grade
    note: str = ""

    @property
    def is_natural(self) -> bool:
        """True for a plant or animal fibre, which no lifeline may be made of."""
        return self.family is Family.NATURAL

    @property
    def has_polyolefin(self) -> bool:
        """True if polypropylene may be part of it, so that sunlight must be asked about."""
        return self.family is Family.POLYOLEFIN and self.name != "polyethylene"


@dataclass(frozen=True, slots=True)
class Statement:
    """Something told in words: how acids, sunlight or heat treat a fibre."""

    text: str
    source: Source
    grade: Grade
    note: str = ""


def _by_first_part(entries: Mapping[str, T]) -> Mapping[str, Mapping[str, T]]:
    """``nylon/density`` -> nylon -> density."""
    grouped: dict[str, dict[str, T]] = {}
    for key, entry in entries.items():
        first, second = key.split("/", 1)
        grouped.setdefault(first, {})[second] = entry
    return MappingProxyType({first: MappingProxyType(found) for first, found in grouped.items()})


@cache
def fibres() -> Mapping[str, Fibre]:
    """Fibres by canonical name.

    Examples
    --------
    >>> fibres()["manila"].is_natural, fibres()["polyester"].is_natural
    (True, False)
    """
    return MappingProxyType(
        {
            row["key"]: Fibre(row["key"], Family(row["family"]), source_of(row), Grade(row["grade"]), row["note"])
            for row in rows("fibres")
        }
    )


@cache
def fibre_properties() -> Mapping[str, Mapping[str, Figure]]:
    """Physical figures by fibre and property: density, melting, break strain, moisture regain, wet factor.

    A property that no source gives is left out.

    Examples
    --------
    >>> fibre_properties()["nylon"]["density"].value.likely  # kg/m3
    1140.0
    """
    return _by_first_part(figures("fibre_properties"))


@cache
def fibre_facts() -> Mapping[str, Mapping[str, Statement]]:
    """Statements by fibre and topic: acids, alkalis, bleach, heat, sunlight.

    Examples
    --------
    >>> fibre_facts()["polyester"]["acids"].text
    'resists acids'
    """
    return _by_first_part(
        {
            row["key"]: Statement(row["text"], source_of(row), Grade(row["grade"]), row["note"])
            for row in rows("fibre_facts")
        }
    )


@cache
def weathering() -> Mapping[str, Figure]:
    """Loss to weather alone of webbing and rope, by kind; no two of them compare like with like.

    Examples
    --------
    >>> weathering()["polyester webbing/floor"].value.likely
    0.7
    """
    return figures("weathering")
