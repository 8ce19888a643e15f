"""The one family of errors that a user can mend."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["FileError", "InputError", "InputErrors", "QuantityError", "RoofError", "RulesError"]


class InputError(Exception):
    """What a user gave can't be used; says which field, what stood there and what would be right.

    Parameters
    ----------
    field : str
        Path of the field as the user wrote it, such as ``anchor[2].height`` or ``--mass``.
    value : object
        What stood there; shown with `repr`, so that blanks and quotes are seen. None: nothing stood there.
    expected : str
        What would be right, as the end of a sentence: ``give a length with its unit, such as '3 m'``.
    source : str, optional
        The file it came from.

    Examples
    --------
    >>> str(InputError("anchor[2].height", "3", "give a length with its unit, such as '3 m' or '10 ft'"))
    "anchor[2].height: got '3'; give a length with its unit, such as '3 m' or '10 ft'"
    >>> str(InputError("crew[1].mass", None, "give a mass with its unit, such as '230 lb'", source="roof.toml"))
    "roof.toml: crew[1].mass: missing; give a mass with its unit, such as '230 lb'"
    """

    def __init__(self, field: str, value: object, expected: str, *, source: str | None = None) -> None:
        super().__init__(field, value, expected, source)
        self.field = field
        self.value = value
        self.expected = expected
        self.source = source

    def __str__(self) -> str:
        place = f"{self.source}: {self.field}" if self.source else self.field
        found = "missing" if self.value is None else f"got {self.value!r}"
        return f"{place}: {found}; {self.expected}"

    def located(self, source: str) -> InputError:
        """Return the same error with the file it came from."""
        return type(self)(self.field, self.value, self.expected, source=source)


class QuantityError(InputError):
    """A number without its unit, an unknown unit, or a unit of another kind than the field takes."""


class RoofError(InputError):
    """A roof that can't stand: crossing outline, facet out of plane, impossible pitches."""


class RulesError(InputError):
    """A rules pack or an overlay that can't be used, or a fact that no rule knows."""


class FileError(InputError):
    """A file that is missing, unreadable, too large or broken; `field` is the place in it."""


class InputErrors(ExceptionGroup[InputError]):
    """All the faults found in one input at once."""

    def derive(self, excs: Sequence[InputError], /) -> InputErrors:  # type: ignore[override]
        """Return a group of the same kind, so that ``split`` keeps the type."""
        return InputErrors(self.message, excs)
