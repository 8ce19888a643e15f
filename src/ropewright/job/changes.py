"""One field of a job file replaced in a copy: what a remedy is tried with."""

from __future__ import annotations

import copy
import re
from collections.abc import Mapping
from itertools import pairwise

__all__ = ["changed", "field_steps"]

_STEP = re.compile(r'(?:"([^"]*)"|([^."\[\]]+))((?:\[[0-9]{1,6}\])*)(?:\.|$)')


def changed(raw: Mapping[str, object], field: str, value: object) -> dict[str, object]:
    """Copy of a job file's tables with one field replaced or added.

    Parameters
    ----------
    raw : mapping
        As `tomllib` reads the file, or `Job.raw`.
    field : str
        Path of the field as errors name it: ``line[0].length``, ``rope."11.5 mm".strength``. Lists count from 0.
    value : object
        What to put there, as it would stand in the file.

    Returns
    -------
    dict
        A deep copy; `raw` is left as it is. Tables on the way are made where they are missing.

    Raises
    ------
    ValueError
        If the path can't be read, or leads through something that is no table or past the end of a list.

    Examples
    --------
    >>> changed({"line": [{"length": "40 ft"}]}, "line[0].length", "30 ft")
    {'line': [{'length': '30 ft'}]}
    >>> changed({}, "rescue.by", "crew lead")
    {'rescue': {'by': 'crew lead'}}
    """
    result = copy.deepcopy(dict(raw))
    place: object = result
    steps = field_steps(field)
    for step, then in pairwise(steps):
        place = _into(place, step, field, make=isinstance(step, str) and isinstance(then, str))
    last = steps[-1]
    _checked(place, last, field)
    place[last] = value  # type: ignore[index]
    return result


def field_steps(field: str) -> list[str | int]:
    """Keys and list numbers of a path, in order."""
    steps: list[str | int] = []
    at = 0
    while at < len(field):
        match = _STEP.match(field, at)
        if match is None:
            raise ValueError(f"no path of a field: {field!r}")
        steps.append(match[2] if match[1] is None else match[1])
        steps.extend(int(number) for number in re.findall(r"[0-9]+", match[3]))
        at = match.end()
    if not steps or field.endswith("."):
        raise ValueError(f"no path of a field: {field!r}")
    return steps


def _into(place: object, step: str | int, field: str, *, make: bool) -> object:
    if make and isinstance(place, dict):
        return place.setdefault(step, {})
    _checked(place, step, field)
    try:
        return place[step]  # type: ignore[index]
    except KeyError as error:
        raise ValueError(f"{field!r} leads nowhere: there is no {step!r}") from error


def _checked(place: object, step: str | int, field: str) -> None:
    """Raise if a step can't be taken from here."""
    fits = (isinstance(place, list) and step < len(place)) if isinstance(step, int) else isinstance(place, dict)
    if not fits:
        raise ValueError(f"{field!r} leads nowhere at {step!r}")
