"""Rules packs from their files: those that come with the program, and a user's own."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from ropewright.errors import FileError, InputError, InputErrors, RulesError
from ropewright.quantity import UnitSystem
from ropewright.rules.overlay import overlaid
from ropewright.rules.pack import Pack
from ropewright.rules.rows import Row, all_read, read_allowance, read_conflict, read_definition, read_limit

__all__ = ["load_pack", "pack_names"]

#: Larger than any pack; whatever is larger is something else. [bytes]
_LARGEST = 2_000_000
#: A pack on a pack on a pack; more is a circle.
_DEEPEST = 8
_HEAD = ("id", "title", "jurisdiction", "edition", "disclaimer", "compared", "compared_with", "units")
_TOP = {*_HEAD, "scope", "parts", "extends", "limit", "definition", "allowance", "conflict"}


@dataclass(frozen=True)
class PackText:
    """A pack as its file has it, with what its parts hold added."""

    head: Row
    limits: tuple[Row, ...]
    definitions: Mapping[str, Row]
    allowances: Mapping[str, Row]
    conflicts: tuple[Row, ...]
    name: str = field(default="")


def pack_names() -> tuple[str, ...]:
    """Names of the packs that come with the program, sorted.

    Examples
    --------
    >>> "us-construction" in pack_names()
    True
    """
    return tuple(sorted(item.name.removesuffix(".toml") for item in _data().iterdir() if item.name.endswith(".toml")))


def load_pack(name_or_path: str | Path, overlay: Path | None = None) -> Pack:
    """Pack of a name, or of a file, with a user's own rules laid over it.

    Parameters
    ----------
    name_or_path : str or Path
        One of `pack_names`, or a file; a file with ``extends = "us-construction"`` is laid over that pack.
    overlay : Path, optional
        File of stricter or further rules, laid over on top.

    Returns
    -------
    Pack

    Raises
    ------
    RulesError
        For an unknown pack; for a looser figure with no word on who decided it; for anything wrong in a row.
    FileError
        If a file is missing, too large, or no TOML.
    InputErrors
        If there is more than one fault.

    Examples
    --------
    >>> load_pack("us-construction").governing("free_fall").demand
    'no more than 6 ft is allowed'
    """
    pack = _load(name_or_path, Path(), 0)
    return pack if overlay is None else _lay_over(pack, _read_file(Path(overlay)), Path(overlay))


def _load(name_or_path: str | Path, folder: Path, depth: int) -> Pack:
    if depth > _DEEPEST:
        raise RulesError("extends", str(name_or_path), "packs extend each other in a circle")
    if isinstance(name_or_path, str) and name_or_path in pack_names():
        return _builtin(name_or_path)
    path = folder / name_or_path
    if isinstance(name_or_path, str) and path.suffix != ".toml":
        raise _unknown(name_or_path)
    text = _read_file(path)
    if "parts" in text.head:
        raise RulesError("parts", text.head["parts"], "write the limits into the file itself", source=str(path))
    if "extends" not in text.head:
        return _build(text)
    base = text.head["extends"]
    if not isinstance(base, str) or not base:
        raise RulesError("extends", base, _packs(), source=str(path))
    return _lay_over(_load(base, path.parent, depth + 1), text, path)


def _unknown(name: str) -> RulesError:
    near = difflib.get_close_matches(name, pack_names(), n=1)
    hint = f"did you mean {near[0]!r}? " if near else ""
    return RulesError("pack", name, f"{hint}{_packs()}")


def _packs() -> str:
    return f"the packs are {', '.join(pack_names())}; or give a file that ends in .toml"


@cache
def _builtin(name: str) -> Pack:
    return _build(_with_parts(_parse((_data() / f"{name}.toml").read_text(encoding="utf-8"), name)))


def _data() -> Traversable:
    return files("ropewright.rules") / "data"


def _read_file(path: Path) -> PackText:
    try:
        if path.stat().st_size > _LARGEST:
            raise FileError(str(path), f"{path.stat().st_size} bytes", "a rules pack is smaller than 2 MB")
        return _parse(path.read_text(encoding="utf-8"), str(path))
    except OSError as error:
        raise FileError(str(path), error.strerror or "unreadable", "give a rules pack that can be read") from error
    except UnicodeDecodeError as error:
        raise FileError(str(path), "no UTF-8 text", "save the rules pack as plain text") from error


def _parse(text: str, name: str) -> PackText:
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise FileError(name, str(error), "mend the syntax; the file is TOML") from error
    for key in raw:
        if key not in _TOP:
            near = difflib.get_close_matches(key, _TOP, n=1)
            hint = f", did you mean {near[0]!r}?" if near else ""
            raise RulesError(key, raw[key], f"there is no such key in a rules pack{hint}", source=name)
    limits, conflicts = _tables(raw, "limit", name), _tables(raw, "conflict", name)
    definitions, allowances = (_named(raw, key, name) for key in ("definition", "allowance"))
    return PackText(raw, tuple(limits), definitions, allowances, tuple(conflicts), name)


def _with_parts(text: PackText) -> PackText:
    """Add what stands in the parts of a pack that comes with the program; the limits of a pack fill several files."""
    limits, conflicts = list(text.limits), list(text.conflicts)
    for part in text.head["parts"]:
        further = tomllib.loads((_data() / "parts" / f"{part}.toml").read_text(encoding="utf-8"))
        limits += [{**further.get("defaults", {}), **row} for row in further.get("limit", [])]
        conflicts += further.get("conflict", [])
    return replace(text, limits=tuple(limits), conflicts=tuple(conflicts))


def _tables(raw: Row, key: str, name: str) -> list[Row]:
    rows = raw.get(key, [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise RulesError(key, rows, f"write each one under a heading [[{key}]]", source=name)
    return list(rows)


def _named(raw: Row, key: str, name: str) -> dict[str, Row]:
    rows = raw.get(key, {})
    if not isinstance(rows, dict) or not all(isinstance(row, dict) for row in rows.values()):
        raise RulesError(key, rows, f"write each one under a heading [{key}.NAME]", source=name)
    return dict(rows)


def _build(text: PackText) -> Pack:
    """Pack of a text that stands by itself."""
    faults: list[InputError] = []
    head = _head(text.head, faults)
    compared = head["compared"] if _is_day(head["compared"]) else date.min
    limits = all_read(lambda row: read_limit(row, compared), text.limits, faults)
    definitions = all_read(lambda item: read_definition(item[0], item[1], compared), text.definitions.items(), faults)
    allowances = all_read(lambda item: read_allowance(item[0], item[1], compared), text.allowances.items(), faults)
    conflicts = all_read(read_conflict, text.conflicts, faults)
    faults += [RulesError("limit", name, "this id is taken; give each limit its own") for name in _twice(limits)]
    _raise(faults, text.name)
    scope = head["scope"]
    return Pack(
        **head,
        limits=tuple(limit if limit.scope else replace(limit, scope=scope) for limit in limits),
        definitions={one.term: one for one in definitions},
        allowances={one.name: one for one in allowances},
        conflicts=tuple(conflicts),
    )


def _head(raw: Row, faults: list[InputError]) -> dict[str, Any]:
    """Return what every pack must say of itself."""
    head: dict[str, Any] = {"scope": str(raw.get("scope", ""))}
    for key in _HEAD:
        value = raw.get(key)
        if key == "compared":
            good: object = _is_day(value)
        elif key == "units":
            good = value in list(UnitSystem)
        else:
            good = isinstance(value, str) and value.strip()
        if not good:
            expected = {"compared": "give a day, such as 2026-11-25 without quotes", "units": "give 'us' or 'metric'"}
            faults.append(RulesError(key, value, expected.get(key, f"give the pack its {key.replace('_', ' ')}")))
        head[key] = UnitSystem(str(value)) if key == "units" and good else value
    return head


def _is_day(value: object) -> bool:
    return isinstance(value, date) and not isinstance(value, datetime)


def _twice(limits: Iterable[Any]) -> list[str]:
    seen: set[str] = set()
    return [limit.id for limit in limits if limit.id in seen or seen.add(limit.id)]  # type: ignore[func-returns-value]


def _lay_over(base: Pack, text: PackText, path: Path) -> Pack:
    extends = text.head.get("extends", base.id)
    if extends not in (base.id, base.based_on) and Path(str(extends)).suffix != ".toml":
        raise RulesError("extends", extends, f"these rules are laid over {base.id!r}, say so", source=str(path))
    faults: list[InputError] = []
    pack = overlaid(base, text.head, text.limits, text.definitions, text.allowances, text.conflicts, faults)
    _raise(faults, str(path))
    return pack


def _raise(faults: list[InputError], name: str) -> None:
    found = [error if error.source else error.located(name) for error in faults]
    if len(found) == 1:
        raise found[0]
    if found:
        raise InputErrors(f"{name}: {len(found)} faults", found)
