"""What a comparison is, and how it stands on the page."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

#: Relative errors below this are the noise of floats, and shown as nothing more.
NOISE = 1e-6


@dataclass(frozen=True)
class Row:
    """One number of another's, and ours.

    `theirs` is what was published or measured, or a pair between whose ends ours should lie. `within` is the relative
    error that the other's rounding or our own stated error allows, or absolute where theirs is 0.
    """

    what: str
    quantity: str
    theirs: float | tuple[float, float]
    ours: float
    within: float = 0.0
    note: str = ""

    @property
    def error(self) -> float:
        """Relative; 0 inside a band, else from its nearer end."""
        if isinstance(self.theirs, tuple):
            low, high = self.theirs
            return min(self.ours - low, 0.0) / low + max(self.ours - high, 0.0) / high
        return self.ours / self.theirs - 1.0 if self.theirs else self.ours

    @property
    def agrees(self) -> bool:
        """True where the error is allowed; a band allows none."""
        allowed = 0.0 if isinstance(self.theirs, tuple) else self.within
        return abs(self.error) <= allowed + 1e-12

    @property
    def verdict(self) -> str:
        """Word in the last column."""
        return "agrees" if self.agrees else "miss"


@dataclass(frozen=True)
class Section:
    """Comparisons with one kind of source."""

    title: str
    source: str
    rows: tuple[Row, ...] = ()
    notes: tuple[str, ...] = field(default=())

    def lines(self) -> list[str]:
        """Markdown of the section."""
        out = ["", f"## {self.title}", "", self.source, ""]
        if self.rows:
            out += ["| case | quantity | theirs | ours | error | |", "|---|---|---|---|---|---|"]
            out += [_line(row) for row in self.rows]
            out += [""]
        out += [line for note in self.notes for line in (note, "")]
        return out[:-1]


def number(value: float) -> str:
    """Five digits, with thousands parted."""
    if value == 0:
        return "0"
    digits = max(4 - math.floor(math.log10(abs(value))), 0)
    text = f"{value:,.{min(digits, 7)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def percent(error: float) -> str:
    """Error in percent to two digits; the noise of floats is one word."""
    if abs(error) < NOISE:
        return "0"
    size = abs(error) * 100
    digits = max(1 - math.floor(math.log10(size)), 0)
    return f"{error * 100:+.{digits}f} %"


def _line(row: Row) -> str:
    theirs = " to ".join(map(number, row.theirs)) if isinstance(row.theirs, tuple) else number(row.theirs)
    what = f"{row.what} ({row.note})" if row.note else row.what
    return f"| {what} | {row.quantity} | {theirs} | {number(row.ours)} | {percent(row.error)} | {row.verdict} |"
