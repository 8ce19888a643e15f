"""Following the chain of entries: which rows follow from what stood before, and why one does not."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from hashlib import sha256
from json.encoder import encode_basestring
from typing import TypeAlias

from ropewright.store.canonical import GENESIS, entry_hash, entry_text
from ropewright.store.entry import Head

__all__ = ["START", "Break", "Row", "explained", "followed", "held_against"]

#: An entry as its table holds it: number, at, written, kind, subject, by, body, previous, hash.
Row: TypeAlias = tuple[int, str, str, str, str, str, str, str, str]

#: What stands before the first entry.
START = Head(0, GENESIS)


@dataclass(frozen=True, slots=True)
class Break:
    """The first thing in a record that isn't as it was written.

    Attributes
    ----------
    what : str
        ``entry``, ``state``, ``file`` or ``tables``; ``bundle`` for one that isn't as it was signed.
    number : int or None
        Entry that it concerns, where there is one.
    why : str
        One word: ``altered``, ``dropped``, ``reordered``, ``inserted``, ``cut-off``, ``rewritten``, ``unreadable``,
        ``missing``.
    words : str
        The same in a sentence.
    """

    what: str
    number: int | None
    why: str
    words: str


def followed(rows: Iterable[Row], head: Head = START) -> tuple[Head, Row | None]:
    """Head after the last row that follows, and the first row that doesn't (None if all do).

    Parameters
    ----------
    rows : iterable of Row
        In order.
    head : Head, optional
        What stands before the first of them.

    Notes
    -----
    A row follows if its number is the next, `previous` is the hash before and its own hash is the SHA-256 of the
    canonical JSON of all its other columns. The text is the one of `canonical.entry_text`, written out here because a
    call for each of a million entries costs a fifth of the time (a test compares the two).
    """
    count, last = head.count, head.hash
    quoted = encode_basestring
    for row in rows:
        try:
            number, at, written, kind, subject, by, body, previous, digest = row
            text = (
                f'{{"at":{quoted(at)},"body":{body},"by":{quoted(by)},"kind":{quoted(kind)},"number":{number},'
                f'"previous":"{last}","subject":{quoted(subject)},"written":{quoted(written)}}}'
            )
            follows = sha256(text.encode()).hexdigest() == digest and previous == last and number == count + 1
        except (TypeError, UnicodeEncodeError):  # no text, or text that isn't UTF-8
            follows = False
        if not follows:
            return Head(count, last), row
        count, last = number, digest
    return Head(count, last), None


def explained(bad: Row, head: Head, rows: Callable[[], Iterable[Row]]) -> Break:
    """Why a row doesn't follow, and which entry is the first that isn't as it was written.

    Parameters
    ----------
    bad : Row
        The first row that doesn't follow.
    head : Head
        What stands before it.
    rows : callable
        Gives all rows of the record in order, anew at each call.

    Notes
    -----
    A row that was moved still makes its hash under the number that it had, which tells a move from a change.
    """
    expected = head.count + 1
    if bad[0] != expected:
        return _out_of_place(bad[0], expected)
    had = _number_it_had(bad, rows)
    if had is None:
        return Break("entry", expected, "altered", f"entry {expected} was altered: it doesn't make its own hash")
    if had == expected:
        return _replaced(bad, head, rows)
    if had < expected:
        return _pushed_back(bad, had, rows)
    if any(row[7] == head.hash for row in rows() if row[0] > expected):
        return Break("entry", expected, "reordered", f"entry {had} stands in the place of entry {expected}")
    return Break("entry", expected, "dropped", f"entry {expected} was dropped: entry {had} stands in its place")


def _out_of_place(number: object, expected: int) -> Break:
    if isinstance(number, int) and number > expected:
        return Break("entry", expected, "dropped", f"entry {expected} was dropped: entry {number} comes next")
    return Break("entry", expected, "inserted", f"an entry numbered {number} was inserted before entry {expected}")


def _makes_its_hash(row: Row, number: int) -> bool:
    try:
        return entry_hash(entry_text(number, *row[1:8])) == row[8]
    except (TypeError, UnicodeEncodeError):
        return False


def _number_it_had(row: Row, rows: Callable[[], Iterable[Row]]) -> int | None:
    """Return the number under which a row makes its hash."""
    if _makes_its_hash(row, row[0]):
        return row[0]
    last = max(other[0] for other in rows())
    # so many may have been dropped and the rest numbered anew; beyond that a move is called a change
    return next((number for number in range(1, 2 * last + 1000) if _makes_its_hash(row, number)), None)


def _replaced(bad: Row, head: Head, rows: Callable[[], Iterable[Row]]) -> Break:
    """A row that makes its hash but names another before it: this one or that before was made anew."""
    expected = head.count + 1
    for row in rows():
        if row[0] < head.count and row[8] == bad[7]:
            words = f"entry {row[0] + 1} was inserted: entry {expected} was written after entry {row[0]}"
            return Break("entry", row[0] + 1, "inserted", words)
    after = next((row for row in rows() if row[0] > expected), None)
    if head.count and after is not None and after[7] == bad[8]:  # what follows vouches for this one
        words = f"entry {head.count} was altered: entry {expected} was written after another"
        return Break("entry", head.count, "altered", words)
    return Break("entry", expected, "altered", f"entry {expected} was altered: it names another entry before it")


def _pushed_back(bad: Row, had: int, rows: Callable[[], Iterable[Row]]) -> Break:
    """A row that stands later than it was written: something was inserted before it."""
    stands = next((row for row in rows() if row[0] == had), None)
    first = bad[0] if stands is not None and stands[8] == bad[8] else had  # the same twice: the second is too many
    return Break("entry", first, "inserted", f"entry {first} was inserted: what follows was written before it came")


def held_against(head: Head, printed: Head, hash_there: str | None) -> Break | None:
    """What a head that was printed earlier says of a chain that is whole in itself.

    Parameters
    ----------
    head : Head
        Of the record now.
    printed : Head
    hash_there : str or None
        Hash of the entry that has the number of the printed head now; None if there is none.
    """
    if printed.count > head.count:
        words = f"the last {printed.count - head.count} entries were cut off: there were {printed.count}"
        return Break("entry", head.count + 1, "cut-off", words)
    if hash_there != printed.hash:
        words = (
            f"entry {printed.count} isn't the one that was printed: the chain was made anew from there or from an "
            "entry before on, or the print is of another record"
        )
        return Break("entry", printed.count, "rewritten", words)
    return None
