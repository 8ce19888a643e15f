"""Tables as CSV files (RFC 4180): read from whatever a spreadsheet writes, written so that none runs what is in it."""

from __future__ import annotations

import csv
import difflib
import io
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from ropewright.errors import FileError, InputError, InputErrors
from ropewright.store.entry import Head

__all__ = ["MOST_BYTES", "MOST_ROWS", "CsvRow", "read_csv", "write_csv"]

#: Largest file, most rows, most columns, and longest cell that are read; whatever is larger is something else.
MOST_BYTES, MOST_ROWS, _MOST_COLUMNS, _MOST_CELL = 8_000_000, 20_000, 100, 4_000

#: Marks that make a spreadsheet take a cell for a formula when they stand first; an apostrophe before one stops it.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "'")

#: Header of the column that carries the head of the record, and no cells.
_RECORD = "record"

_BOMS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))


@dataclass(frozen=True, slots=True)
class CsvRow:
    """One row: its number, as a spreadsheet counts it, and what stands in its cells that are not blank, by header."""

    number: int
    cells: Mapping[str, str]

    def named(self, header: str) -> str:
        """How a cell is called in errors."""
        return f"row {self.number}, {header}"


def read_csv(content: bytes, headers: Collection[str], units: Mapping[str, Sequence[str]]) -> list[CsvRow]:
    """Rows of a file.

    Parameters
    ----------
    content : bytes
        UTF-8, or UTF-16 with its byte order mark; comma, semicolon or tab between cells.
    headers : collection of str
        Names of columns that are known, in lower case. In the file their case does not matter.
    units : mapping of str to sequence of str
        Headers of quantities -> units that may stand behind them, as in ``length (m)``; a bare number below takes
        that unit.

    Returns
    -------
    list of CsvRow
        Blank rows are left out.

    Raises
    ------
    FileError, InputErrors
        For a file that can't be read, or headers that are not known; nothing is guessed.
    """
    if len(content) > MOST_BYTES:
        raise FileError("file", f"{len(content)} bytes", f"give a file of at most {MOST_BYTES // 1_000_000} MB")
    lines = _lines(_text(content), headers)
    if not lines:
        raise FileError("file", None, "the file is empty; its first row names the columns")
    columns = _columns(lines[0][1], headers, units)
    if len(lines) - 1 > MOST_ROWS:
        raise FileError("file", f"{len(lines) - 1} rows", f"give at most {MOST_ROWS} rows")
    faults: list[InputError] = []
    rows = [_row(number, cells, columns, faults) for number, cells in lines[1:]]
    if faults:
        raise InputErrors(f"{len(faults)} faults", faults)
    return rows


def _text(content: bytes) -> str:
    encoding = next((name for mark, name in _BOMS if content.startswith(mark)), "utf-8")
    right = "save it as CSV in UTF-8, or as UTF-16 with its byte order mark"
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError as error:
        raise FileError("file", f"bytes that are no {encoding.upper()}", right) from error
    if "\x00" in text:
        raise FileError("file", "a null character", right)
    return text


def _lines(text: str, headers: Collection[str]) -> list[tuple[int, list[str]]]:
    """Rows that are not blank, each with its number, parted by the mark that gives the most known headers."""
    return _parsed(text, max(",;\t", key=lambda mark: _known(text, mark, headers)))


def _known(text: str, mark: str, headers: Collection[str]) -> int:
    """How many headers are known if cells are parted by this mark."""
    first = next(iter(text.splitlines()), "")[:_MOST_CELL]
    try:
        cells = next(csv.reader([first], delimiter=mark), [])
    except csv.Error:
        return 0
    return sum(_bare(cell)[0] in headers for cell in cells)


def _parsed(text: str, mark: str) -> list[tuple[int, list[str]]]:
    found: list[tuple[int, list[str]]] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    number = 0
    try:
        for number, cells in enumerate(reader, 1):
            if len(found) > MOST_ROWS + 1:
                break
            if any(cell.strip() for cell in cells):
                found.append((number, cells))
    except csv.Error as error:
        raise FileError(f"row {number + 1}", None, f"the row can't be read as CSV: {error}") from error
    return found


def _bare(cell: str) -> tuple[str, str]:
    """Name and unit of a header: ``Length (m)`` -> ``length``, ``m``."""
    plain = " ".join(cell.replace("_", " ").split())
    for left, right in ("()", "[]"):
        name, opened, rest = plain.partition(left)
        if opened and rest.endswith(right):
            return name.strip().lower(), rest[:-1].strip()
    return plain.lower(), ""


def _columns(cells: Sequence[str], headers: Collection[str], units: Mapping[str, Sequence[str]]) -> list[_Column]:
    faults: list[InputError] = []
    columns: list[_Column] = []
    if len(cells) > _MOST_COLUMNS:
        raise FileError("row 1", f"{len(cells)} columns", f"give at most {_MOST_COLUMNS} columns")
    for cell in cells:
        name, unit = _bare(cell)
        if name in ("", _RECORD):  # the head of the record that it was written from: no cells stand below
            columns.append(_Column("", ""))
            continue
        if name not in headers:
            near = difflib.get_close_matches(name[:80], headers, n=1)
            hint = f"did you mean {near[0]!r}?" if near else f"known are {', '.join(sorted(headers))}"
            faults.append(InputError("row 1", cell[:60], f"there is no such column; {hint}"))
        elif name in {column.name for column in columns}:
            faults.append(InputError("row 1", cell[:60], "this column is there twice"))
        elif unit and unit not in units.get(name, ()):
            known = ", ".join(units.get(name, ()))
            right = f"write one of {known} there" if known else "this column has no unit"
            faults.append(InputError("row 1", cell[:60], right))
        columns.append(_Column(name, unit))
    if faults:
        raise InputErrors(f"{len(faults)} faults", faults)
    return columns


@dataclass(frozen=True, slots=True)
class _Column:
    """A column: its name, empty for one without a header, and the unit of bare numbers in it."""

    name: str
    unit: str


def _row(number: int, cells: Sequence[str], columns: Sequence[_Column], faults: list[InputError]) -> CsvRow:
    told: dict[str, str] = {}
    for place, cell in enumerate(cells):
        text = _undefused(cell).strip()
        if not text:
            continue
        name = columns[place].name if place < len(columns) else ""
        if not name:
            faults.append(InputError(f"row {number}", text[:40], f"cell {place + 1} stands under no header"))
        elif len(text) > _MOST_CELL:
            faults.append(
                InputError(f"row {number}, {name}", text[:40] + "...", f"give at most {_MOST_CELL} characters")
            )
        else:
            told[name] = f"{text} {columns[place].unit}" if columns[place].unit and _is_number(text) else text
    return CsvRow(number, told)


def _is_number(text: str) -> bool:
    return text.isascii() and text.replace(".", "", 1).isdecimal()


def _defused(cell: str) -> str:
    return f"'{cell}" if cell.startswith(_FORMULA) else cell


def _undefused(cell: str) -> str:
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(_FORMULA) else cell


def write_csv(headers: Sequence[str], rows: Iterable[Mapping[str, str]], head: Head | None = None) -> bytes:
    r"""Return a table as UTF-8 with its byte order mark, CRLF, and commas; `read_csv` gives back the same cells.

    With the head of a record, a last column without cells carries it in its header, ``record (COUNT:HASH)``, so that
    the file can tell later whether the record was cut short.

    Notes
    -----
    Cells that a spreadsheet would take for a formula begin with an apostrophe, which `read_csv` takes away.

    Examples
    --------
    >>> write_csv(["tag", "note"], [{"tag": "R-001", "note": "=1+1"}]).decode("utf-8-sig")
    "tag,note\r\nR-001,'=1+1\r\n"
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([*headers] if head is None else [*headers, f"{_RECORD} ({head.count}:{head.hash})"])
    for row in rows:
        writer.writerow([_defused(row.get(header, "")) for header in headers])
    return out.getvalue().encode("utf-8-sig")
