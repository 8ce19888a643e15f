"""Reading the tables of `data/`: each figure comes with its source, how it came to be known, and its grade."""

from __future__ import annotations

from collections.abc import Mapping

from ropewright.findings import Source
from ropewright.findings.figures import UNITS, Figure, Grade, Tables

__all__ = ["UNITS", "Figure", "Grade", "data_text", "figures", "rows", "source_of"]

_TABLES = Tables("ropewright.rope")


def data_text(name: str) -> str:
    """Text of a file of `data/`."""
    return _TABLES.text(name)


def rows(table: str) -> tuple[Mapping[str, str], ...]:
    """Rows of a table as text, by column name."""
    return _TABLES.rows(table)


def source_of(row: Mapping[str, str]) -> Source:
    """Source of a row, as findings carry it."""
    return _TABLES.source_of(row)


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
    return _TABLES.figures(table)
