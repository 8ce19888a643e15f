"""Reading a bundle that anybody may have made: nothing of it is believed before it was proved."""

from __future__ import annotations

import json
import struct
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from io import BufferedReader
from pathlib import Path
from typing import Any, cast
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile

from ropewright.errors import FileError, InputError
from ropewright.store.bundle import ENTRIES, FILES, FORMAT, KEY, MANIFEST, SIGNATURE, entry_line
from ropewright.store.canonical import BODY_LIMIT, json_text
from ropewright.store.chain import START, Break, Row, followed, held_against
from ropewright.store.entry import Draft, Head
from ropewright.store.kept_files import FILE_LIMIT, NAMES_FILE, KeptFile, checked_photo, named_files
from ropewright.store.ledger import Ledger
from ropewright.store.rows import row_of, utc
from ropewright.store.signing import fingerprint, is_signed, public_pem
from ropewright.store.taking import take

__all__ = ["Manifest", "OpenBundle", "opened_bundle", "proved_bundle", "take_in", "verify_bundle"]

#: Most bytes of the manifest, of a line of the entries; most files. More was not written by us.
_MANIFEST_LIMIT, _LINE_LIMIT, _FILES_LIMIT = 32 * 2**20, BODY_LIMIT + 8192, 100_000

#: Most bytes that one byte of compressed entries may give: half of each entry are hashes, which don't shrink so.
_RATIO_LIMIT = 50

#: What reading a broken zip or broken text raises.
_BROKEN = (
    BadZipFile,
    EOFError,
    OSError,
    zlib.error,
    NotImplementedError,
    RuntimeError,  # a member is encrypted; also RecursionError
    ValueError,
    KeyError,
    TypeError,
    AttributeError,
    OverflowError,
    struct.error,
)


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a bundle says it holds, after its signature was verified.

    Attributes
    ----------
    head : Head
    made : str
        When it was made, RFC 3339 in UTC.
    public_key : str
        With which its signature was verified, 64 hexadecimal digits.
    fingerprint : str
        Of that key.
    entries : tuple of int and str
        Bytes and SHA-256 of the lines of entries.
    files : tuple of (str, str, int)
        Hash, media type and bytes of each kept file.
    """

    head: Head
    made: str
    public_key: str
    fingerprint: str
    entries: tuple[int, str]
    files: tuple[tuple[str, str, int], ...]


class OpenBundle:
    """A bundle whose manifest was proved, and whose contents are proved as they are read."""

    def __init__(self, zipped: ZipFile, manifest: Manifest) -> None:
        self._zipped = zipped
        self.manifest = manifest

    def rows(self) -> Iterator[Row]:
        """Entries in order, each line canonical; their chain is for the caller to follow."""
        size, wanted = self.manifest.entries
        digest, seen = sha256(), 0
        with BufferedReader(cast("Any", self._zipped.open(ENTRIES)), 1 << 20) as lines:
            while line := lines.readline(_LINE_LIMIT):
                seen += len(line)
                if seen > size:
                    raise ValueError("there are more entries than the manifest says")
                digest.update(line)
                yield _row(line)
        if digest.hexdigest() != wanted:
            raise ValueError("the entries aren't those that were signed")

    def files(self) -> Iterator[KeptFile]:
        """Kept files, each opened and held against its hash."""
        for digest, kind, size in self.manifest.files:
            with self._zipped.open(FILES + digest) as member:
                content = member.read(size + 1)
            if sha256(content).hexdigest() != digest:
                raise ValueError(f"the file {digest} isn't what it was")
            try:
                yield checked_photo(content, kind, f"the file {digest}")
            except InputError as error:
                raise ValueError(str(error)) from error


def _row(line: bytes) -> Row:
    """Row of a line, which must be the canonical text of an entry as we write them."""
    if not line.endswith(b"\n"):
        raise ValueError("a line of the entries doesn't end")
    text = line.decode("utf-8")[:-1]
    cells: dict[str, Any] = json.loads(text)
    moment = datetime.fromisoformat(cells["written"])
    draft = Draft(cells["kind"], cells["subject"], cells["by"], cells["body"], datetime.fromisoformat(cells["at"]))
    try:
        row = (*row_of(draft, cells["number"], cells["previous"], moment).values(), cells["hash"])
    except InputError as error:
        raise ValueError(f"entry {cells['number']}: {error}") from error
    if entry_line(cast("Row", row)) != text:
        raise ValueError(f"entry {cells['number']} isn't written as entries are")
    return cast("Row", row)


@contextmanager
def opened_bundle(path: Path) -> Iterator[OpenBundle]:
    """Bundle whose manifest is signed and names all that is in the zip.

    Parameters
    ----------
    path : Path

    Raises
    ------
    FileError
        If it is none, or anything in it isn't as it was signed.
    """
    if not path.is_file():
        raise FileError("bundle", str(path), "give the file of a bundle; there is none")
    try:
        with ZipFile(path) as zipped:
            yield OpenBundle(zipped, _manifest(zipped))
    except _BROKEN as error:
        raise FileError("bundle", str(path), f"give a bundle that is whole: {_told(error)}") from error


def _told(error: BaseException) -> str:
    words = " ".join(str(error).split()) or type(error).__name__
    return f"it doesn't say {words}" if isinstance(error, KeyError) else words


def _manifest(zipped: ZipFile) -> Manifest:
    sizes = {info.filename: info.file_size for info in zipped.infolist()}
    if len(sizes) != len(zipped.infolist()) or len(sizes) > _FILES_LIMIT + 4:
        raise ValueError("it names a member twice, or too many")
    text = _read(zipped, MANIFEST, _MANIFEST_LIMIT)
    told = json.loads(text)
    raw = bytes.fromhex(told["public_key"])
    if not is_signed(text, _read(zipped, SIGNATURE, 64), raw):
        raise ValueError("the manifest wasn't signed with the key that it names")
    if told["made"] != utc(datetime.fromisoformat(told["made"])):
        raise ValueError("it doesn't say when it was made")
    if told["format"] != FORMAT or json_text(told).encode() != text or _read(zipped, KEY, 1000) != public_pem(raw):
        raise ValueError(f"its manifest isn't that of a {FORMAT!r}")
    manifest = Manifest(
        Head(told["count"], told["hash"]),
        told["made"],
        raw.hex(),
        fingerprint(raw),
        (told["entries"]["bytes"], told["entries"]["sha256"]),
        tuple((file["hash"], file["kind"], file["bytes"]) for file in told["files"]),
    )
    _check_members(zipped, manifest, sizes)
    return manifest


def _check_members(zipped: ZipFile, manifest: Manifest, sizes: dict[str, int]) -> None:
    """The zip must hold what the manifest names and nothing else, in sizes that were told."""
    wanted = {FILES + digest: size for digest, _, size in manifest.files} | {ENTRIES: manifest.entries[0]}
    if sizes.keys() != wanted.keys() | {MANIFEST, SIGNATURE, KEY} or len(wanted) != len(manifest.files) + 1:
        raise ValueError("the zip holds other members than the manifest names")
    if any(sizes[name] != size for name, size in wanted.items()):
        raise ValueError("a member is of another size than the manifest says")
    if any(size > FILE_LIMIT for _, _, size in manifest.files):
        raise ValueError(f"a file is larger than {FILE_LIMIT:,} bytes")
    for info in zipped.infolist():
        packed = info.compress_type == ZIP_DEFLATED and info.filename == ENTRIES
        if not packed and info.compress_type != ZIP_STORED:
            raise ValueError(f"{info.filename} is packed in a way that we don't use")
        if info.file_size > _RATIO_LIMIT * max(info.compress_size, 1000):
            raise ValueError(f"{info.filename} would grow beyond {_RATIO_LIMIT} times its size")


def _read(zipped: ZipFile, name: str, limit: int) -> bytes:
    with zipped.open(name) as member:
        content = member.read(limit + 1)
    if len(content) > limit:
        raise ValueError(f"{name} is larger than {limit:,} bytes")
    return content


def verify_bundle(path: Path, head: Head | None = None) -> tuple[Manifest | None, Break | None]:
    """What a bundle says it holds, and the first thing in it that isn't as it was signed (None if all is).

    Parameters
    ----------
    path : Path
    head : Head, optional
        As for `verify.verify`.
    """
    manifest: Manifest | None = None
    at = START
    try:
        with opened_bundle(path) as bundle:
            manifest = bundle.manifest
            there: dict[int, str] = {0: START.hash}
            named: set[str] = set()
            for row in bundle.rows():
                at, bad = followed([row], at)
                if bad is not None:
                    number = at.count + 1
                    return manifest, Break("entry", number, "altered", f"entry {number} doesn't follow")
                if head is not None and head.count == row[0]:
                    there[row[0]] = row[8]
                if NAMES_FILE.search(row[6]):
                    named |= set(named_files(json.loads(row[6])))
            kept = {file.hash for file in bundle.files()}
            return manifest, _compared(manifest, at, named - kept, head, there)
    except FileError as error:
        if manifest is None and not path.is_file():
            raise
        return manifest, Break("bundle", None, "altered", error.expected.removeprefix("give a bundle that is whole: "))


def _compared(
    manifest: Manifest, at: Head, missing: set[str], printed: Head | None, there: dict[int, str]
) -> Break | None:
    if at != manifest.head:
        return Break("entry", at.count + 1, "cut-off", f"it holds {at.count} entries, and says {manifest.head.count}")
    if missing:
        return Break("file", None, "missing", f"the file {min(missing)} is named and isn't there")
    return None if printed is None else held_against(at, printed, there.get(printed.count))


def proved_bundle(path: Path) -> Manifest:
    """What a bundle says it holds, after all of it was proved.

    Raises
    ------
    FileError
        If it isn't whole.
    """
    manifest, bad = verify_bundle(path)
    if bad is not None or manifest is None:
        raise FileError("bundle", str(path), f"give a bundle that is whole: {bad.words if bad else 'it is none'}")
    return manifest


def take_in(record: Ledger, path: Path, proved: Manifest | None = None) -> tuple[Manifest, int]:
    """What a bundle says it holds, and how many of its entries were new to the record.

    Parameters
    ----------
    record : Ledger
        Empty, or holding the beginning of what the bundle holds.
    path : Path
    proved : Manifest, optional
        From `proved_bundle`, if that was asked already.

    Raises
    ------
    InputError
        If the bundle isn't whole, or the record holds entries that it lacks: nothing is taken then.
    """
    manifest = proved or proved_bundle(path)
    with opened_bundle(path) as bundle:  # proved once more as it is read: the file may have been changed meanwhile
        if bundle.manifest != manifest:
            raise ValueError("it was changed while it was read")
        return manifest, take(record, bundle.rows(), bundle.files(), manifest.head, "bundle")
