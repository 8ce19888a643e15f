"""What is due on a piece of gear and what nobody has told of it, from its state alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from ropewright.store.gear_days import NO_LIMIT, after, read_span
from ropewright.store.gear_words import ENDED, QUARANTINED, GearKind

__all__ = ["ask_text", "asks", "dues"]

_Row = dict[str, Any]

#: Where the days of a row come from, as `findings.Source` has it.
_BY_LIFE = {"document": "the maker's life for it, as told", "clause": "", "status": "user"}
_BY_INTERVAL = {"document": "the maker's interval, as told", "clause": "", "status": "user"}
_BY_RULE = {"document": "29 CFR 1926.502", "clause": "(d)(21)", "status": "read"}

#: What somebody must be asked, by the word that a state keeps.
_ASKED: Mapping[str, str] = {
    "life": "service life: nobody has told what its maker gives it, or that there is none; ask the maker",
    "made": "day it was made: not told, and its life is counted from it; it is on the label",
    "first use": "day of its first use: not told, and its life is counted from it",
    "interval": "interval of inspection: neither the rules in force nor its maker, as told, give one; ask the maker",
    "falls": "falls: nobody has told whether it ever caught one",
    "condition": "condition: nobody has told how it was when it came, and no inspection has said",
    "sun": "sun: nobody has told how long it lay in the sun before it came",
}
#: What may only be said of ten years: no text that was read gives them.
_REMEMBERED = "ten years is what AS/NZS 1891.4 is remembered to give textile gear, and is not counted"


def dues(kind: GearKind, body: Mapping[str, Any], standing: str) -> list[_Row]:
    """Days by which something must be done, the first first.

    Parameters
    ----------
    kind : GearKind
    body : mapping
        As `gear_state.fold` makes it.
    standing : str

    Returns
    -------
    list of dict
        ``what`` (``inspect``, ``retire`` or ``decide``), ``day``, ``why`` and ``source``
        (``document``, ``clause``, ``status``).
    """
    if standing in ENDED:
        return []
    found = [*_decision(body, standing)]
    if kind.in_chain:
        found += [*_inspections(body), *_lives(body)]
    return sorted(found, key=lambda row: (row["day"], row["what"]))


def _decision(body: Mapping[str, Any], standing: str) -> Iterator[_Row]:
    if standing == QUARANTINED:
        held = body["quarantine"]
        yield _row("decide", held["since"], held["why"], _BY_RULE)


def _inspections(body: Mapping[str, Any]) -> Iterator[_Row]:
    """One for each interval, the strictest first; none replaces another.

    The maker's counts from the last inspection that was passed, a rule's from the last that a competent person did.
    """
    if body["told"].get("interval"):
        yield _inspection(body, body["told"]["interval"], body["passed"], _BY_INTERVAL)
    for row in _ruled(body):
        source = {key: row[key] for key in ("document", "clause", "status")}
        yield _inspection(body, row["every"], body["examined"], source)


def _inspection(body: Mapping[str, Any], every: str, last: Mapping[str, Any] | None, source: Mapping[str, str]) -> _Row:
    if last is not None:
        start, since = last["day"], f"last {last['day']}"
    else:
        start = min(day for day in (body["received"], body["first_use"], body["told"].get("bought")) if day)
        since = f"none since {start}"
    day = after(date.fromisoformat(start), read_span(every, "interval"))
    return _row("inspect", day.isoformat(), f"every {every}, {since}", source)


def _ruled(body: Mapping[str, Any]) -> list[_Row]:
    """Intervals that the rules in force ask for."""
    return list((body["intervals"] or {}).get("inspect", ()))


def _lives(body: Mapping[str, Any]) -> Iterator[_Row]:
    told = body["told"]
    starts = [day for day in (told.get("bought"), body["first_use"], body["received"]) if day]
    made = told.get("made") or min(starts)  # made no later than that; that it is not told is asked
    begun = body["first_use"] or (min(starts) if _is_used(body) else None)
    for key, start, what in (("life_by_age", made, "made"), ("life_by_use", begun, "first used")):
        life = told.get(key)
        if life and life != NO_LIMIT and start:
            day = after(date.fromisoformat(start), read_span(life, key))
            yield _row("retire", day.isoformat(), f"{what} {start}, life {life}", _BY_LIFE)


def _is_used(body: Mapping[str, Any]) -> bool:
    """Whether it is known or may be that it was used before it came."""
    return bool(body["uses"] != 0)


def _row(what: str, day: str, why: str, source: Mapping[str, str]) -> _Row:
    return {"what": what, "day": day, "why": why, "source": dict(source)}


def asks(kind: GearKind, body: Mapping[str, Any], standing: str) -> list[str]:
    """Return what nobody has told and somebody must, before the piece is counted on, as words for `ask_text`.

    Parameters
    ----------
    kind, body, standing
        As in `dues`.
    """
    if standing in ENDED or not kind.in_chain:
        return []
    told = body["told"]
    by_age, by_use = (told.get(key, NO_LIMIT) != NO_LIMIT for key in ("life_by_age", "life_by_use"))
    asked = {
        "life": not told.get("life_by_age") and not told.get("life_by_use"),
        "made": by_age and not told.get("made"),
        "first use": by_use and not body["first_use"] and _is_used(body),
        "interval": not told.get("interval") and not _ruled(body),
        "falls": body["catches"] is None,
        "condition": body["wear"] is None,
        "sun": kind.textile and body["sun_s"] is None,
    }
    return [word for word, is_open in asked.items() if is_open]


def ask_text(kind: GearKind, word: str) -> str:
    """What somebody must be asked, as a sentence without its full stop.

    Examples
    --------
    >>> from ropewright.store.gear_words import gear_kinds
    >>> ask_text(gear_kinds()["grab"], "falls")
    'falls: nobody has told whether it ever caught one'
    """
    return f"{_ASKED[word]} ({_REMEMBERED})" if word == "life" and kind.textile else _ASKED[word]
