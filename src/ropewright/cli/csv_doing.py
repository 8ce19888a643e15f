"""What the commands that read and write CSV files share: the file, the fate of each row, the head of the ledger."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import click

from ropewright.cli.crew_text import as_json_text, head_json
from ropewright.cli.text_table import table_lines
from ropewright.errors import FileError
from ropewright.store.csv_fate import Fate
from ropewright.store.entry import Entry, Head

__all__ = ["read_file", "tell_fates", "write_file"]

#: Rows shown of a long file; those with faults are all shown.
_SHOWN = 40


def read_file(path: Path) -> bytes:
    """Bytes of a file, or of the standard input for ``-``; never more than are read as CSV.

    Raises
    ------
    FileError
        If it can't be read or is too large.
    """
    from ropewright.store.csv_text import MOST_BYTES

    try:
        if str(path) == "-":
            content = sys.stdin.buffer.read(MOST_BYTES + 1)
        else:
            with path.open("rb") as file:
                content = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise FileError("FILE.csv", str(path), f"give a file that can be read ({error.strerror})") from error
    if len(content) > MOST_BYTES:
        raise FileError("FILE.csv", str(path), f"give a file of at most {MOST_BYTES // 1_000_000} MB")
    return content


def tell_fates(fates: Sequence[Fate], written: Sequence[Entry], head: Head, *, dry: bool, as_json: bool) -> None:
    """Say what became of each row; exit status 2 if one is wrong, so that nothing was written."""
    wrong = [fate for fate in fates if fate.faults]
    if as_json:
        document = {
            "dry_run": dry,
            "rows": [_row_json(fate) for fate in fates],
            "wrong": len(wrong),
            "written": len(written),
            "head": head_json(head),
        }
        click.echo(as_json_text(document))
    else:
        click.echo("\n".join(_lines(fates, written, head, dry=dry)))
        for fault in (fault for fate in wrong for fault in fate.faults):
            click.echo(f"error: {fault}", err=True)
    if wrong:
        sys.exit(2)


def _row_json(fate: Fate) -> dict[str, object]:
    told = [{"field": one.field, "value": _shown(one.value), "expected": one.expected} for one in fate.faults]
    verdict = "refused" if fate.faults else "taken in"
    return {
        "row": fate.row,
        "name": fate.name,
        "what": fate.what,
        "fate": verdict,
        "standing": fate.standing or None,
        "faults": told,
    }


def _shown(value: object) -> object:
    return value if isinstance(value, str | int | float | None) else str(value)


def _lines(fates: Sequence[Fate], written: Sequence[Entry], head: Head, *, dry: bool) -> Iterator[str]:
    good = [fate for fate in fates if not fate.faults][:_SHOWN]
    shown = [fate for fate in fates if fate.faults or fate in good]
    rows = [(str(one.row), one.name, one.what, one.standing, "refused" if one.faults else "taken in") for one in shown]
    yield from table_lines(("row", "code", "what", "standing", "fate"), rows)
    if len(shown) < len(fates):
        yield f"... and {len(fates) - len(shown)} more rows that are taken in"
    wrong = sum(bool(fate.faults) for fate in fates)
    if wrong:
        yield f"{wrong} of {len(fates)} rows are wrong, so nothing is written"
    elif dry:
        yield f"{len(fates)} rows can be taken in; nothing was written: a dry run"
    else:
        yield f"{len(fates)} rows taken in with {len(written)} entries; record: {head.count} entries, {head.hash}"


def write_file(path: Path, content: bytes, *, rows: int, head: Head, note: str, as_json: bool) -> None:
    """Write a file whole or not at all, and say what it was made from.

    Raises
    ------
    FileError
        If it can't be written.
    """
    from ropewright.sheets.writing import write_bytes_atomic

    try:
        write_bytes_atomic(path, content)
    except OSError as error:
        raise FileError("FILE.csv", str(path), f"give a file that can be written ({error.strerror})") from error
    if as_json:
        click.echo(as_json_text({"file": str(path), "rows": rows, "note": note, "head": head_json(head)}))
    else:
        click.echo(f"{rows} rows in {path}, from {head.count} entries, {head.hash}" + (f"; {note}" if note else ""))
