"""What an inspection looks at, by kind of gear, and the answers to it."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from ropewright.errors import InputError, InputErrors
from ropewright.findings import Source
from ropewright.store.crew_words import read_line
from ropewright.store.gear_words import TABLES, GearKind

__all__ = ["ANSWERS", "Answer", "Looked", "Point", "looked", "points_of", "read_answers"]

#: What a point can be answered with: in order, faulty, does not apply.
ANSWERS = ("ok", "fault", "na")
_HASH = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Point:
    """One point of an inspection.

    Attributes
    ----------
    key, look_for : str
    retires : bool
        True if a fault here takes the piece out for good rather than to quarantine.
    before_use : bool
        True if its user looks at it before each use as well.
    may_not_apply : bool
        True if there are pieces of the kind without such a thing.
    found : str
        What a fault here is to the strength of a rope, of `rope.service.FOUND`; empty for nothing.
    source : Source
    note : str
    """

    key: str
    look_for: str
    retires: bool
    before_use: bool
    may_not_apply: bool
    found: str
    source: Source
    note: str


@dataclass(frozen=True, slots=True)
class Answer:
    """Answer to one point; `photo` is the SHA-256 of a picture, in hexadecimal digits, or empty."""

    point: str
    answer: str
    note: str = ""
    photo: str = ""


@dataclass(frozen=True, slots=True)
class Looked:
    """What a look at a piece came to.

    Attributes
    ----------
    passed : bool
        True if every point was answered, and none with a fault.
    faults : tuple of Point
    missing : tuple of str
        Points that nobody answered; such a point is not in order.
    """

    passed: bool
    faults: tuple[Point, ...]
    missing: tuple[str, ...]

    @property
    def retires(self) -> bool:
        """True if a fault takes the piece out for good."""
        return any(point.retires for point in self.faults)

    @property
    def found(self) -> tuple[str, ...]:
        """What was found that a rope's strength knows."""
        return tuple(dict.fromkeys(point.found for point in self.faults if point.found))


@cache
def _all_points() -> Mapping[str, tuple[Point, ...]]:
    found: dict[str, list[Point]] = {}
    for row in TABLES.rows("gear_points"):
        kind, _, key = row["key"].partition("/")
        point = Point(
            key,
            row["look_for"],
            row["fault"] == "retire",
            row["before_use"] == "yes",
            row["may_not_apply"] == "yes",
            row["found"],
            TABLES.source_of(row),
            row["note"],
        )
        found.setdefault(kind, []).append(point)
    return {kind: tuple(points) for kind, points in found.items()}


def points_of(kind: GearKind, *, before_use: bool = False) -> tuple[Point, ...]:
    """Points of an inspection of a kind of gear, or of its user's look before use.

    Raises
    ------
    InputError
        For a kit, which is inspected part by part.

    Examples
    --------
    >>> from ropewright.store.gear_words import gear_kinds
    >>> [point.key for point in points_of(gear_kinds()["absorber"], before_use=True)]
    ['history', 'closed', 'cover', 'stitches', 'heat', 'chemicals', 'alterations']
    """
    if kind.name not in _all_points():
        raise InputError("kind", kind.name, "a kit is inspected part by part")
    return tuple(point for point in _all_points()[kind.name] if point.before_use or not before_use)


def read_answers(
    kind: GearKind,
    answers: Mapping[str, str],
    *,
    notes: Mapping[str, str] | None = None,
    photos: Mapping[str, str] | None = None,
    before_use: bool = False,
) -> tuple[Answer, ...]:
    """Answers to the points of a kind of gear.

    Parameters
    ----------
    kind : GearKind
    answers : mapping of str to str
        Point to one of `ANSWERS`.
    notes, photos : mapping of str to str, optional
        Point to a line of text, and to the SHA-256 of a picture.
    before_use : bool
        True for the look before use, which has fewer points.

    Raises
    ------
    InputError, InputErrors
        For a point or an answer that is not known, and one that can't apply or must.
    """
    points = {point.key: point for point in points_of(kind, before_use=before_use)}
    noted, shown = notes or {}, photos or {}
    faults = [_unknown(kind, key, points) for key in {**answers, **noted, **shown} if key not in points]
    found = []
    for key, point in points.items():
        if key in answers:
            faults += _bad(point, answers[key], shown.get(key, ""))
            note = read_line(noted.get(key, ""), f"note {key}")
            found.append(Answer(key, answers[key], note, shown.get(key, "")))
        elif key in noted or key in shown:
            faults.append(InputError("answer", None, f"answer the point {key!r} that the note or photo is for"))
    if faults:
        raise faults[0] if len(faults) == 1 else InputErrors(f"{kind.name}: {len(faults)} faults", faults)
    return tuple(found)


def _unknown(kind: GearKind, key: str, points: Mapping[str, Point]) -> InputError:
    near = difflib.get_close_matches(key[:40], points, n=1)
    hint = f"did you mean {near[0]!r}? " if near else ""
    return InputError("answer", key, f"{hint}the points of a {kind.name} are {', '.join(points)}")


def _bad(point: Point, answer: str, photo: str) -> list[InputError]:
    found = []
    if answer not in ANSWERS:
        found.append(InputError(f"answer {point.key}", answer, f"give one of {', '.join(ANSWERS)}"))
    if answer == "na" and not point.may_not_apply:
        found.append(InputError(f"answer {point.key}", answer, "this point applies to every such piece: ok or fault"))
    if photo and not _HASH.fullmatch(photo):
        found.append(InputError(f"photo {point.key}", photo, "give the SHA-256 of the picture, 64 hexadecimal digits"))
    return found


def looked(kind: GearKind, answers: Iterable[Answer], *, before_use: bool = False) -> Looked:
    """What answers come to; a point that nobody answered is not in order."""
    given = {answer.point: answer.answer for answer in answers}
    points = points_of(kind, before_use=before_use)
    faults = tuple(point for point in points if given.get(point.key) == "fault")
    missing = tuple(point.key for point in points if point.key not in given)
    return Looked(not faults and not missing, faults, missing)
