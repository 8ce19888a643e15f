"""Files that somebody sends: how large, of what kind, and a name that is only ever shown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import PurePath
from types import MappingProxyType

from ropewright.web.form_error import FormError
from ropewright.web.words import _

__all__ = ["KINDS", "Upload", "UploadKind", "checked_upload"]


@dataclass(frozen=True, slots=True)
class Upload:
    """A file as it was sent; `name` is its last part alone, to be shown and never opened."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True)
class UploadKind:
    """Files that are taken somewhere.

    Parameters
    ----------
    endings : tuple of str
        Of their names, lower-case.
    most : int
        Bytes.
    starts : tuple of bytes
        One of which such a file begins with; empty: it is a text.
    is_utf8 : bool
        That text is in UTF-8; drawings of older programs are not.
    """

    endings: tuple[str, ...]
    most: int
    starts: tuple[bytes, ...] = ()
    is_utf8: bool = True


_MIB = 1 << 20

KINDS: Mapping[str, UploadKind] = MappingProxyType(
    {
        "job": UploadKind((".toml",), _MIB),
        "roof": UploadKind((".json", ".geojson", ".jsonl", ".ifc", ".dxf", ".csv"), 16 * _MIB, is_utf8=False),
        "photo": UploadKind(
            (".jpg", ".jpeg", ".png", ".webp"), 12 * _MIB, (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF")
        ),
    }
)


def checked_upload(upload: Upload | None, kind: str, field: str) -> Upload:
    """Return a file that is of the kind that is taken here.

    Parameters
    ----------
    upload : Upload or None
    kind : str
        One of `KINDS`.
    field : str
        Of the form.

    Raises
    ------
    FormError
        If there is none, or its name, size or content are not as they must be.
    """
    taken = KINDS[kind]
    endings = ", ".join(taken.endings)
    if upload is None or not upload.name:
        raise FormError(field, None, _("choose a file that ends in %(endings)s", endings=endings))
    if PurePath(upload.name.lower()).suffix not in taken.endings:
        raise FormError(field, upload.name, _("give a file that ends in %(endings)s", endings=endings))
    if len(upload.content) > taken.most:
        raise FormError(field, upload.name, _("give a file of at most %(size)s MiB", size=taken.most // _MIB))
    if not _is_of(upload.content, taken):
        raise FormError(field, upload.name, _("its content is not what its name says; give another file"))
    return upload


def _is_of(content: bytes, taken: UploadKind) -> bool:
    if taken.starts:
        return content.startswith(taken.starts)
    try:
        content.decode("utf-8-sig" if taken.is_utf8 else "latin-1")
    except UnicodeDecodeError:
        return False
    return b"\0" not in content
