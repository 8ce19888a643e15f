"""What becomes of each row of a file that is read into the record, and reading all of them or none."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from ropewright.errors import InputError, InputErrors
from ropewright.store.entry import Draft, Entry, Fold, State
from ropewright.store.reading import Record, View

__all__ = ["Fate", "all_or_none", "each_fault", "in_order", "tried"]

#: Stands for the hash of an entry that is only tried.
_NO_HASH = "0" * 64


@dataclass(frozen=True, slots=True)
class Fate:
    """What becomes of one row.

    Attributes
    ----------
    row : int
        Its number in the file; the header is row 1.
    name : str
        Tag or code, as far as it could be read.
    what : str
        What it is, such as ``rope`` or ``training``.
    phases : tuple of tuple of Draft
        Entries that it makes; those of all rows in one phase are written before those of the next.
    standing : str
        How its subject stands afterwards; empty where nothing is made of it.
    faults : tuple of InputError
        Why nothing is; empty if it can be taken in.
    """

    row: int
    name: str
    what: str
    phases: tuple[tuple[Draft, ...], ...] = ()
    standing: str = ""
    faults: tuple[InputError, ...] = ()


def each_fault(error: InputError | InputErrors) -> Iterator[InputError]:
    """Every fault of an error, however deep it lies."""
    if isinstance(error, InputErrors):
        for one in error.exceptions:
            yield from each_fault(one)  # type: ignore[arg-type]
    else:
        yield error


def tried(fold: Fold, drafts: Sequence[Draft], before: Mapping[str, State] | None = None) -> dict[str, State]:
    """States that drafts would make, by subject; nothing is written.

    Parameters
    ----------
    fold : callable
        Of the family of all of them.
    drafts : sequence of Draft
    before : mapping of str to State, optional
        States of subjects that are there already.
    """
    states = dict(before or {})
    for number, draft in enumerate(drafts, 1):
        entry = Entry(number, "", "", draft.kind, draft.subject, draft.by, draft.body, _NO_HASH, _NO_HASH)
        states[draft.subject] = fold(states.get(draft.subject), entry)
    return states


def in_order(fates: Sequence[Fate]) -> list[Draft]:
    """Entries of all rows, phase by phase."""
    most = max((len(fate.phases) for fate in fates), default=0)
    return [draft for phase in range(most) for fate in fates for draft in (fate.phases[phase : phase + 1] or ((),))[0]]


def all_or_none(record: Record, fates: Callable[[View], list[Fate]], *, dry: bool) -> tuple[list[Fate], list[Entry]]:
    """Fates of all rows, and the entries written: those of all rows in one write, or none if one row is wrong.

    Parameters
    ----------
    record : Record
    fates : callable
        Says what becomes of the rows on the record as it is.
    dry : bool
        Only say it.
    """
    found: list[Fate] = []

    def decide(view: View) -> list[Draft]:
        found[:] = fates(view)
        wrong = any(fate.faults for fate in found)
        return [] if dry or wrong else in_order(found)

    if dry:
        with record.read() as view:
            decide(view)
        return found, []
    return found, record.write(decide)
