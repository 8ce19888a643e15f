"""Reading the tables of `data/`: each figure comes with its source, how it came to be known, and its grade."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType

from ropewright.findings import Source, SourceStatus
from ropewright.quantity import Range

__all__ = ["UNITS", "Figure", "Grade", "data_text", "figures", "rows", "source_of"]


class Grade(StrEnum):
    """How good the document is that a figure comes from; it never outranks the figure's status."""

    #: Statute, standard, government report, peer-reviewed paper or open data.
    A = "A"
    #: Handbook, textbook or society paper.
    B = "B"
    #: Trade article, reference site, distributor's table, forum or blog.
    C = "C"
    #: Not graded: practice, definition or judgement.
    NONE = "-"


#: Printed unit -> SI unit and its size in it. Pound-force, pound and inch are exact by definition.
_LBF, _LB, _INCH, _FOOT = 4.4482216152605, 0.45359237, 0.0254, 0.3048
UNITS: Mapping[str, tuple[str, float]] = MappingProxyType(
    {
        "-": ("-", 1.0),
        "1/yr": ("1/yr", 1.0),
        "degC": ("degC", 1.0),
        "g/cm3": ("kg/m3", 1e3),
        "g/m": ("kg/m", 1e-3),
        "g/m/mm2": ("kg/m3", 1e3),
        "kN": ("N", 1e3),
        "kN/mm2": ("Pa", 1e9),
        "kgf": ("N", 9.80665),
        "kip": ("N", 1e3 * _LBF),
        "lb/100 ft": ("kg/m", _LB / (100 * _FOOT)),
        "lbf": ("N", _LBF),
        "lbf/in2": ("Pa", _LBF / _INCH**2),
        "mm": ("m", 1e-3),
        "radii": ("-", 1.0),
        "s": ("s", 1.0),
    }
)


@dataclass(frozen=True, slots=True)
class Figure:
    """A number from a table, or told by the user, with where it comes from.

    Parameters
    ----------
    key : str
        Its row: ``low-stretch/static``.
    value : Range
        In `unit`.
    unit : str
        SI unit.
    source : Source
    grade : Grade
    samples : int, optional
        How many were tested; None: not stated.
    note : str
    """

    key: str
    value: Range
    unit: str
    source: Source
    grade: Grade = Grade.NONE
    samples: int | None = None
    note: str = ""

    @property
    def settles(self) -> bool:
        """True if it may let something hold alone: not remembered, not judged, not of grade C.

        Examples
        --------
        >>> figures("strength_figures")["knot/by rule"].settles  # read in the rule's own text
        True
        >>> figures("terminations")["sewn eye"].settles  # remembered
        False
        """
        return self.source.status.settles and self.grade is not Grade.C


@cache
def data_text(name: str) -> str:
    """Text of a file of `data/`."""
    from importlib import resources  # start-up of commands that look nothing up stays light

    return resources.files("ropewright.rope").joinpath("data", name).read_text(encoding="utf-8")


@cache
def rows(table: str) -> tuple[Mapping[str, str], ...]:
    """Rows of a table as text, by column name."""
    import csv
    import io

    reader = csv.DictReader(io.StringIO(data_text(f"{table}.csv")), strict=True)
    return tuple(MappingProxyType(dict(row)) for row in reader)


@cache
def _titles() -> Mapping[str, str]:
    """Title of each source, by its key."""
    import tomllib

    return {key: str(entry["title"]) for key, entry in tomllib.loads(data_text("sources.toml")).items()}


def source_of(row: Mapping[str, str]) -> Source:
    """Source of a row, as findings carry it."""
    return Source(_titles()[row["source"]], row["locator"], SourceStatus(row["status"]))


def _figure(row: Mapping[str, str]) -> Figure:
    unit, size = UNITS[row["unit"]]
    low, likely, high = (float(row[end]) * size for end in ("low", "likely", "high"))
    samples = int(row["samples"]) if row["samples"] else None
    return Figure(row["key"], Range(low, likely, high), unit, source_of(row), Grade(row["grade"]), samples, row["note"])


@cache
def figures(table: str) -> Mapping[str, Figure]:
    """Figures of a table of numbers, by key, in SI units.

    Parameters
    ----------
    table : str
        Name of its file without the ending.

    Examples
    --------
    >>> figure = figures("strength_figures")["knot/by rule"]
    >>> figure.value.likely, str(figure.source)
    (0.5, '29 CFR 1926 Subpart M App C II(h)(3)')
    """
    return MappingProxyType({row["key"]: _figure(row) for row in rows(table)})
