"""A stranger's file as bytes or text: a plain file, no larger than what holds roofs."""

from __future__ import annotations

import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ropewright.errors import FileError

__all__ = ["BROKEN", "bounded_bytes", "bounded_text", "first_bytes", "refuses_broken"]

#: What libraries that read other programs' files raise on broken ones, besides errors of their own.
BROKEN = (ArithmeticError, AssertionError, AttributeError, EOFError, LookupError, RuntimeError, TypeError, ValueError)


def bounded_bytes(path: Path, most: int) -> bytes:
    """Content of a plain file of at most `most` bytes.

    Raises
    ------
    FileError
        If it is too large, can't be read, or is no plain file: a device or a pipe may never end.
    """
    content = _begin(path, most + 1, most)
    if len(content) > most:  # it grew meanwhile
        raise FileError("size", f"more than {most} bytes", f"give a file of at most {most} bytes")
    return content


def first_bytes(path: Path, count: int) -> bytes:
    """First bytes of a plain file, to tell what it is.

    Raises
    ------
    FileError
        As `bounded_bytes`.
    """
    return _begin(path, count, None)


def _begin(path: Path, count: int, most: int | None) -> bytes:
    try:
        found = path.stat()
        if most is not None and found.st_size > most:
            raise FileError("size", f"{found.st_size} bytes", f"give a file of at most {most} bytes")
        if not (stat.S_ISREG(found.st_mode) or stat.S_ISDIR(found.st_mode)):
            raise FileError("file", "no plain file", "give a file that can be read")
        with path.open("rb") as file:
            return file.read(count)
    except OSError as error:
        raise FileError("file", error.strerror or str(error), "give a file that can be read") from error
    except ValueError as error:  # a name with a null in it
        raise FileError("file", str(error), "give a file that can be read") from error


def bounded_text(path: Path, most: int) -> str:
    """Content of a plain file in UTF-8, its byte order mark left out.

    Raises
    ------
    FileError
        As `bounded_bytes`, and if it is not UTF-8.
    """
    try:
        return bounded_bytes(path, most).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileError(f"byte {error.start}", error.reason, "give a file in UTF-8") from error


@contextmanager
def refuses_broken(field: str, expected: str) -> Iterator[None]:
    """Turn what a library raises over a broken file into a FileError at `field`.

    Only around calls of that library: mistakes of this program's own must not be taken for a broken file.
    """
    try:
        yield
    except BROKEN as error:
        found = f"{type(error).__name__}: {error}".split("\n", 1)[0][:120]
        raise FileError(field, found, expected) from error
