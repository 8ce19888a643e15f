"""A signed bundle of the whole record: a zip that verifies on its own, with standard tools too."""

from __future__ import annotations

import secrets
from hashlib import sha256
from json.encoder import encode_basestring as quoted
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from ropewright.errors import FileError, InputError
from ropewright.store.canonical import json_text
from ropewright.store.chain import START, Row, followed
from ropewright.store.entry import Head
from ropewright.store.ledger import Ledger
from ropewright.store.rows import utc
from ropewright.store.scan import row_parts, stored_files
from ropewright.store.signing import key_path, public_bytes, public_pem, signing_key

if TYPE_CHECKING:
    from sqlalchemy import Connection

__all__ = ["ENTRIES", "FILES", "FORMAT", "KEY", "MANIFEST", "SIGNATURE", "entry_line", "write_bundle"]

FORMAT = "ropewright record bundle 1"

#: Names inside the zip; a kept file's is `FILES` and its hash.
MANIFEST, SIGNATURE, KEY, ENTRIES, FILES = "manifest.json", "manifest.sig", "public-key.pem", "entries.jsonl", "files/"


def entry_line(row: Row) -> str:
    """Canonical JSON of an entry with its hash."""
    number, at, written, kind, subject, by, body, previous, digest = row
    return (
        f'{{"at":{quoted(at)},"body":{body},"by":{quoted(by)},"hash":"{digest}","kind":{quoted(kind)},'
        f'"number":{number},"previous":"{previous}","subject":{quoted(subject)},"written":{quoted(written)}}}'
    )


def write_bundle(record: Ledger, path: Path) -> tuple[Head, bytes]:
    """Head of the record as it was written to a bundle, and the 32 bytes of the public key that it verifies with.

    Parameters
    ----------
    record : Ledger
    path : Path
        A new file.

    Raises
    ------
    InputError
        If there is a file already, or the record isn't whole.
    """
    if path.exists():
        raise FileError("bundle", str(path), "give a new file; there is one of this name")
    if not path.parent.is_dir():
        raise FileError("bundle", str(path), "give a file in a folder that exists")
    key = signing_key(key_path(record))
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        with ZipFile(part, "x") as bundle:
            head, manifest = _write_contents(record, bundle)
            manifest["public_key"] = public_bytes(key).hex()
            text = json_text(manifest).encode()
            bundle.writestr(_named(MANIFEST), text)
            bundle.writestr(_named(SIGNATURE), key.sign(text))
            bundle.writestr(_named(KEY), public_pem(public_bytes(key)))
        part.replace(path)
    except OSError as error:
        raise FileError("bundle", str(path), f"give a file that can be written: {error.strerror}") from error
    finally:
        part.unlink(missing_ok=True)
    return head, public_bytes(key)


def _write_contents(record: Ledger, bundle: ZipFile) -> tuple[Head, dict[str, Any]]:
    """Write entries and files, and return what the manifest says of them."""
    with record.database.reading() as connection:
        digest = sha256()
        with bundle.open(_named(ENTRIES, ZIP_DEFLATED), "w", force_zip64=True) as lines:
            head, size = _write_lines(record, connection, lines, digest)
        kept = []
        for file in stored_files(connection):
            bundle.writestr(_named(FILES + file.hash), file.content)
            kept.append({"hash": file.hash, "kind": file.kind, "bytes": len(file.content)})
    told = {"bytes": size, "sha256": digest.hexdigest()}
    made = {"format": FORMAT, "made": utc(record.now()), "count": head.count, "hash": head.hash}
    return head, {**made, "entries": told, "files": kept}


def _write_lines(record: Ledger, connection: Connection, lines: IO[bytes], digest: Any) -> tuple[Head, int]:
    """Write the entries, and return the head and how many bytes they are."""
    head, size = START, 0
    for part in row_parts(connection):
        head, bad = followed(part, head)
        if bad is not None:
            words = f"it isn't whole, so that no bundle was made: entry {head.count + 1} doesn't follow"
            raise InputError("store", record.database.shown, words)
        text = "".join(entry_line(row) + "\n" for row in part).encode()
        lines.write(text)
        digest.update(text)
        size += len(text)
    return head, size


def _named(name: str, compression: int = ZIP_STORED) -> ZipInfo:
    """Member of the zip, without a date, so that the same record gives the same bytes."""
    info = ZipInfo(name)
    info.compress_type = compression
    info.external_attr = 0o600 << 16
    return info
