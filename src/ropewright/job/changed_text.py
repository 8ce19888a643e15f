"""Fields of a job file replaced in its text, its comments and all else left as they stand."""

from __future__ import annotations

import ast
from collections.abc import Callable, Mapping
from typing import Any

from ropewright.errors import FileError
from ropewright.job.changes import field_steps

__all__ = ["changed_text", "value_of"]


def changed_text(text: str, fields: Mapping[str, object]) -> str:
    r"""Text of a job file with fields replaced or added.

    Parameters
    ----------
    text : str
        A job file.
    fields : mapping of str to object
        Path of each field, as `ropewright.job.changes.changed` takes it, to its new value.

    Returns
    -------
    str

    Raises
    ------
    FileError
        If the text is no TOML.
    ValueError
        If a path leads nowhere.

    Examples
    --------
    >>> changed_text('[rescue] # who\nby = ""  # a name\n', {"rescue.by": "crew lead"})
    '[rescue] # who\nby = "crew lead"  # a name\n'
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        document = tomlkit.parse(text)
    except TOMLKitError as error:
        raise FileError("text", None, f"TOML is broken: {error}") from error
    for field, value in fields.items():
        try:
            _put(document, field, value)
        except (TypeError, KeyError, IndexError) as error:
            raise ValueError(f"{field!r} leads nowhere, or can't hold this value") from error
    return tomlkit.dumps(document)


def _put(document: Any, field: str, value: object) -> None:
    import tomlkit

    place: Any = document
    steps = field_steps(field)
    for step in steps[:-1]:
        try:
            place = place[step]
        except (KeyError, IndexError) as error:
            if not isinstance(step, str) or place is not document:
                raise ValueError(f"{field!r} leads nowhere: there is no {step!r}") from error
            place[step] = tomlkit.table()
            place = place[step]
    if isinstance(value, list) and value and isinstance(value[0], Mapping):
        value = _tables(value)
    elif isinstance(value, Mapping):
        value = _table(value) if place is document else _inline(value)
    place[steps[-1]] = value


def _tables(rows: list[Any]) -> Any:
    import tomlkit

    made = tomlkit.aot()
    for row in rows:
        made.append(_table(row, _inline))
    return made


def _table(values: Mapping[str, Any], inner: Callable[[Mapping[str, Any]], Any] | None = None) -> Any:
    """Table under a heading of its own; so are those in it, unless `inner` makes them."""
    import tomlkit

    made = tomlkit.table()
    for key, value in values.items():
        if isinstance(value, Mapping):
            made[key] = (inner or _table)(value)
        elif inner is None and isinstance(value, list) and value and isinstance(value[0], Mapping):
            made[key] = _tables(value)
        else:
            made[key] = value
    return made


def _inline(values: Mapping[str, Any]) -> Any:
    import tomlkit

    made = tomlkit.inline_table()
    made.update(values)
    return made


def value_of(shown: str) -> object:
    """Value of a remedy's change, from the text that a finding carries.

    Examples
    --------
    >>> value_of("4.40 m"), value_of("true"), value_of("{'force': '4.00 kN'}")
    ('4.40 m', True, {'force': '4.00 kN'})
    """
    if shown in ("true", "false"):
        return shown == "true"
    if shown.startswith(("[", "{")):
        value: object = ast.literal_eval(shown)
        return value
    return shown
