"""One table of a job file, read field by field; faults are gathered, not raised, so that all are told at once."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import InputError, QuantityError
from ropewright.quantity import Dimension, Range, UnitSystem, parse_quantity, parse_range, show

__all__ = ["Faults", "Table", "nearest_name", "segment"]

Points = NDArray[np.float64]

#: Longest text and most points of one field; a job file is written by people.
MAX_TEXT, MAX_POINTS = 300, 1000


@dataclass
class Faults:
    """What is wrong with a file so far, and what was taken for granted while reading it."""

    found: list[InputError] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    #: Kinds of things that are missing or can't be read as a whole: what refers to them is no fault of its own.
    unread: set[str] = field(default_factory=set)

    def add(self, where: str, value: object, expected: str) -> None:
        """Add a fault; tables and lists are named rather than printed."""
        self.found.append(InputError(where, _shown(value), expected))

    def note(self, text: str) -> None:
        """Add a note once."""
        if text not in self.notes:
            self.notes.append(text)


def _shown(value: object) -> object:
    """Return a value as a message can hold it."""
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, int) and abs(value) > 10**30:
        return "a huge number"
    return value[:77] + "..." if isinstance(value, str) and len(value) > 80 else value


def segment(name: str) -> str:
    """Return a name as one step of a field path, quoted where it holds a mark that paths use.

    Examples
    --------
    >>> segment("red-line"), segment("11.5 mm")
    ('red-line', '"11.5 mm"')
    """
    return f'"{name}"' if not name or set('.[]" ') & set(name) else name


def nearest_name(name: str, known: Iterable[str]) -> str:
    """Say which names would be right: the nearest one, or all of them.

    Examples
    --------
    >>> nearest_name("lenght", ["length", "rope"])
    "the nearest is 'length'"
    >>> nearest_name("zzz", ["length", "rope"])
    "known are 'length', 'rope'"
    >>> nearest_name("zzz", [])
    'none is given'
    """
    names = sorted(known)
    if not names:
        return "none is given"
    near = difflib.get_close_matches(name[:80], names, n=1)
    return f"the nearest is '{near[0]}'" if near else "known are " + ", ".join(f"'{one}'" for one in names)


class Table:
    """A TOML table with its place in the file.

    Every reading method takes the key, notes it as known, and returns None (or the default) where nothing usable
    stands; `close` then reports what is left over. Whoever reads drops all results if there were faults.
    """

    def __init__(self, raw: Mapping[str, object], path: str, faults: Faults) -> None:
        self.raw = raw
        self.path = path
        self.faults = faults
        self._known: set[str] = set()

    def where(self, key: str) -> str:
        """Path of a field of this table, as messages name it."""
        step = segment(key)
        return f"{self.path}.{step}" if self.path else step

    def get(self, key: str) -> object:
        """Value as it stands, None if there is none; counts the key as known."""
        self._known.add(key)
        return self.raw.get(key)

    def fault(self, key: str, value: object, expected: str) -> None:
        """Add a fault at a field of this table."""
        self.faults.add(self.where(key), value, expected)

    def close(self, also: Iterable[str] = ()) -> None:
        """Report every key that nobody asked for, with the nearest one that exists."""
        known = self._known | set(also)
        for key in self.raw.keys() - known:
            self.fault(key, self.raw[key], f"there is no such field here, {nearest_name(key, known)}")

    def require(self, key: str, expected: str) -> bool:
        """Say whether the field is there; if not, it is reported as missing."""
        if self.get(key) is None:
            self.fault(key, None, expected)
            return False
        return True

    # words ---------------------------------------------------------------------------------------------------------

    def text(self, key: str, *, required: str = "") -> str:
        """One line of text; empty if there is none. `required` says what to give where it may not be missing."""
        if required and not self.require(key, required):
            return ""
        value = self.get(key)
        if value is None:
            return ""
        if not isinstance(value, str) or len(value) > MAX_TEXT or not value.isprintable():
            self.fault(key, value, f"give one line of text, {MAX_TEXT} characters at most")
            return ""
        if required and not value.strip():
            self.fault(key, value, required)
        return value.strip()

    def choice(self, key: str, options: Sequence[str], *, default: str | None = None) -> str:
        """One of some words, in any case; without a default it must be given."""
        listed = " or ".join(f"'{option}'" for option in options)
        if self.get(key) is None:
            if default is None:
                self.fault(key, None, f"give {listed}")
            return default or options[0]
        value = self.text(key)
        found = {option.lower(): option for option in options}.get(value.lower())
        if found is None:
            if isinstance(self.raw[key], str) and value:
                self.fault(key, value, f"give {listed}; {nearest_name(value, options)}")
            return default or options[0]
        return found

    def word(self, key: str, canonical: Callable[[object, str], str], *, default: str = "unknown") -> str:
        """Return a trade word by its canonical name; `canonical` raises InputError for one it does not know."""
        value = self.get(key)
        if value is None:
            return default
        try:
            return canonical(_shown(value), self.where(key))
        except InputError as error:
            self.faults.found.append(error)
            return default

    def reference(self, key: str, names: Collection[str], expected: str, *, required: bool = True) -> str:
        """Return the name of something given elsewhere in the file, under the same key."""
        name = self.text(key, required=expected if required else "")
        if name and name not in names and key not in self.faults.unread:
            self.fault(key, name, f"nothing of this name is in the file, {nearest_name(name, names)}")
        return name

    def flag(self, key: str) -> bool | None:
        """Return true, false, or None where nobody said so."""
        value = self.get(key)
        if value is None or isinstance(value, bool):
            return value
        self.fault(key, value, "give true or false, without quotes")
        return None

    def day(self, key: str) -> date | None:
        """Return a date."""
        value = self.get(key)
        if isinstance(value, str):
            try:
                return date.fromisoformat(value)
            except ValueError:
                pass
        elif value is None or (isinstance(value, date) and not isinstance(value, datetime)):
            return value
        self.fault(key, value, "give a date as year-month-day, such as 2024-05-31")
        return None

    def file(self, key: str, folder: Path) -> Path | None:
        """Return a file that must be there; a relative name starts at the job file's folder."""
        name = self.text(key, required="give the name of a file")
        if not name:
            return None
        path = folder / name
        if path.is_file():
            return path
        self.fault(key, name, f"no such file; it is looked for at '{path}'")
        return None

    # numbers -------------------------------------------------------------------------------------------------------

    def quantity(
        self,
        key: str,
        dimension: Dimension,
        between: tuple[float, float],
        *,
        required: bool = False,
        unsafe: str | None = None,
    ) -> float | None:
        """One number in SI, within its ends.

        `unsafe` ('high' or 'low') allows a range, of which that end is taken and noted.
        """
        spread = self.spread(key, dimension, between, required=required, single=unsafe is None)
        if spread is None:
            return None
        if unsafe is None or spread.is_exact:
            return spread.likely
        taken = spread.high if unsafe == "high" else spread.low
        self.faults.note(f"{self.where(key)} is given as a range; its {unsafe} end is used, the unsafe one.")
        return taken

    def spread(
        self,
        key: str,
        dimension: Dimension,
        between: tuple[float, float],
        *,
        required: bool = False,
        single: bool = False,
    ) -> Range | None:
        """Return a number or a range of it in SI, within its ends."""
        value = self.get(key)
        if value is None and not required:
            return None
        return self._spread(value, self.where(key), dimension, between, single=single)

    def _spread(
        self, value: object, where: str, dimension: Dimension, between: tuple[float, float], *, single: bool
    ) -> Range | None:
        try:
            if single:
                spread = Range.exact(parse_quantity(value, dimension, where))
            else:
                spread = parse_range(value, dimension, where)
        except QuantityError as error:
            self.faults.found.append(QuantityError(error.field, _shown(error.value), error.expected))
            return None
        low, high = between
        if low <= spread.low and spread.high <= high:
            return spread
        self.faults.add(
            where, value, f"give {_noun(dimension)} from {_both(low, dimension)} to {_both(high, dimension)}"
        )
        return None

    def element(self, key: str, index: int, dimension: Dimension, between: tuple[float, float]) -> float | None:
        """One number of a list."""
        value = self.get(key)
        assert isinstance(value, list)
        spread = self._spread(value[index], f"{self.where(key)}[{index}]", dimension, between, single=True)
        return None if spread is None else spread.likely

    def point(self, key: str, *, sizes: tuple[int, ...], required: bool = False) -> Points | None:
        """Return a place: as many lengths as one of `sizes`."""
        if not required and self.get(key) is None:
            return None
        return self._point(self.get(key), self.where(key), sizes)

    def _point(self, value: object, where: str, sizes: tuple[int, ...]) -> Points | None:
        if not isinstance(value, list) or len(value) not in sizes:
            counts = " or ".join(str(size) for size in sizes)
            example = ", ".join(["'12 ft'", "'8 ft'", "'15 ft'"][: max(sizes)])
            self.faults.add(where, value, f"give {counts} lengths in brackets, such as [{example}]")
            return None
        read = [
            self._spread(one, f"{where}[{index}]", Dimension.LENGTH, (-5000.0, 5000.0), single=True)
            for index, one in enumerate(value)
        ]
        return np.array([one.likely for one in read if one is not None]) if None not in read else None

    def points(self, key: str, *, size: int, least: int, required: bool = False) -> Points | None:
        """Return a list of at least `least` places of `size` lengths each."""
        if not required and self.get(key) is None:
            return None
        return self.points_of(self.get(key), self.where(key), size=size, least=least)

    def points_of(self, value: object, where: str, *, size: int, least: int) -> Points | None:
        """Return the places in a value that stands at `where`."""
        if not isinstance(value, list) or not least <= len(value) <= MAX_POINTS:
            self.faults.add(where, value, f"give a list of {least} to {MAX_POINTS} places of {size} lengths each")
            return None
        read = [self._point(one, f"{where}[{index}]", (size,)) for index, one in enumerate(value)]
        return np.array(read) if all(one is not None for one in read) else None

    # tables --------------------------------------------------------------------------------------------------------

    def table(self, key: str) -> Table | None:
        """Return a table within this one, None if there is none."""
        value = self.get(key)
        if value is None:
            return None
        if not isinstance(value, Mapping):
            self.fault(key, value, f"give a table: a heading [{self.where(key)}] with its fields below")
            return None
        return Table(value, self.where(key), self.faults)

    def tables(self, key: str) -> list[Table]:
        """Return a list of tables, empty if there is none."""
        value = self.get(key)
        if value is None:
            return []
        if not isinstance(value, list) or not all(isinstance(one, Mapping) for one in value):
            self.fault(key, value, f"give each one its own heading [[{self.where(key)}]] in double brackets")
            self.faults.unread.add(key)
            return []
        return [Table(one, f"{self.where(key)}[{index}]", self.faults) for index, one in enumerate(value)]

    def named_tables(self, key: str) -> dict[str, Table]:
        """Return tables by their names, as in ``[rope.red]``."""
        value = self.get(key)
        if value is None:
            return {}
        if not isinstance(value, Mapping) or not all(isinstance(one, Mapping) for one in value.values()):
            self.fault(key, value, f"give each one its own heading [{self.where(key)}.NAME]")
            self.faults.unread.add(key)
            return {}
        tables = {}
        for name, one in value.items():
            if not name.strip() or not name.isprintable() or '"' in name or len(name) > MAX_TEXT:
                self.fault(key, name, "give a name of printable characters without quotes")
            tables[name] = Table(one, f"{self.where(key)}.{segment(name)}", self.faults)
        return tables


def _noun(dimension: Dimension) -> str:
    return f"{'an' if dimension.value[0] in 'aeiou' else 'a'} {dimension.value}"


def _both(value: float, dimension: Dimension) -> str:
    """Return a value in both systems of units: the job's own are not known while it is being read."""
    metric, us = (show(value, dimension, units) for units in (UnitSystem.METRIC, UnitSystem.US))
    return metric if metric == us else f"{metric} ({us})"
