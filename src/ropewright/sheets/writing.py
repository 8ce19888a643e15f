"""Files written whole or not at all."""

from __future__ import annotations

import os
import secrets
from collections.abc import Mapping
from errno import EISDIR
from pathlib import Path

__all__ = ["write_all_atomic", "write_bytes_atomic", "write_text_atomic"]


def write_bytes_atomic(path: Path | str, content: bytes) -> Path:
    """Path of the file after it was replaced by `content` in one step.

    The bytes are written beside the file and renamed over it, so that whoever opens it sees the old sheet or the
    new one, never half of one.

    Parameters
    ----------
    path : Path or str
        Where to; the folder must exist.
    content : bytes

    Returns
    -------
    Path

    Raises
    ------
    OSError
        If the folder can't be written to; nothing is left behind then.

    Examples
    --------
    >>> import tempfile
    >>> folder = tempfile.mkdtemp()
    >>> write_bytes_atomic(Path(folder) / "plan.pdf", b"new").read_bytes()
    b'new'
    """
    return write_all_atomic({Path(path): content})[0]


def write_all_atomic(contents: Mapping[Path, bytes]) -> tuple[Path, ...]:
    """Paths of several files after all of them were written beside their places and then renamed.

    Parameters
    ----------
    contents : mapping of Path to bytes
        The folders must exist.

    Returns
    -------
    tuple of Path
        In the order given.

    Raises
    ------
    OSError
        If one of them can't be written: then every old file stays, since none is renamed before all are written.
    """
    beside = {path: path.with_name(f".{path.name}.{secrets.token_hex(4)}.part") for path in contents}
    try:
        for path, content in contents.items():
            if path.is_dir():  # found out now, not when the files before it are renamed
                raise IsADirectoryError(EISDIR, os.strerror(EISDIR), str(path))
            _write_through(beside[path], content)
        for path in contents:
            beside[path].replace(path)
    finally:
        for part in beside.values():
            part.unlink(missing_ok=True)
    return tuple(contents)


def _write_through(path: Path, content: bytes) -> None:
    with path.open("xb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())  # else a power cut may leave the new name on an empty file


def write_text_atomic(path: Path | str, content: str) -> Path:
    r"""Path of the file after it was replaced by `content` as UTF-8 with ``\n`` line ends.

    Parameters
    ----------
    path : Path or str
    content : str

    Returns
    -------
    Path

    Raises
    ------
    OSError
        If the folder can't be written to.

    Examples
    --------
    >>> import tempfile
    >>> write_text_atomic(Path(tempfile.mkdtemp()) / "map.svg", "8°").read_bytes()
    b'8\xc2\xb0'
    """
    return write_bytes_atomic(path, content.encode("utf-8"))
