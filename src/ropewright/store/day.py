"""Days as people write them: year-month-day is read, anything else is refused with what it may mean, never guessed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, datetime

from ropewright.errors import InputError

__all__ = ["read_day", "read_past_day", "today"]

#: Days before this are slips of the pen: no rope and no training that counts today is as old.
_EARLIEST = date(1950, 1, 1)

_ISO = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_OTHER = re.compile(r"([0-9]{1,4})[./ -]([0-9]{1,2})[./ -]([0-9]{1,4})")


def read_day(text: object, field: str) -> date:
    """Day of a text written year-month-day (ISO 8601).

    Parameters
    ----------
    text : str
    field : str
        Where it stands, for the error.

    Raises
    ------
    InputError
        For any other way of writing a day; the message says which days it may mean. Two meanings are both told.

    Examples
    --------
    >>> read_day("2026-03-04", "date")
    datetime.date(2026, 3, 4)
    >>> read_day("3/4/2026", "date")
    Traceback (most recent call last):
    ...
    ropewright.errors.InputError: date: got '3/4/2026'; write 2026-04-03 or 2026-03-04, whichever is meant
    """
    plain = text.strip() if isinstance(text, str) and len(text) <= 40 else ""
    if _ISO.fullmatch(plain) and plain.isascii():
        try:
            day = date.fromisoformat(plain)
        except ValueError as error:
            raise InputError(field, text, "there is no such day; give year-month-day, such as 2026-05-31") from error
        if not day >= _EARLIEST:
            raise InputError(field, text, f"give a day from {_EARLIEST} on")
        return day
    shown = text if isinstance(text, str) and len(text) <= 40 else _short(text)
    meant = list(dict.fromkeys(day.isoformat() for day in _meanings(plain)))
    if len(meant) > 1:
        raise InputError(field, shown, f"write {' or '.join(meant)}, whichever is meant")
    if meant:
        raise InputError(field, shown, f"write {meant[0]} if that is meant: days are year-month-day")
    raise InputError(field, shown, "give a day as year-month-day, such as 2026-05-31")


def read_past_day(text: object, field: str, today: date) -> date:
    """Day of a text as `read_day`, refused where it is yet to come."""
    day = read_day(text, field)
    if day > today:
        raise InputError(field, text, f"this day is yet to come; give one up to {today}")
    return day


def _short(text: object) -> str:
    shown = text if isinstance(text, str) else repr(text)
    return shown[:37] + "..." if len(shown) > 40 else shown


def _meanings(plain: str) -> Iterator[date]:
    """Days that three numbers can mean: day first, month first, or year first."""
    found = _OTHER.fullmatch(plain) if plain.isascii() else None
    if found is None:
        return
    one, two, three = found.groups()
    orders = [(one, two, three)] if len(one) == 4 else [(three, two, one), (three, one, two)]
    for year, month, day in orders:
        # a year of two figures is left to whoever wrote it
        if len(year) == 4 and len(month) <= 2 and len(day) <= 2:
            try:
                yield date(int(year), int(month), int(day))
            except ValueError:
                continue


def today() -> date:
    """Return the day where the machine stands."""
    return datetime.now().astimezone().date()
