"""Tables of figures: each number comes with its source, how it came to be known, and its grade."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from types import MappingProxyType

from ropewright.findings.model import Source, SourceStatus
from ropewright.quantity import Range

__all__ = ["UNITS", "Figure", "Grade", "Tables"]


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
        "in": ("m", _INCH),
        "kN": ("N", 1e3),
        "kN/m": ("N/m", 1e3),
        "kN/mm2": ("Pa", 1e9),
        "kg": ("kg", 1.0),
        "kgf": ("N", 9.80665),
        "kip": ("N", 1e3 * _LBF),
        "lb/100 ft": ("kg/m", _LB / (100 * _FOOT)),
        "lbf": ("N", _LBF),
        "lbf/in2": ("Pa", _LBF / _INCH**2),
        "m": ("m", 1.0),
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
        >>> Figure("share", Range.exact(0.5), "-", Source("a statute"), Grade.A).settles
        True
        >>> Figure("share", Range.exact(0.5), "-", Source("a handbook", "", SourceStatus.MEMORY), Grade.B).settles
        False
        """
        return self.source.status.settles and self.grade is not Grade.C


class Tables:
    """Tables in the folder `data/` of a package; each is read once, when first asked for.

    Parameters
    ----------
    package : str
        Such as ``ropewright.rope``; its `data/sources.toml` holds the titles of the sources.
    """

    def __init__(self, package: str) -> None:
        self._package = package
        self._rows: dict[str, tuple[Mapping[str, str], ...]] = {}
        self._figures: dict[str, Mapping[str, Figure]] = {}

    def text(self, name: str) -> str:
        """Text of a file."""
        from importlib import resources  # start-up of commands that look nothing up stays light

        return resources.files(self._package).joinpath("data", name).read_text(encoding="utf-8")

    def rows(self, table: str) -> tuple[Mapping[str, str], ...]:
        """Rows of a table as text, by column name."""
        import csv
        import io

        if table not in self._rows:
            reader = csv.DictReader(io.StringIO(self.text(f"{table}.csv")), strict=True)
            self._rows[table] = tuple(MappingProxyType(dict(row)) for row in reader)
        return self._rows[table]

    def source_of(self, row: Mapping[str, str]) -> Source:
        """Source of a row, as findings carry it."""
        return Source(self._titles[row["source"]], row["locator"], SourceStatus(row["status"]))

    def figures(self, table: str) -> Mapping[str, Figure]:
        """Figures of a table of numbers, by key, in SI units.

        Parameters
        ----------
        table : str
            Name of its file without the ending.
        """
        if table not in self._figures:
            self._figures[table] = MappingProxyType({row["key"]: self._figure(row) for row in self.rows(table)})
        return self._figures[table]

    @cached_property
    def _titles(self) -> Mapping[str, str]:
        import tomllib

        return {key: str(entry["title"]) for key, entry in tomllib.loads(self.text("sources.toml")).items()}

    def _figure(self, row: Mapping[str, str]) -> Figure:
        unit, size = UNITS[row["unit"]]
        low, likely, high = (float(row[end]) * size for end in ("low", "likely", "high"))
        samples = int(row["samples"]) if row["samples"] else None
        value = Range(low, likely, high)
        return Figure(row["key"], value, unit, self.source_of(row), Grade(row["grade"]), samples, row["note"])
