"""Days and calendar spans of the gear record."""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from ropewright.errors import InputError
from ropewright.store.day import read_day

__all__ = ["NO_LIMIT", "Span", "after", "read_life", "read_made", "read_span"]

#: What stands for a life that the maker leaves open; said by the maker, not assumed.
NO_LIMIT = "no limit"
_SPAN = "give a time such as '30 days', '6 months' or '10 years'"
_UNITS = ("day", "week", "month", "year")
_WRITTEN = re.compile(r"([0-9]{1,4}) *([a-z]+?)s?")
_PARTIAL = re.compile(r"[0-9]{4}(?:-[0-9]{2})?")


@dataclass(frozen=True, slots=True)
class Span:
    """A calendar span, such as 6 months.

    Parameters
    ----------
    number : int
        1 or more.
    unit : str
        ``day``, ``week``, ``month`` or ``year``.
    """

    number: int
    unit: str

    def __str__(self) -> str:
        return f"{self.number} {self.unit}{'' if self.number == 1 else 's'}"


def read_span(text: object, field: str) -> Span:
    """Span of a text.

    Raises
    ------
    InputError
        If it is none, or longer than 100 years.

    Examples
    --------
    >>> str(read_span("12 Months", "interval")), str(read_span("30d", "within"))
    ('12 months', '30 days')
    """
    if not isinstance(text, str):
        raise InputError(field, text, _SPAN)
    return _read_span(text, field)


@lru_cache(4096)  # states ask for the same few spans at each of a million entries
def _read_span(text: str, field: str) -> Span:
    found = _WRITTEN.fullmatch(text.strip().lower())
    short = {"d": "day", "w": "week", "m": "month", "y": "year"}
    unit = short.get(found[2], found[2]) if found else ""
    if found is None or unit not in _UNITS or int(found[1]) == 0:
        raise InputError(field, text, _SPAN)
    span = Span(int(found[1]), unit)
    if after(date(2000, 1, 1), span) > date(2100, 1, 1):
        raise InputError(field, text, "give 100 years at most")
    return span


def read_life(text: object, field: str) -> str:
    """Service life as it is kept: a span, or `NO_LIMIT`.

    Examples
    --------
    >>> read_life("10 years", "life"), read_life("No limit", "life")
    ('10 years', 'no limit')
    """
    plain = text.strip().lower() if isinstance(text, str) else text
    return NO_LIMIT if plain == NO_LIMIT else str(read_span(plain, field))


@lru_cache(65536)
def after(day: date, span: Span) -> date:
    """Day on which a span from a day ends; where the month is too short, its last day.

    Examples
    --------
    >>> after(date(2026, 1, 31), Span(1, "month")), after(date(2024, 2, 29), Span(1, "year"))
    (datetime.date(2026, 2, 28), datetime.date(2025, 2, 28))
    """
    if span.unit in ("day", "week"):
        return day + timedelta(days=span.number * (7 if span.unit == "week" else 1))
    months = day.year * 12 + day.month - 1 + span.number * (12 if span.unit == "year" else 1)
    year, month = divmod(months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def read_made(text: object, field: str) -> date:
    """Day of a text; a month or a year alone is its first day, so that nothing is counted younger than it is.

    Raises
    ------
    InputError
        If there is no such day.

    Examples
    --------
    >>> read_made("2024-05-17", "made"), read_made("2024-05", "made"), read_made("2024", "made")
    (datetime.date(2024, 5, 17), datetime.date(2024, 5, 1), datetime.date(2024, 1, 1))
    """
    plain = text.strip() if isinstance(text, str) else ""
    missing = {4: "-01-01", 7: "-01"}.get(len(plain), "") if _PARTIAL.fullmatch(plain) else ""
    try:
        return read_day(plain + missing if missing else text, field)
    except InputError as error:
        raise InputError(field, text, error.expected) from error
