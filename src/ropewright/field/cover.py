"""Which anchors cover which places, made small before a program chooses among them.

Rows are what must be covered, columns are what can be chosen.  A row that is covered whenever another one is can be
left out; so can a column that covers nothing which another one at the same price does not cover.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["deciding_rows", "greedy_cover", "merged_rows", "useful_columns"]

Bools = NDArray[np.bool_]
Integers = NDArray[np.int64]


def merged_rows(covers: Bools) -> tuple[Integers, Integers]:
    """Rows that stand for all rows alike.

    Parameters
    ----------
    covers : array of bool, shape (n, m)

    Returns
    -------
    tuple of two arrays of int, shape (k,) and (n,)
        One row of each kind, and of which kind each row is.

    Examples
    --------
    >>> first, kind = merged_rows(np.array([[True, False], [True, True], [True, False]]))
    >>> first.tolist(), kind.tolist()
    ([0, 1], [0, 1, 0])
    """
    if not len(covers):
        return np.empty(0, np.int64), np.empty(0, np.int64)
    packed = np.packbits(covers, axis=1)
    _, first, kind = np.unique(packed, axis=0, return_index=True, return_inverse=True)
    order = np.argsort(first)
    rank = np.empty(len(first), np.int64)
    rank[order] = np.arange(len(first))
    return first[order], rank[kind.ravel()]


def deciding_rows(covers: Bools) -> Integers:
    """Rows which, once they are covered, leave no row uncovered; in their order.

    Parameters
    ----------
    covers : array of bool, shape (n, m)
        Each row has at least one column.

    Returns
    -------
    array of int, shape (k,)

    Examples
    --------
    Whoever covers the second row covers the first as well:

    >>> deciding_rows(np.array([[True, True, False], [True, False, False], [False, False, True]]))
    array([1, 2])
    """
    first, _ = merged_rows(covers)
    small = covers[first]
    kept: Integers = np.sort(first[~_holds_another(small)])
    return kept


def useful_columns(covers: Bools) -> Integers:
    """Columns without those that cover nothing which another one does not cover too; in their order.

    Parameters
    ----------
    covers : array of bool, shape (n, m)
        All columns are of one price.

    Returns
    -------
    array of int, shape (k,)

    Examples
    --------
    >>> useful_columns(np.array([[True, True, False], [True, False, True]]))
    array([0])
    """
    first, _ = merged_rows(covers.T)
    small = covers.T[first]
    kept: Integers = np.sort(first[~_holds_another(~small)])
    return kept


def _holds_another(rows: Bools) -> Bools:
    """True for each of n different rows that has all the marks of another one, shape (n,)."""
    marks = rows.astype(np.float32)  # exact: counts stay far below 2**24
    shared = marks @ marks.T
    inside = shared >= marks.sum(axis=1)[:, None]  # row i within row j
    np.fill_diagonal(inside, val=False)
    held: Bools = inside.any(axis=0)
    return held


def greedy_cover(covers: Bools) -> list[int]:
    """Columns that cover every row, each time the one that covers most of what is left: a start, seldom the least.

    Parameters
    ----------
    covers : array of bool, shape (n, m)

    Returns
    -------
    list of int

    Raises
    ------
    ValueError
        If a row has no column.

    Examples
    --------
    >>> greedy_cover(np.array([[True, False], [True, True], [False, True]]))
    [0, 1]
    """
    if not covers.any(axis=1).all():
        raise ValueError("a row has no column that covers it")
    left, chosen = np.ones(len(covers), bool), list[int]()
    while left.any():
        best = int(covers[left].sum(axis=0).argmax())
        chosen.append(best)
        left &= ~covers[:, best]
    return sorted(chosen)
