"""A job file with the anchors of a layout put in, its comments and all else left as they stand."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ropewright.job.layout_model import Layout, Placed, Setting
from ropewright.quantity import UnitSystem

if TYPE_CHECKING:
    import tomlkit

__all__ = ["job_text_with"]

_FOOT = 0.3048  #: [m]
#: What a new anchor is told to be, apart from its name and place.
_TERMS = ("strength", "basis", "on", "installed", "independent", "designed_by", "design_factor")
#: Fields that name a file, by their table.
_FILES = {"job": ("rules", "local_rules"), "roof": ("cityjson", "file")}


def job_text_with(layout: Layout, text: str, *, folder: Path, into: Path) -> str:
    """Text of a job file with the anchors of a layout, and each worker's line tied and set as it says.

    Parameters
    ----------
    layout : Layout
    text : str
        The job file that the layout was made for.
    folder : Path
        Its folder.
    into : Path
        Folder that the new file goes to; names of other files in it are written from there.

    Returns
    -------
    str
        A line is tied to the anchor that gets its worker to the most places, to one of its own as far as there are
        enough; how it is to be set on the others stands beside its length in a note.
    """
    import tomlkit

    document = tomlkit.parse(text)
    raw = document.unwrap()
    if "anchor" not in document:
        document.add(tomlkit.nl())
        document["anchor"] = tomlkit.aot()
    if not layout.wanted.keep and layout.anchors:
        document["anchor"].clear()
        if "like" in document.get("anchors", {}):  # the anchor meant goes; the new ones are like it
            document["anchors"]["like"] = layout.anchors[0].name
    anchors: Any = document["anchor"]
    for placed in layout.anchors:
        anchors.append(_table(layout, placed, raw))
    lines: Any = document["line"]
    taken: set[str] = set()
    for line in lines:
        _tie(layout, line, taken)
    _move_files(document, folder, into)
    return tomlkit.dumps(document)


def _table(layout: Layout, placed: Placed, raw: Mapping[str, Any]) -> tomlkit.items.Table:
    import tomlkit

    table = tomlkit.table()
    table.add("name", placed.name)
    units = layout.job.units
    table.add("at", [_length(float(value), units, 4) for value in placed.point])
    for key, value in _terms(layout, raw).items():
        table.add(key, value)
    table.add(tomlkit.comment(f"on {placed.on}, as laid out; a qualified person decides its strength and structure"))
    return table


def _terms(layout: Layout, raw: Mapping[str, Any]) -> dict[str, Any]:
    """What new anchors are told to be, as the file has it: stated for them, or of the anchor they are like."""
    plan = layout.job.anchor_plan
    told = raw.get("anchors", {})
    if plan.terms is None:
        name = plan.like or layout.job.anchors[0].name
        told = next(table for table in raw["anchor"] if table["name"].strip() == name)
    return {key: told[key] for key in _TERMS if key in told}


def _tie(layout: Layout, line: Any, taken: set[str]) -> None:
    """Tie a line to its best anchor of the layout that is free; the other settings go into a note behind its length."""
    units, name = layout.job.units, str(line["name"]).strip()
    found = [(placed, one) for placed in (*layout.kept, *layout.anchors) for one in placed.settings if one.line == name]
    if not found:
        names = [placed.name for placed in (*layout.kept, *layout.anchors)]
        if names and str(line.get("anchor", "")).strip() not in names:
            line["anchor"] = names[0]
        if "length" not in line:  # its worker has nowhere to get to, or no line of theirs is needed there
            line["length"] = _length(0.0, units, 0)
        return
    best = max(found, key=lambda pair: (pair[0].name not in taken, pair[1].places))
    taken.add(best[0].name)
    line["anchor"] = best[0].name
    line["length"] = _stop(best[1], units)
    others = [f"{placed.name}: {_stop(one, units)}" for placed, one in found if placed is not best[0]]
    if others:
        line["length"].comment(f"on the other anchors, {', '.join(others)}")


def _stop(one: Setting, units: UnitSystem) -> str:
    return _length(one.stop, units, 2 if units is UnitSystem.METRIC else 1)


def _length(metres: float, units: UnitSystem, digits: int) -> str:
    """Length in the job's units; a setting is a whole number of its last digit."""
    value, unit = (metres / _FOOT, "ft") if units is UnitSystem.US else (metres, "m")
    return f"{round(value, digits) + 0.0:.{digits}f} {unit}"


def _move_files(document: Any, folder: Path, into: Path) -> None:
    """Name other files from the new file's folder."""
    if folder.resolve() == into.resolve():
        return
    for section, keys in _FILES.items():
        for key in keys:
            value = document.get(section, {}).get(key)
            if isinstance(value, str) and not Path(value).is_absolute() and (folder / value).is_file():
                document[section][key] = os.path.relpath(folder / value, into)
