"""JSON of strangers: values that stand one after another in a text, each mistake told with its place."""

from __future__ import annotations

import json
from collections.abc import Iterator

from ropewright.errors import FileError

__all__ = ["documents"]


def documents(text: str) -> Iterator[object]:
    r"""JSON values that stand one after another in a text.

    Parameters
    ----------
    text : str

    Yields
    ------
    object
        As `json` makes them.

    Raises
    ------
    FileError
        If it is no JSON, is nested too deep, holds a number that is none or a key twice in one object.

    Examples
    --------
    >>> list(documents('{"a": 1}\n{"b": 2}'))
    [{'a': 1}, {'b': 2}]
    """
    decoder = json.JSONDecoder(object_pairs_hook=_without_repeats, parse_constant=_no_number)
    at, end = 0, len(text)
    while True:
        while at < end and text[at] in " \t\r\n":
            at += 1
        if at == end:
            return
        try:
            value, at = decoder.raw_decode(text, at)
        except json.JSONDecodeError as error:
            raise FileError(f"line {error.lineno}, column {error.colno}", error.msg, "give JSON") from error
        except RecursionError as error:
            raise FileError(_line(text, at), "brackets nested too deep", "give a file of roofs") from error
        except ValueError as error:  # an integer of thousands of digits
            raise FileError(_line(text, at), str(error)[:80], "give numbers a float can hold") from error
        yield value


def _line(text: str, at: int) -> str:
    return f"line {text.count(chr(10), 0, at) + 1}"


def _without_repeats(pairs: list[tuple[str, object]]) -> dict[str, object]:
    """JSON object as a dict; of two like keys one would be lost without a word."""
    found = dict(pairs)
    if len(found) < len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for i, key in enumerate(keys) if key in keys[:i])
        raise FileError(ascii(twice)[1:-1][:80], "a key that stands twice in one object", "give each key once")
    return found


def _no_number(name: str) -> float:
    raise FileError("number", name, "give numbers; JSON has neither NaN nor Infinity")
