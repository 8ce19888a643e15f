"""Reading a TOML file that a person has written: bounded, and with the place where it is broken."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from ropewright.errors import FileError

__all__ = ["MAX_BYTES", "read_toml"]

#: Such files are written by people; and the parser takes more than linear time on very long lines.
MAX_BYTES, MAX_LINE = 1 << 20, 1 << 15


def read_toml(path: Path, kind: str, *, hint: str = "") -> dict[str, object]:
    """Tables of a TOML file of at most 1 MiB.

    Parameters
    ----------
    path : Path
    kind : str
        What the file should be, such as ``a job file``.
    hint : str
        Said where there is no such file.

    Returns
    -------
    dict

    Raises
    ------
    FileError
        If the file is missing, no regular file, too large, not UTF-8, or broken; then with line and column.
    """
    return _parsed(_text(path, kind, hint), path, kind)


def _text(path: Path, kind: str, hint: str) -> str:
    name = str(path)
    try:
        if path.is_dir():
            raise FileError(name, "a directory", f"give {kind} itself")
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except FileNotFoundError as error:
        raise FileError(name, None, f"there is no such file{hint and '; '}{hint}") from error
    except OSError as error:
        raise FileError(name, error.strerror, "the file must be readable") from error
    if len(data) > MAX_BYTES:
        raise FileError(name, "more than 1 MiB", f"{kind} is text of at most 1 MiB")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileError(f"byte {error.start}", data[error.start], "save the file as UTF-8 text", source=name) from error


def _parsed(text: str, path: Path, kind: str) -> dict[str, object]:
    lines = text.splitlines()
    for number, line in enumerate(lines, start=1):
        if len(line) > MAX_LINE:
            raise FileError(
                f"line {number}", f"{len(line)} characters", f"break it; {MAX_LINE} at most", source=str(path)
            )
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _broken(str(error), lines, path) from error
    except (ValueError, RecursionError) as error:  # a number of thousands of digits; brackets hundreds deep
        raise FileError("file", "a number or brackets without end", f"this is not {kind}", source=str(path)) from error


def _broken(message: str, lines: list[str], path: Path) -> FileError:
    """Say where the TOML is broken and show the line."""
    place = re.search(r" \(at line (\d+), column (\d+)\)$", message)
    told = message[: place.start()] if place else message.removesuffix(" (at end of document)")
    told = told[:1].lower() + told[1:]
    if place is None:
        return FileError("end of file", lines[-1][:80] if lines else "", f"TOML is broken: {told}", source=str(path))
    row, column = int(place[1]), int(place[2])
    shown = lines[row - 1].strip()[:80] if row <= len(lines) else ""
    return FileError(f"line {row}, column {column}", shown, f"TOML is broken: {told}", source=str(path))
