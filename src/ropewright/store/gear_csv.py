"""Gear from a spreadsheet: each row of a CSV file -> the entries that take the piece in as it stands."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from ropewright.errors import InputError, InputErrors
from ropewright.store.csv_fate import Fate, each_fault, tried
from ropewright.store.csv_text import CsvRow, read_csv
from ropewright.store.entry import Draft
from ropewright.store.gear_csv_entries import GearRow
from ropewright.store.gear_fields import gear_fields, read_told
from ropewright.store.gear_kit import put_in
from ropewright.store.gear_piece import Act, Piece
from ropewright.store.gear_receive import new_piece
from ropewright.store.gear_state import fold
from ropewright.store.gear_words import GearKind, gear_kinds, read_kind, read_tag, subject_of
from ropewright.store.reading import View

__all__ = ["Intervals", "gear_fates", "gear_headers", "header_of"]

#: Kind of gear -> its intervals of inspection under the rules in force.
Intervals = Callable[[str], Mapping[str, Any]]

#: Columns that are no fields of gear but tell how a piece stands and what it has been through.
_OF_STANDING = ("standing", "since", "reason", "fallen", "holder", "job", "out since", "kit", "received")
_OF_HISTORY = (
    *("inspected", "inspected by", "examined", "examined by", "grounds", "found", "found on", "found by"),
    *("days out", "cleared", "cleared by", "cleared finding"),
)

#: Units that may stand in a header, by the type of its field.
_UNITS: Mapping[str, tuple[str, ...]] = {
    "length": ("m", "cm", "mm", "ft", "in"),
    "force": ("kN", "N", "lbf", "kgf"),
    "mass": ("kg", "lb"),
    "hours": ("h", "hours"),
}


def header_of(key: str) -> str:
    """Header of a field: its option without dashes.

    Examples
    --------
    >>> header_of("user_mass_kg"), header_of("length_m")
    ('user mass', 'length')
    """
    return gear_fields()[key].option.removeprefix("--").replace("-", " ")


def gear_headers() -> tuple[str, ...]:
    """Every header, in the order in which they are written."""
    return ("tag", "kind", *_OF_STANDING, *map(header_of, gear_fields()), *_OF_HISTORY)


def gear_fates(content: bytes, view: View, *, by: str, today: date, intervals: Intervals | None = None) -> list[Fate]:
    """What becomes of each row of a file.

    Parameters
    ----------
    content : bytes
    view : View
        The record as it is: no code is given twice.
    by : str
        Who says so.
    today : date
    intervals : callable, optional
        Intervals of inspection in force.

    Returns
    -------
    list of Fate
        In the order of the file.

    Raises
    ------
    FileError, InputErrors
        If the file or its headers can't be read at all.
    """
    units = {header_of(key): _UNITS[one.type] for key, one in gear_fields().items() if one.type in _UNITS}
    rows = read_csv(content, gear_headers(), units)
    reading = _Reading(view, by, today, intervals)
    fates = [reading.fate(row) for row in rows]
    return [reading.in_kit(fate, row) for fate, row in zip(fates, rows, strict=True)]


@dataclass
class _Reading:
    """What rows are read with, and the pieces that they have made so far."""

    view: View
    by: str
    today: date
    intervals: Intervals | None
    #: Code -> row that gave it out, and the piece as it stands when it has only been received.
    rows: dict[str, int] = field(default_factory=dict)
    made: dict[str, Piece] = field(default_factory=dict)

    def fate(self, row: CsvRow) -> Fate:
        """What becomes of a row by itself, without its kit."""
        name, what = row.cells.get("tag", "")[:40], row.cells.get("kind", "")[:40]
        try:
            kind, tag = self._kind_and_tag(row)
            name, what = tag, kind.name
            received, later = self._drafts(row, kind, tag)
            self.made[tag] = Piece(tried(fold, received)[subject_of(tag)])
            standing = tried(fold, [*received, *later])[subject_of(tag)].standing
        except (InputError, InputErrors) as error:
            return Fate(row.number, name, what, faults=tuple(_placed(one, row) for one in each_fault(error)))
        return Fate(row.number, tag, what, (tuple(received), (), tuple(later)), standing)

    def _kind_and_tag(self, row: CsvRow) -> tuple[GearKind, str]:
        kind = read_kind(row.cells["kind"], row.named("kind")) if "kind" in row.cells else None
        if kind is None:
            raise InputError(row.named("kind"), None, f"give one of {', '.join(gear_kinds())}")
        if "tag" not in row.cells:
            raise InputError(row.named("tag"), None, "give each piece its code, such as R-001")
        tag = read_tag(row.cells["tag"], row.named("tag"))
        if tag in self.rows:
            raise InputError(row.named("tag"), tag, f"row {self.rows[tag]} has this code too")
        self.rows[tag] = row.number
        return kind, tag

    def _drafts(self, row: CsvRow, kind: GearKind, tag: str) -> tuple[list[Draft], list[Draft]]:
        """Entries that take the piece in, and those after which it stands as the row tells."""
        told = _told(row, kind)
        piece = GearRow(row, tag, self.by, self.today)
        received = piece.day("received") or self.today
        cleared, fresh = _falls_apart(piece, told)
        first_use = None
        if piece.starts(told):
            text = told.pop("first_use", None)
            first_use = received if text is None else date.fromisoformat(text)
        intervals = self.intervals(kind.name) if self.intervals and kind.in_chain else None
        act = Act(self.by, received, self.today)
        drafts = new_piece(self.view, kind, tag, told, act, intervals=intervals)
        caught = [draft for draft in drafts if draft.kind == "gear.quarantined"]
        taken = [draft for draft in drafts if draft not in caught]
        caught += piece.falls_of_new(fresh)
        return taken, [*piece.history(first_use, cleared), *piece.outcome(caught)]

    def in_kit(self, fate: Fate, row: CsvRow) -> Fate:
        """Put the piece of a row into its kit, which may stand in the file or in the record."""
        if fate.faults or "kit" not in row.cells:
            return fate
        try:
            act = Act(self.by, self.today, self.today)
            drafts = put_in(self._kit(row), self.made[fate.name], act)
        except InputError as error:
            return replace(fate, phases=(), standing="", faults=(_placed(error, row),))
        return replace(fate, phases=(fate.phases[0], tuple(drafts), fate.phases[2]))

    def _kit(self, row: CsvRow) -> Piece:
        tag = read_tag(row.cells["kit"], row.named("kit"))
        state = self.view.state(subject_of(tag))
        if tag in self.made:
            return self.made[tag]
        if state is None:
            raise InputError(row.named("kit"), tag, "neither the file nor the record has this kit")
        return Piece(state)


def _falls_apart(piece: GearRow, told: dict[str, Any]) -> tuple[int, int]:
    """Leave the falls that become entries of their own out of those before the record.

    Returns how many were cleared, and how many something caught that is called new: it was new before them.
    """
    falls, is_cleared = len(piece.falls()), piece.day("cleared") is not None
    catches = told.get("catches")
    if catches is None:
        return int(is_cleared), 0
    if catches < falls + is_cleared:
        raise piece.refuse("catches", f"the row tells of {falls + is_cleared} falls; count them all")
    rest = int(catches) - falls
    if is_cleared or told.get("wear") == "new":
        told["catches"] = 0
        return (rest, 0) if is_cleared else (0, rest)
    told["catches"] = rest
    return 0, 0


def _told(row: CsvRow, kind: GearKind) -> dict[str, Any]:
    """Fields of gear that a row tells."""
    texts, names, faults = {}, {}, []
    for key, one in gear_fields().items():
        header = header_of(key)
        if header not in row.cells:
            continue
        texts[key], names[key] = row.cells[header], row.named(header)
        if one.type in _UNITS and "," in row.cells[header]:
            right = "write it without a comma: whether it parts thousands or decimals can't be told"
            faults.append(InputError(row.named(header), row.cells[header], right))
    if faults:
        raise InputErrors(f"{len(faults)} faults", faults)
    return read_told(kind, texts, names)


def _placed(fault: InputError, row: CsvRow) -> InputError:
    """Return the fault with its row."""
    if fault.field.startswith("row "):
        return fault
    header = header_of(fault.field) if fault.field in gear_fields() else fault.field
    return InputError(row.named(header), fault.value, fault.expected)
