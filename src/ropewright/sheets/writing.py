"""Files written whole or not at all."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

__all__ = ["write_bytes_atomic", "write_text_atomic"]


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
    target = Path(path)
    beside = target.with_name(f".{target.name}.{secrets.token_hex(4)}.part")
    try:
        with beside.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())  # else a power cut may leave the new name on an empty file
        beside.replace(target)
    finally:
        beside.unlink(missing_ok=True)
    return target


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
