"""Canonical JSON (RFC 8785) and the hash of an entry over it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from hashlib import sha256
from json.encoder import encode_basestring
from reprlib import repr as _shortened
from typing import Any, cast

from ropewright.errors import InputError
from ropewright.store.entry import JsonValue

__all__ = ["BODY_LIMIT", "GENESIS", "canonical_body", "entry_hash", "entry_text", "json_text", "read_json"]

#: What the first entry names as the hash of the one before it.
GENESIS = "0" * 64

#: Most bytes of a body's canonical JSON; a photo is kept as a file, so that a body is but words and numbers. [byte]
BODY_LIMIT = 65_536

#: Deepest nesting of a body; far below where a parser of JSON runs out of stack.
_DEPTH_LIMIT = 32


def json_text(value: JsonValue) -> str:
    """Canonical JSON of a value, as RFC 8785 has it.

    Parameters
    ----------
    value : JSON value

    Returns
    -------
    str

    Raises
    ------
    ValueError
        If canonical JSON can't carry it: a number that isn't finite, a whole number beyond 2**53 - 1, a key that
        isn't text, half of a surrogate pair, nesting deeper than 32, something that isn't JSON at all.

    Notes
    -----
    Source: RFC 8785, section 3.2, through the library `rfc8785`.

    Examples
    --------
    >>> json_text({"length_m": 30.0, "fibre": "polyamide"})
    '{"fibre":"polyamide","length_m":30}'
    """
    import rfc8785

    return rfc8785.dumps(_plain(value, 0)).decode("utf-8")


def _plain(value: JsonValue, depth: int) -> Any:
    """Return the same with plain dicts and lists, as the library wants them."""
    if depth > _DEPTH_LIMIT:
        raise ValueError(f"nested deeper than {_DEPTH_LIMIT}")
    if isinstance(value, Mapping):
        return {key: _plain(inner, depth + 1) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner, depth + 1) for inner in value]
    return value


def canonical_body(body: Mapping[str, JsonValue], field: str = "body") -> str:
    """Canonical JSON of an entry's body.

    Parameters
    ----------
    body : mapping
    field : str, optional
        What it is called in errors.

    Raises
    ------
    InputError
        If canonical JSON can't carry it, or it is longer than `BODY_LIMIT`.
    """
    if not isinstance(body, Mapping):
        raise InputError(field, body, "give a JSON object")
    try:
        text = json_text(body)
    except ValueError as error:
        raise InputError(field, _shortened(body), f"give what canonical JSON can carry: {error}") from error
    size = len(text.encode("utf-8"))
    if size > BODY_LIMIT:
        raise InputError(field, _shortened(body), f"give at most {BODY_LIMIT:,} bytes; these are {size:,}")
    return text


def read_json(text: str) -> dict[str, JsonValue]:
    """Return what a stored canonical text says."""
    return cast("dict[str, JsonValue]", json.loads(text))


def entry_text(number: int, at: str, written: str, kind: str, subject: str, by: str, body: str, previous: str) -> str:
    """Canonical JSON of an entry without its hash, of which the hash is taken.

    Parameters
    ----------
    number : int
    at, written, kind, subject, by, previous : str
        As in `Entry`.
    body : str
        Canonical JSON already.

    Notes
    -----
    The keys stand in the order that RFC 8785 gives them, and the text of each string is escaped as there, so that this
    is the same as the canonical JSON of the whole, forty times as fast (a test compares the two).
    """
    quoted = encode_basestring
    return (
        f'{{"at":{quoted(at)},"body":{body},"by":{quoted(by)},"kind":{quoted(kind)},"number":{number},'
        f'"previous":{quoted(previous)},"subject":{quoted(subject)},"written":{quoted(written)}}}'
    )


def entry_hash(text: str) -> str:
    """SHA-256 of an entry's canonical JSON, 64 lower-case hexadecimal digits."""
    return sha256(text.encode("utf-8")).hexdigest()
