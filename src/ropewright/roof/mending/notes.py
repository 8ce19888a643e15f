"""What was mended, and what was found, while a roof was made from measured facets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

__all__ = ["Mendings", "listed"]

#: Names told in one note before "and n more": all are of one kind, and a church has a hundred.
_NAMED = 4


def listed(names: Sequence[str]) -> str:
    """Names in a row, the tail of a long row as a count.

    Examples
    --------
    >>> listed(["a", "b"]), listed(["a", "b", "c", "d", "e", "f"])
    ('a, b', 'a, b, c, d and 2 more')
    """
    shown = ", ".join(names[:_NAMED])
    return f"{shown} and {len(names) - _NAMED} more" if len(names) > _NAMED else shown


@dataclass
class Mendings:
    """Notes by kind: `mended` changed the roof, `found` only says how it was understood."""

    _mended: dict[str, list[str]] = field(default_factory=dict)
    _found: dict[str, list[str]] = field(default_factory=dict)

    def mend(self, what: str, name: str = "") -> None:
        """Note that something was changed, and in what facet."""
        self._mended.setdefault(what, []).append(name)

    def find(self, what: str, name: str = "") -> None:
        """Note how something was understood."""
        self._found.setdefault(what, []).append(name)

    def copy(self) -> Mendings:
        """Return the same notes, to go on with apart."""
        mended, found = ({what: list(names) for what, names in notes.items()} for notes in (self._mended, self._found))
        return Mendings(mended, found)

    @property
    def mended(self) -> tuple[str, ...]:
        """One sentence for each kind of change."""
        return _sentences(self._mended)

    @property
    def found(self) -> tuple[str, ...]:
        """One sentence for each thing understood."""
        return _sentences(self._found)


def _sentences(notes: dict[str, list[str]]) -> tuple[str, ...]:
    named = {what: list(dict.fromkeys(name for name in names if name)) for what, names in notes.items()}
    return tuple(f"{what}: {listed(names)}" if names else what for what, names in named.items())
