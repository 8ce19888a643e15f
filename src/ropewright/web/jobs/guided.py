"""From what stands in the guided form to the text of a job file; every fault names the field of the form."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from ropewright.errors import InputError, InputErrors
from ropewright.job.changes import changed
from ropewright.job.plan_shapes import Corner, outline_by_sides, outline_of_shape, written_outline
from ropewright.quantity import Dimension, UnitSystem, parse_quantity
from ropewright.web.form_error import FormError
from ropewright.web.jobs.guided_fields import ANCHOR, HEAD, KIT, ROOF, SAYS, WORKER, Field
from ropewright.web.words import _

__all__ = ["MOST_ROWS", "guided_text", "rows_of"]

#: Most anchors, and most workers, of one form.
MOST_ROWS = 20
_SIDE = re.compile(r"(?P<length>.+?)\s+(?P<way>left|right|izquierda|derecha)(?:\s+(?P<turn>\S.*))?", re.IGNORECASE)
#: Longest side of an outline that stands in for one with faults, so that all the other faults are found. [m]
_STAND_IN = ["10 m", "8 m"]

Texts = Mapping[str, str]


def rows_of(texts: Texts, kind: str) -> int:
    """How many anchors or workers the form has."""
    told = texts.get(kind, "1")
    return min(max(int(told), 1), MOST_ROWS) if told.isdecimal() and len(told) < 4 else 1


def guided_text(texts: Texts, *, by: str) -> str:
    """Text of the job file that a form describes.

    Parameters
    ----------
    texts : mapping of str to str
        What stands in its fields; ``anchors`` and ``workers`` say how many there are.
    by : str
        Who prepared it.

    Raises
    ------
    InputErrors
        All faults at once, those of the outline and those of the job file.
    """
    import tomlkit

    raw, faults = _tables(texts)
    raw["job"]["prepared_by"] = by
    try:
        raw["roof"] |= _outline(texts, raw["job"].get("units"))
    except (InputError, InputErrors) as error:
        faults.append(error)
        raw["roof"]["size"] = _STAND_IN
    if faults:
        raise InputErrors("form", _all(faults, raw))
    return tomlkit.dumps(raw)


def _all(faults: list[InputError | InputErrors], raw: Mapping[str, object]) -> list[InputError]:
    """Every fault of the form with every fault of the job file that it makes."""
    from ropewright.job.file import job_from_mapping

    try:
        job_from_mapping(raw)
    except (InputError, InputErrors) as error:
        faults.append(error)
    return [one for fault in faults for one in _each(fault)]


def _each(error: InputError | InputErrors) -> Iterator[InputError]:
    if isinstance(error, InputErrors):
        for one in error.exceptions:
            yield from _each(one)  # type: ignore[arg-type]
    else:
        yield error


def _tables(texts: Texts) -> tuple[dict[str, Any], list[InputError | InputErrors]]:
    anchors, workers = rows_of(texts, "anchors"), rows_of(texts, "workers")
    raw: dict[str, Any] = {"job": {}, "site": {"ground": "0 m"}, "roof": {}}
    raw |= {"anchor": [{} for _row in range(anchors)], "rope": {"main": {}}, "lanyard": {"main": {}}}
    raw |= {
        "line": [_line(row, texts) for row in range(workers)],
        "crew": [{"line": f"L{row + 1}"} for row in range(workers)],
    }
    faults: list[InputError | InputErrors] = []
    for name, field in _fields(anchors, workers):
        try:
            value = _value(field, name, texts.get(name, "").strip())
        except InputError as error:
            faults.append(error)
            continue
        if value is not None:
            raw = changed(raw, name, value)
    _places(raw, texts)
    return raw, faults


def _fields(anchors: int, workers: int) -> Iterator[tuple[str, Field]]:
    """Fields that stand in the job file as they stand in the form."""
    for section in (HEAD, ROOF, KIT, SAYS):
        yield from ((field.name, field) for field in section.fields if not field.name.startswith("kit."))
    for section, rows in ((ANCHOR, anchors), (WORKER, workers)):
        for row in range(rows):
            yield from ((field.of(row), field) for field in section.fields if ".at[" not in field.name)


def _value(field: Field, name: str, text: str) -> object:
    """Value of a field as a job file has it; None where nothing was said."""
    if field.kind == "tick":
        return True if text == "yes" else None
    if field.name == "roof.high_side":
        return int(text) if text.isdecimal() and len(text) < 4 else text or None
    if field.kind == "day" and text:
        try:
            return date.fromisoformat(text)
        except ValueError as error:
            raise FormError(name, text, _("give a day, such as 2026-01-31")) from error
    return text or None


def _line(row: int, texts: Texts) -> dict[str, Any]:
    line: dict[str, Any] = {"name": f"L{row + 1}", "rope": "main", "lanyard": "main"}
    if texts.get("grab.main.lock", "").strip() or texts.get("grab.main.slip", "").strip():
        line["grab"] = "main"
    for key in ("connector_strength", "gate_strength"):
        if texts.get(f"kit.{key}", "").strip():
            line[key] = texts[f"kit.{key}"].strip()
    return line


def _places(raw: Mapping[str, Any], texts: Texts) -> None:
    """Put in the places of the anchors; a grab that nobody has is left out."""
    for row, anchor in enumerate(raw["anchor"]):
        place = [texts.get(f"anchor[{row}].at[{axis}]", "").strip() for axis in (0, 1)]
        if any(place):
            anchor["at"] = place
    if "grab" not in raw["line"][0]:
        raw.pop("grab", None)  # type: ignore[attr-defined]


# the outline -------------------------------------------------------------------------------------------------------


def _outline(texts: Texts, told_units: object) -> dict[str, Any]:
    units = UnitSystem.US if told_units == UnitSystem.US else UnitSystem.METRIC
    shape = texts.get("shape", "rectangle")
    if shape == "sides":
        return {"outline": written_outline(outline_by_sides(_sides(texts.get("sides", ""))), units)}
    names = ["width", "depth"] if shape == "rectangle" else ["width", "depth", "inner_width", "inner_depth"]
    lengths = _lengths(names, texts)
    try:
        corners: list[Corner] = outline_of_shape(shape, *lengths)
    except InputError as error:  # it names the length in metres; whoever typed it wants to see what they typed
        raise InputError(error.field, texts.get(error.field), error.expected) from error
    if shape == "rectangle":
        return {"size": written_outline([corners[2]], units)[0]}
    return {"outline": written_outline(corners, units)}


def _lengths(names: list[str], texts: Texts) -> list[float]:
    read: list[float] = []
    faults: list[InputError] = []
    for name in names:
        try:
            read.append(parse_quantity(texts.get(name, "").strip() or None, Dimension.LENGTH, name))
        except InputError as error:
            faults.append(error)
    if faults:
        raise InputErrors("outline", faults)
    return read


def _sides(text: str) -> list[tuple[float, float]]:
    """Length and turn of each wall, one a line."""
    sides: list[tuple[float, float]] = []
    for line in filter(None, map(str.strip, text.splitlines())):
        found = _SIDE.fullmatch(line)
        if found is None:
            raise FormError("sides", line[:80], _("give a length and a turn, such as 12 m left"))
        length = parse_quantity(found["length"], Dimension.LENGTH, "sides")
        turn = parse_quantity(found["turn"], Dimension.ANGLE, "sides") if found["turn"] else 90.0
        sides.append((length, turn if found["way"].lower() in ("left", "izquierda") else -turn))
    return sides
