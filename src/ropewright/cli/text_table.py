"""A table of short texts that fits a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

__all__ = ["WIDTH", "table_lines"]

#: Widest that a line may be. [character]
WIDTH = 80

#: Narrowest that a column is made; a text is cut no shorter than this. [character]
_LEAST = 6


def table_lines(head: Sequence[str], rows: Sequence[Sequence[str]], *, width: int = WIDTH) -> Iterator[str]:
    r"""Lines of a table, its widest columns cut until it fits; what is cut ends in three points.

    Parameters
    ----------
    head : sequence of str
        Names of the columns.
    rows : sequence of sequence of str
        As many texts each.
    width : int
        Of a line.

    Yields
    ------
    str
        Without blanks at their ends.

    Examples
    --------
    >>> print("\n".join(table_lines(("code", "name"), [("P-07", "A. Example")])))
    code  name
    P-07  A. Example
    """
    wide = [max(len(row[column]) for row in (head, *rows)) for column in range(len(head))]
    room = width - 2 * (len(head) - 1)
    while sum(wide) > room and max(wide) > _LEAST:
        wide[wide.index(max(wide))] -= 1
    for row in (head, *rows):
        cells = (_cut(text, most).ljust(most) for text, most in zip(row, wide, strict=True))
        yield "  ".join(cells).rstrip()


def _cut(text: str, most: int) -> str:
    return text if len(text) <= most else text[: max(most - 3, 1)] + "..."[: max(most - 1, 0)]
