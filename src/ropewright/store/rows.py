"""Rows of entries: made of drafts, each checked and chained to the one before."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from ropewright.errors import InputError
from ropewright.store.canonical import canonical_body, entry_hash, entry_text, read_json
from ropewright.store.entry import Draft, Entry, Head

__all__ = ["chained", "entry_of", "row_of", "utc"]

_KIND = re.compile(r"[a-z]+(\.[a-z][a-z0-9_-]*)+")
_SUBJECT = re.compile(r"[a-z]+/\S(.*\S)?")

#: Longest subject or name. [character]
_NAME_LIMIT = 200


def chained(drafts: Sequence[Draft], head: Head, now: datetime) -> list[dict[str, Any]]:
    """Rows of the drafts, chained to the head."""
    rows: list[dict[str, Any]] = []
    number, previous = head.count, head.hash
    for draft in drafts:
        number += 1
        row = row_of(draft, number, previous, now)
        row["hash"] = previous = entry_hash(entry_text(**row))
        rows.append(row)
    return rows


def row_of(draft: Draft, number: int, previous: str, now: datetime) -> dict[str, Any]:
    """Row of a draft without its hash.

    Raises
    ------
    InputError
        For what a user can mend: a blank author, a time in the future, a body that canonical JSON can't carry.
    ValueError
        For a kind that isn't named as kinds are.
    """
    if not _KIND.fullmatch(draft.kind):
        raise ValueError(f"kind must look like gear.inspected, got {draft.kind!r}")
    subject = _name("subject", draft.subject, "give a family and a tag, such as gear/R-001")
    if not _SUBJECT.fullmatch(subject):
        raise InputError("subject", subject, "give a family and a tag, such as gear/R-001")
    return {
        "number": number,
        "at": _moment(draft.at, now),
        "written": utc(now),
        "kind": draft.kind,
        "subject": subject,
        "by": _name("by", draft.by, "say who does it"),
        "body": canonical_body(draft.body),
        "previous": previous,
    }


def _name(field: str, text: str, expected: str) -> str:
    """Return a name of one printable line, which is never blank."""
    if not (text or "").strip():  # nobody named, as an option left out has it
        raise InputError(field, text, expected)
    if not text.isprintable() or text != text.strip() or len(text) > _NAME_LIMIT:
        right = f"give one line of at most {_NAME_LIMIT} printable signs, without blanks around it"
        raise InputError(field, text[: _NAME_LIMIT + 1], right)
    return text


def _moment(at: datetime | None, now: datetime) -> str:
    """Return when it happened, which is never later than now."""
    if at is None:
        return utc(now)
    if at.utcoffset() is None:
        raise InputError("at", at.isoformat(), "give the time with its zone, such as 2030-01-31T08:00Z")
    if at > now:
        raise InputError("at", at.isoformat(), f"give a time that isn't in the future; it is {utc(now)} now")
    return utc(at)


def utc(moment: datetime) -> str:
    """Return a moment as entries have it: RFC 3339 in UTC, to the microsecond."""
    return moment.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


def entry_of(row: Mapping[str, Any]) -> Entry:
    """Return an entry as its row says."""
    return Entry(**{**row, "body": read_json(row["body"])})
