"""Single values of a footprint's properties: a text with its unit, or a plain number in the unit of its name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ropewright.errors import RoofError
from ropewright.quantity import Dimension, parse_quantity

__all__ = [
    "MOST_SIDES",
    "angle_of",
    "length_of",
    "number_of",
    "pitch_of",
    "refuse_unknown",
    "side_of",
    "sides_of",
    "tables_of",
    "word_of",
]

#: A footprint has no more sides than this. [-]
MOST_SIDES = 400


def number_of(value: object, key: str, least: float, most: float) -> float:
    """Return a plain number from `least` to `most`; a text that is one will do, since tags of maps are texts."""
    if isinstance(value, str):
        try:
            return number_of(float(value), key, least, most)
        except ValueError as error:
            raise RoofError(key, value[:40], "give a number") from error
    if not isinstance(value, (int, float)) or isinstance(value, bool) or not least <= value <= most:
        raise RoofError(key, value, f"give a number from {least:g} to {most:g}")
    return float(value)


def angle_of(value: object, key: str, *, bare: bool) -> float:
    """Return a pitch [deg]; `bare`: as a number of degrees."""
    if bare:
        return number_of(value, key, -90.0, 90.0)
    if not isinstance(value, str):
        raise RoofError(key, value, 'give a text with its unit, such as "35 deg" or "8:12", or \'pitch_deg\'')
    return parse_quantity(value, Dimension.ANGLE, key)


def pitch_of(
    properties: Mapping[str, Any], path: str = "", more: Sequence[str] = (), *, key: str = "pitch"
) -> float | None:
    """Return a pitch [deg] by any of its names, `more` being numbers of degrees; None where it is not told."""
    for name in (key, f"{key}_deg", *more):
        value = properties.get(name)
        if value is not None:
            return angle_of(value, f"{path}{name}", bare=name != key)
    return None


def length_of(
    properties: Mapping[str, Any], key: str, most: float, *, least: float = 0.0, path: str = ""
) -> float | None:
    """Length [m], given as text with its unit, or as metres in the property that ends in ``_m``; None: not told."""
    if properties.get(f"{key}_m") is not None:
        return number_of(properties[f"{key}_m"], f"{path}{key}_m", least, most)
    value = properties.get(key)
    if value is None:
        return None
    if not isinstance(value, str):
        raise RoofError(f"{path}{key}", value, f'give a text with its unit, such as "3 m" or "10 ft", or \'{key}_m\'')
    length = parse_quantity(value, Dimension.LENGTH, f"{path}{key}")
    if not least <= length <= most:
        raise RoofError(f"{path}{key}", value, f"give a length from {least:g} m to {most:g} m")
    return length


def word_of(properties: Mapping[str, Any], key: str, words: Sequence[str], *, path: str = "") -> str:
    """Return one of some words; empty where it is not told."""
    value = properties.get(key)
    if value is None:
        return ""
    if value not in words:
        raise RoofError(f"{path}{key}", value, f"give one of {', '.join(words)}")
    return str(value)


def side_of(value: object, key: str, count: int) -> int:
    """Return the number of a side, counted from 1 in the file and from 0 here."""
    if type(value) is not int or not 1 <= value <= count:
        raise RoofError(key, value, f"give the number of a side, from 1 to {count}")
    return value - 1


def sides_of(properties: Mapping[str, Any], key: str) -> list[int]:
    """Numbers of sides, counted from 1 in the file and from 0 here."""
    given = properties.get(key)
    if given is None:
        return []
    if not isinstance(given, list) or not all(type(side) is int and 1 <= side <= MOST_SIDES for side in given):
        raise RoofError(key, given, "give a list of numbers of sides, counted from 1")
    return [side - 1 for side in given]


def tables_of(properties: Mapping[str, Any], key: str, most: int = MOST_SIDES) -> list[tuple[str, Mapping[str, Any]]]:
    """Objects of a list, each with its path in messages, such as ``side[0].``; none where it is not told."""
    given = properties.get(key)
    if given is None:
        return []
    if not isinstance(given, list) or len(given) > most or not all(isinstance(one, dict) for one in given):
        raise RoofError(key, type(given).__name__, f"give a list of at most {most} objects")
    return [(f"{key}[{number}].", one) for number, one in enumerate(given)]


def refuse_unknown(table: Mapping[str, Any], path: str, known: Sequence[str]) -> None:
    """Refuse an object with a member that nobody would read: what it says would be lost."""
    for key in table:
        if key not in known:
            raise RoofError(f"{path}{key[:40]}", "a member that is not known", f"give only {', '.join(known)}")
