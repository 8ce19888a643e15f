"""What differs between two texts, word by word, and between two answers, finding by finding."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

__all__ = ["ChangedFinding", "Hunk", "Part", "changed_findings", "word_diff"]

_WORDS = re.compile(r"\s+|[\w.]+|[^\w\s]")
_BRACES = re.compile(r"\s*([{}])\s*")
#: Lines shown round a change.
_AROUND = 2


@dataclass(frozen=True, slots=True)
class Part:
    """A stretch of text; `kind` is ``same``, ``gone`` or ``new``."""

    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Hunk:
    """Lines that belong together; `line` is the number of the first in the newer text."""

    line: int
    lines: tuple[tuple[Part, ...], ...]


@dataclass(frozen=True, slots=True)
class ChangedFinding:
    """A question whose answer changed; None where it was not asked."""

    question: str
    place: str
    before: str | None
    after: str | None
    said_before: str
    said_after: str


def word_diff(old: str, new: str) -> tuple[Hunk, ...]:
    """What differs, with a few lines round it; empty for equal texts.

    Examples
    --------
    >>> [(part.kind, part.text) for part in word_diff("a = 1 m", "a = 2 m")[0].lines[0]]
    [('same', 'a = '), ('gone', '1'), ('new', '2'), ('same', ' m')]
    """
    before, after = old.splitlines(), new.splitlines()
    # blanks inside the braces of an inline table change when the file is written anew, and mean nothing
    matcher = SequenceMatcher(None, _bare(before), _bare(after), autojunk=False)
    hunks = []
    for group in matcher.get_grouped_opcodes(_AROUND):
        lines = [line for code in group for line in _lines(code, before, after)]
        hunks.append(Hunk(group[0][3] + 1, tuple(lines)))
    return tuple(hunks)


def _bare(lines: Sequence[str]) -> list[str]:
    return [_BRACES.sub(r"\1", line) for line in lines]


def _lines(
    code: tuple[str, int, int, int, int], before: Sequence[str], after: Sequence[str]
) -> Iterator[tuple[Part, ...]]:
    kind, start, end, new_start, new_end = code
    if kind == "equal":
        yield from ((Part("same", line),) for line in after[new_start:new_end])
        return
    old, new = before[start:end], after[new_start:new_end]
    paired = min(len(old), len(new))
    yield from (_words(one, other) for one, other in zip(old[:paired], new[:paired], strict=True))
    yield from ((Part("gone", line),) for line in old[paired:])
    yield from ((Part("new", line),) for line in new[paired:])


def _words(old: str, new: str) -> tuple[Part, ...]:
    before, after = _WORDS.findall(old), _WORDS.findall(new)
    parts: list[Part] = []
    for kind, start, end, new_start, new_end in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if kind == "equal":
            parts.append(Part("same", "".join(after[new_start:new_end])))
            continue
        gone, come = "".join(before[start:end]), "".join(after[new_start:new_end])
        parts += [part for part in (Part("gone", gone), Part("new", come)) if part.text]
    return tuple(parts)


def changed_findings(old: Sequence[Mapping[str, Any]], new: Sequence[Mapping[str, Any]]) -> tuple[ChangedFinding, ...]:
    """Questions whose answer or its words changed, in the order of the newer plan; those no longer asked last.

    Parameters
    ----------
    old, new : sequence of mapping
        Findings of two plans, as `ropewright.sheets.pdf_content` has them, in the same units.
    """
    before = {one["id"]: one for one in old}
    after = {one["id"]: one for one in new}
    found = []
    for name, now in after.items():
        was = before.get(name)
        if was is None or (was["verdict"], was["summary"]) != (now["verdict"], now["summary"]):
            found.append(_changed(was, now))
    return (*found, *(_changed(was, None) for name, was in before.items() if name not in after))


def _changed(was: Mapping[str, Any] | None, now: Mapping[str, Any] | None) -> ChangedFinding:
    known = now or was or {}
    return ChangedFinding(
        question=known["question"],
        place=known["place"],
        before=was["verdict"] if was else None,
        after=now["verdict"] if now else None,
        said_before=was["summary"] if was else "",
        said_after=now["summary"] if now else "",
    )
