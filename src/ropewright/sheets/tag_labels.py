"""Labels of gear with a code to scan (ISO/IEC 18004), on a grid of plain paper."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from urllib.parse import quote, urlsplit

from ropewright.errors import InputError
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.sheets.labels import text_width
from ropewright.sheets.pdf import compiled
from ropewright.store.entry import Head
from ropewright.store.gear_piece import Piece

__all__ = ["Grid", "code_text", "labels_content", "piece_lines", "read_base", "read_grid", "tag_labels_pdf"]

#: Stands in the file, so that the bytes depend on nothing but the record.
_NO_DATE = date(2000, 1, 1)

#: Width and height of paper. [mm] (ISO 216; ANSI/ASME Y14.1)
_PAPER = {"a4": (210.0, 297.0), "us-letter": (215.9, 279.4)}

#: Round the grid, for printers that can't print to the edge. [mm]
_MARGIN = 10.0

#: Narrowest and lowest label on which a code of two metres' reading ease fits beside a tag. [mm]
_LEAST_WIDTH, _LEAST_HEIGHT = 36.0, 18.0

#: Longest tag that stands on one line. [character]
_LONGEST = 10

#: Size of a point. [mm]
_POINT = 25.4 / 72

_NO_BASE = "give an address that begins with http:// or https://, such as http://192.0.2.7:8000"


@dataclass(frozen=True, slots=True)
class Grid:
    """Labels down and across a sheet."""

    rows: int
    columns: int
    paper: str

    @property
    def cell(self) -> tuple[float, float]:
        """Width and height of a label. [mm]"""
        width, height = _PAPER[self.paper]
        return (width - 2 * _MARGIN) / self.columns, (height - 2 * _MARGIN) / self.rows


def read_grid(text: str, paper: str, field: str) -> Grid:
    """Grid of a text such as ``8x3``, rows by columns.

    Raises
    ------
    InputError
        If it is none, or its labels would be too small to read.

    Examples
    --------
    >>> read_grid("8x3", "a4", "--grid").cell
    (63.333333333333336, 34.625)
    """
    first, _, second = text.lower().replace(" ", "").partition("x")
    if not (first.isdecimal() and second.isdecimal() and first.isascii() and second.isascii() and len(text) <= 9):
        raise InputError(field, text, "give rows and columns, such as 8x3")
    rows, columns = int(first), int(second)
    most_rows, most_columns = (
        int((size - 2 * _MARGIN) // least)
        for size, least in zip(reversed(_PAPER[paper]), (_LEAST_HEIGHT, _LEAST_WIDTH), strict=True)
    )
    if not (1 <= rows <= most_rows and 1 <= columns <= most_columns):
        raise InputError(field, text, f"give 1 to {most_rows} rows and 1 to {most_columns} columns")
    return Grid(rows, columns, paper)


def read_base(text: str, field: str) -> str:
    """Address that the pages are served at, without a slash at its end.

    Examples
    --------
    >>> read_base("http://192.0.2.7:8000/", "--address")
    'http://192.0.2.7:8000'
    """
    try:
        parts = urlsplit(text.strip())
        named = parts.hostname
        _ = parts.port
    except ValueError as error:
        raise InputError(field, text, _NO_BASE) from error
    plain = text.strip().isascii() and not any(sign.isspace() or not sign.isprintable() for sign in text.strip())
    if parts.scheme not in ("http", "https") or not named or parts.query or parts.fragment or not plain:
        raise InputError(field, text[:60], _NO_BASE)
    if parts.username or parts.password:
        raise InputError(field, "an address with a name in it", "leave name and password out: labels are public")
    return text.strip().rstrip("/")


def code_text(tag: str, base: str | None) -> str:
    """Return what the code of a piece says: the address of its page, or the tag alone where no address is told.

    Examples
    --------
    >>> code_text("R-001", None), code_text("R-001", "http://192.0.2.7:8000")
    ('ropewright:R-001', 'http://192.0.2.7:8000/gear/R-001')
    """
    safe = quote(tag, safe="")
    return f"ropewright:{safe}" if base is None else f"{base}/gear/{safe}"


def tag_labels_pdf(
    pieces: Sequence[Piece], grid: Grid, head: Head, *, base: str | None, units: UnitSystem, skip: int = 0
) -> bytes:
    """Return labels as a tagged PDF (PDF/UA-1), the same bytes for the same record.

    Parameters
    ----------
    pieces : sequence of Piece
        At least one.
    grid : Grid
    head : Head
        Of the ledger that they were read from; stands at the foot of each sheet.
    base : str or None
        As `read_base` gives it.
    units : UnitSystem
    skip : int
        Places at the start of the first sheet that were used before.

    Raises
    ------
    InputError
        If there are no pieces, or the first sheet has no place left.
    """
    places = grid.rows * grid.columns
    if not pieces:
        raise InputError("TAG", None, "name the pieces to label, or --all")
    if not 0 <= skip < places:
        raise InputError("--skip", skip, f"give 0 to {places - 1}: the sheet has {places} places")
    content = labels_content(pieces, grid, head, base=base, units=units, skip=skip)
    return compiled(content, _NO_DATE, template="tags")


def labels_content(
    pieces: Sequence[Piece], grid: Grid, head: Head, *, base: str | None, units: UnitSystem, skip: int = 0
) -> dict[str, Any]:
    """Return what the template is filled with; parameters as of `tag_labels_pdf`."""
    places = grid.rows * grid.columns
    width, height = grid.cell
    code = min(height - 4.0, 0.5 * (width - 4.0))
    look = _Look(width - 4.0 - code - 1.5, height, max(5.5, min(9.0, 0.08 * height / _POINT)))
    cells = [_EMPTY] * skip + [_label(piece, base, units, look) for piece in pieces]
    return {
        "sheets": [cells[at : at + places] for at in range(0, len(cells), places)],
        "columns": grid.columns,
        "paper": dict(zip(("width", "height"), _PAPER[grid.paper], strict=True)),
        "cell": {"width": width, "height": height},
        "margin": _MARGIN,
        "code": code,
        "small": look.small,
        "foot": f"From a record of {head.count} entries, the last {head.hash}",
    }


@dataclass(frozen=True, slots=True)
class _Look:
    """Room for words beside a code [mm], height of a label [mm] and size of the small print [pt]."""

    room: float
    height: float
    small: float

    def fits(self, line: str) -> bool:
        return text_width(line, self.small * _POINT) <= self.room


#: A place that stays free.
_EMPTY: dict[str, Any] = {}


def _label(piece: Piece, base: str | None, units: UnitSystem, look: _Look) -> dict[str, Any]:
    text = code_text(piece.tag, base)
    tag = _parted(piece.tag)
    most = max(text_width(part, 1.0, bold=True) for part in tag)
    return {
        "tag": tag,
        "lines": [_cut(line, look) for line in piece_lines(piece, units)],
        "size": min(24.0, 0.3 * look.height / _POINT / len(tag), look.room / (most * _POINT)),
        "svg": _svg(text),
        "says": f"Code of {piece.tag}: {text}",
    }


def _cut(line: str, look: _Look) -> str:
    """Return a line cut until it fits beside the code."""
    if look.fits(line):
        return line
    return next((line[:end].rstrip() + "…" for end in range(len(line) - 1, 0, -1) if look.fits(line[:end] + "…")), "")


def _parted(tag: str) -> list[str]:
    """Return a long tag as two lines, parted behind the mark that is nearest to its middle."""
    breaks = [at + 1 for at, sign in enumerate(tag) if sign in "-._"]
    if len(tag) <= _LONGEST or not breaks:
        return [tag]
    at = min(breaks, key=lambda place: abs(place - len(tag) / 2))
    return [tag[:at], tag[at:]]


def _svg(text: str) -> str:
    """Code as an SVG of black squares on white, with the quiet zone of four modules round it."""
    import segno

    out = io.BytesIO()
    # a quarter of the code may be scratched off (level Q) and it still reads
    segno.make(text, error="q", micro=False, boost_error=True).save(
        out, kind="svg", border=4, dark="#000", light="#fff", xmldecl=False, svgns=True, omitsize=True
    )
    return out.getvalue().decode()


def piece_lines(piece: Piece, units: UnitSystem) -> Iterator[str]:
    """Short lines that say what a piece is, so that a label on the wrong piece is seen."""
    told = piece.told
    parts = [piece.kind.name]
    if told.get("diameter_m"):
        parts.append(show(told["diameter_m"], Dimension.LENGTH, units, style="short"))
    if told.get("size"):
        parts.append(f"size {told['size']}")
    yield " ".join(parts)
    if told.get("fibre"):
        yield " ".join(_words((told["fibre"], told.get("construction"))))
    if piece.length is not None:
        yield show(piece.length, Dimension.LENGTH, units, toward="low")
    if told.get("serial"):
        yield f"no. {told['serial']}"


def _words(words: Iterable[str | None]) -> Iterator[str]:
    yield from (word for word in words if word)
