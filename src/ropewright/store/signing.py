"""The key that signs bundles: made on first use, kept beside the record, read by its owner alone."""

from __future__ import annotations

import os
import stat
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from ropewright.errors import FileError

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

    from ropewright.store.ledger import Ledger

__all__ = ["fingerprint", "is_signed", "key_path", "public_bytes", "public_pem", "signing_key"]


def key_path(record: Ledger) -> Path:
    """Where the key of a record is kept: beside its file, or in the user's data folder for one on a server."""
    from ropewright.store.opening import default_place

    database = record.database
    beside = Path(database.url.database or "") if database.is_sqlite else default_place().with_name("server")
    return beside.with_name(f"{beside.name}.signing-key.pem")


def signing_key(path: Path) -> Ed25519PrivateKey:
    """Key of a file; one is made where there is none.

    Parameters
    ----------
    path : Path

    Raises
    ------
    InputError
        If the file holds no Ed25519 key, or others may read it.
    """
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    if not path.exists():
        _make(path)
    if os.name == "posix" and stat.S_IMODE(path.stat().st_mode) & 0o077:
        raise FileError("signing key", str(path), f"let nobody else read it: chmod 600 {path}")
    try:
        key = load_pem_private_key(path.read_bytes(), password=None)
    except (OSError, ValueError, TypeError) as error:
        raise FileError("signing key", str(path), "give a file with an Ed25519 key, or move it away") from error
    if not isinstance(key, Ed25519PrivateKey):
        raise FileError("signing key", str(path), "give a file with an Ed25519 key, or move it away")
    return key


def _make(path: Path) -> None:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    content = Ed25519PrivateKey.generate().private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.link(part, path)  # unlike a rename, this never replaces a key that another made meanwhile
    except FileExistsError:
        pass
    except OSError as error:
        raise FileError("signing key", str(path), f"give a folder that can be written: {error.strerror}") from error
    finally:
        part.unlink(missing_ok=True)


def public_bytes(key: Ed25519PrivateKey) -> bytes:
    """Return the 32 bytes of the public key."""
    return key.public_key().public_bytes_raw()


def public_pem(raw: bytes) -> bytes:
    """Return a public key as the text file that other tools read."""
    from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

    return _public(raw).public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo)


def _public(raw: bytes) -> Ed25519PublicKey:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    return Ed25519PublicKey.from_public_bytes(raw)


def fingerprint(raw: bytes) -> str:
    """SHA-256 of a public key's 32 bytes, by which people compare it."""
    return sha256(raw).hexdigest()


def is_signed(message: bytes, signature: bytes, raw: bytes) -> bool:
    """Whether a signature of a message was made with the key that belongs to a public one."""
    from cryptography.exceptions import InvalidSignature

    try:
        _public(raw).verify(signature, message)
    except (InvalidSignature, ValueError):
        return False
    return True
