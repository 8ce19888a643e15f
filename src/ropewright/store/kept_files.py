"""Photos kept beside the entries under the hash of their content."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from typing import Any

from sqlalchemy import Connection, insert, select

from ropewright.errors import InputError
from ropewright.store.schema import files

__all__ = [
    "FILE_LIMIT",
    "KINDS",
    "NAMES_FILE",
    "KeptFile",
    "checked_photo",
    "keep",
    "kept",
    "kept_hashes",
    "kind_of",
    "named_files",
]

#: Most bytes of a photo. [byte]
FILE_LIMIT = 12 * 2**20

#: Most pixels of a photo: opening it must not fill the memory. [-]
_PIXEL_LIMIT = 60_000_000

#: Media type -> what the library that opens it calls it.
KINDS = {"image/jpeg": "JPEG", "image/png": "PNG", "image/webp": "WEBP"}

#: Found in the canonical text of every body that names a kept file, and in hardly any other: spares reading the rest.
NAMES_FILE = re.compile(r'"photos?":(?:"[^"]|\[[^\]])')

#: Keys of a body that name kept files by their hash: one, or a list of them.
_KEYS = ("photo", "photos")


@dataclass(frozen=True, slots=True)
class KeptFile:
    """A file as the record keeps it: SHA-256 in hexadecimal digits, media type, bytes."""

    hash: str
    kind: str
    content: bytes


def checked_photo(content: bytes, kind: str, field: str = "photo") -> KeptFile:
    """Photo that was opened and is what it says.

    Parameters
    ----------
    content : bytes
    kind : str
        Media type: one of `KINDS`.
    field : str, optional
        What it is called in errors.

    Raises
    ------
    InputError
        If it is of another kind, broken or too large.
    """
    if kind not in KINDS:
        raise InputError(field, kind, f"give a photo of one of these kinds: {', '.join(KINDS)}")
    if len(content) > FILE_LIMIT:
        raise InputError(field, f"{len(content):,} bytes", f"give at most {FILE_LIMIT:,} bytes")
    _opened(content, kind, field)
    return KeptFile(sha256(content).hexdigest(), kind, content)


def _opened(content: bytes, kind: str, field: str) -> None:
    """Open a photo to its last pixel."""
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")  # a warning of the library is a doubt about the file
            with Image.open(BytesIO(content), formats=[KINDS[kind]]) as image:
                if image.width * image.height > _PIXEL_LIMIT:
                    size = f"{image.width} x {image.height} pixels"
                    raise InputError(field, size, f"give at most {_PIXEL_LIMIT:,} pixels")
                image.load()
    # the library raises these and more of the kind for broken files; none of them may pass as a photo
    except (OSError, ValueError, SyntaxError, EOFError, Warning, Image.DecompressionBombError, IndexError) as error:
        raise InputError(field, f"{len(content):,} bytes", f"give a whole photo that is {kind}: {error}") from error


def kind_of(content: bytes) -> str | None:
    """Media type of a photo as its first bytes say; None if it is none."""
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(BytesIO(content), formats=list(KINDS.values())) as image:
            return next(kind for kind, name in KINDS.items() if name == image.format)
    # one that says it is too large for this machine's memory is told as a fault, as is any that can't be opened
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Warning, Image.DecompressionBombError):
        return None


def keep(connection: Connection, file: KeptFile) -> None:
    """Keep a file; nothing changes if it is kept already."""
    if not kept_hashes(connection, [file.hash]):
        connection.execute(insert(files), {"hash": file.hash, "kind": file.kind, "content": file.content})


def kept(connection: Connection, digest: str) -> KeptFile:
    """File by its hash.

    Raises
    ------
    InputError
        If there is none.
    """
    row = connection.execute(select(files).where(files.c.hash == digest)).first()
    if row is None:
        raise InputError("file", digest, "give the hash of a kept file; there is none of this")
    return KeptFile(row.hash, row.kind, row.content)


def kept_hashes(connection: Connection, among: list[str] | None = None) -> set[str]:
    """Hashes of kept files, of all or of those among a list."""
    query = select(files.c.hash)
    if among is not None:
        query = query.where(files.c.hash.in_(among))
    return set(connection.execute(query).scalars())


def named_files(body: Any) -> Iterator[str]:
    """Hashes of the files that a body names under ``photo`` or ``photos``, at any depth."""
    if isinstance(body, dict):
        for key, value in body.items():
            if key in _KEYS:
                told = value if isinstance(value, list) else [value]
                yield from (digest for digest in told if isinstance(digest, str) and digest)
            else:
                yield from named_files(value)
    elif isinstance(body, list):
        for value in body:
            yield from named_files(value)
