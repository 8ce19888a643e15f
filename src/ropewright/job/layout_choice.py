"""Which anchors to take: as few as cover every place, with these the least swing, then the shortest lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ropewright.field.cover import deciding_rows, merged_rows
from ropewright.field.cover_program import cheapest_cover, least_cover, most_covered
from ropewright.job.layout_reach import Reach

__all__ = ["Choice", "choose", "least_count", "stops_for"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: Swings that differ by less are the same. [m]
_ALIKE = 1e-6


@dataclass(frozen=True)
class Choice:
    """Columns chosen, kept ones included."""

    columns: tuple[int, ...]
    limits: tuple[Integers, ...]  #: for each gear, shape (m,): longest setting allowed on each column, in steps
    bound: int  #: no fewer new anchors cover what can be covered
    proven: bool
    notes: tuple[str, ...] = ()


def choose(reaches: Sequence[Reach], kept: int, *, most: int | None, seconds: float) -> Choice:
    """Choose anchors.

    Parameters
    ----------
    reaches : sequence of Reach
        One for each kind of gear, over the same columns.
    kept : int
        The first so many columns are there anyhow and cost nothing.
    most : int, optional
        New anchors at most.
    seconds : float
        For each program. [s]

    Returns
    -------
    Choice
        Of all choices with the fewest new anchors one whose greatest swing drop is least, at settings out of a ladder
        of some for each anchor; of these one whose lines are shortest in sum.
    """
    limits = tuple(reach.longest for reach in reaches)
    rows = _rows([reach.covers() for reach in reaches], kept)
    found = least_cover(rows, seconds=seconds)
    assert found is not None  # only with a limit on the number can there be nothing
    bound = int(found.bound)
    if most is not None and found.value > most:
        return _best_with(reaches, kept, most, bound, seconds)
    count = len(found.columns)
    columns = (*range(kept), *(kept + at for at in found.columns))
    if count == 0:
        return Choice(columns, limits, bound, found.proven)
    return _least_swing(reaches, kept, Choice(columns, limits, bound, found.proven), seconds)


def least_count(reaches: Sequence[Reach], longest: Sequence[Integers], kept: int, *, seconds: float) -> int:
    """Number of new anchors below which none cover what can be covered now, were lines allowed to be longer.

    Parameters
    ----------
    reaches : sequence of Reach
        What can be covered is meant as they are.
    longest : sequence of arrays of int, shape (m,)
        For each of them, the settings that are to be allowed, in steps.
    kept : int
        The first so many columns are there anyhow.
    seconds : float
        [s]
    """
    covers = []
    for reach, limit in zip(reaches, longest, strict=True):
        longer = replace(reach, longest=limit).covers()
        longer[~reach.covers().any(axis=1)] = False
        covers.append(longer)
    found = least_cover(_rows(covers, kept), seconds=seconds)
    assert found is not None  # without a limit on the number there is always a choice
    return int(found.bound)


def _rows(covers: Sequence[Bools], kept: int) -> Bools:
    """What the new columns must cover: every place that can be covered and that no kept column covers."""
    rows = np.concatenate(list(covers))
    open_rows: Bools = rows[~rows[:, :kept].any(axis=1)][:, kept:]
    return open_rows[open_rows.any(axis=1)]


def _best_with(reaches: Sequence[Reach], kept: int, most: int, bound: int, seconds: float) -> Choice:
    """Choose `most` new anchors that cover as many places as they can."""
    rows = _rows([reach.covers() for reach in reaches], kept)
    first, kind = merged_rows(rows)
    weight = np.bincount(kind).astype(np.float64)
    found = most_covered(rows[first], weight, count=most, free=np.zeros(rows.shape[1], bool), seconds=seconds)
    columns = (*range(kept), *(kept + at for at in found.columns))
    return Choice(columns, tuple(reach.longest for reach in reaches), bound, found.proven)


def _least_swing(reaches: Sequence[Reach], kept: int, choice: Choice, seconds: float) -> Choice:
    """Swap anchors and shorten lines for less swing, then for shorter lines, with the same number."""
    count = len(choice.columns) - kept
    ladders = [reach.ladder() for reach in reaches]
    reaches = [_deciding(reach, steps) for reach, (steps, _) in zip(reaches, ladders, strict=True)]
    coverable = [np.asarray(reach.covers().any(axis=1)) for reach in reaches]
    swings = np.unique(np.concatenate([swing.ravel() for _, swing in ladders]).round(6))
    low, high, notes = 0, len(swings) - 1, choice.notes
    while low < high:  # the greatest swing allowed always suffices, and what suffices for some swing does for a larger
        middle = (low + high) // 2
        limits = [_within(ladder, float(swings[middle])) for ladder in ladders]
        if _feasible(reaches, limits, coverable, kept, count, seconds) is not None:
            high = middle
        else:
            low = middle + 1
    limits = [_within(ladder, float(swings[high])) for ladder in ladders]
    columns = _feasible(reaches, limits, coverable, kept, count, seconds)
    if columns is None:
        return choice
    shorter = _shortest(reaches, ladders, limits, coverable, kept, count, seconds)
    return Choice((*range(kept), *(shorter or columns)), tuple(limits), choice.bound, choice.proven, notes)


def _deciding(reach: Reach, steps: Integers) -> Reach:
    """Keep the places which, once they are covered by lines on some rungs of the ladder, leave none uncovered."""
    can_be = np.flatnonzero(reach.covers().any(axis=1))
    whole = replace(reach, need=reach.need[can_be])
    rungs = np.concatenate([whole.covers(rung) for rung in steps.T], axis=1)
    return replace(reach, need=whole.need[deciding_rows(rungs)])


def _within(ladder: tuple[Integers, Floats], swing: float) -> Integers:
    """Longest setting of each column that swings no further, in steps; -1 where there is none."""
    steps, swings = ladder
    limits: Integers = np.where(swings <= swing + _ALIKE, steps, -1).max(axis=1)
    return limits


def _feasible(
    reaches: Sequence[Reach],
    limits: Sequence[Integers],
    coverable: Sequence[Bools],
    kept: int,
    count: int,
    seconds: float,
) -> tuple[int, ...] | None:
    """Columns of so many new anchors at most that cover what can be covered within some limits; None without."""
    covers = [reach.covers(limit) for reach, limit in zip(reaches, limits, strict=True)]
    if any((wanted & ~here.any(axis=1)).any() for wanted, here in zip(coverable, covers, strict=True)):
        return None
    found = least_cover(_rows(covers, kept), at_most=count, seconds=seconds)
    if found is None or len(found.columns) > count:
        return None
    return tuple(kept + at for at in found.columns)


def _shortest(
    reaches: Sequence[Reach],
    ladders: Sequence[tuple[Integers, Floats]],
    limits: Sequence[Integers],
    coverable: Sequence[Bools],
    kept: int,
    count: int,
    seconds: float,
) -> tuple[int, ...] | None:
    """Columns with the shortest lines in sum, a line on every rung of the ladder a choice of its own."""
    blocks, costs, groups = [], [], []
    for number, (reach, (steps, _), limit) in enumerate(zip(reaches, ladders, limits, strict=True)):
        before = np.zeros(reach.need.shape, bool)
        for rung in range(steps.shape[1]):
            allowed = np.where(steps[:, rung] <= limit, steps[:, rung], -1)
            covers = reach.covers(allowed)
            useful = np.flatnonzero((covers & ~before).any(axis=0))
            block = np.zeros((sum(len(one.need) for one in reaches), len(useful)), bool)
            top = sum(len(one.need) for one in reaches[:number])
            block[top : top + len(covers)] = covers[:, useful]
            blocks.append(block)
            costs.append(allowed[useful] * reach.step + reach.gear.rig.line.lanyard.length)
            groups.append(useful)
            before = covers
    rows = np.concatenate(blocks, axis=1)[np.concatenate(list(coverable))]
    group, columns = np.concatenate(groups), len(limits[0])
    free = np.arange(columns) < kept
    found = cheapest_cover(rows, np.concatenate(costs), group, groups=count, free=free, seconds=seconds)
    if found is None:
        return None
    return tuple(sorted({int(group[at]) for at in found.columns} - set(range(kept))))


def stops_for(reach: Reach, columns: Sequence[int], limit: Integers) -> dict[int, int]:
    """Shortest settings at which some columns cover what they can cover together, in steps.

    Parameters
    ----------
    reach : Reach
    columns : sequence of int
    limit : array of int, shape (m,)
        Longest setting allowed, in steps.

    Returns
    -------
    dict of int to int
        Column to its setting; without those that this gear does not need. No setting can be shortened further without
        uncovering a place.
    """
    capped = np.minimum(limit, reach.longest)
    steps = {column: int(capped[column]) for column in columns if capped[column] >= 0}
    for column in sorted(steps, key=lambda column: -steps[column]):
        others = [other for other in steps if other != column]
        own = reach.need[:, column] <= steps[column] * reach.step + 1e-9
        for other in others:
            own &= ~(reach.need[:, other] <= steps[other] * reach.step + 1e-9)
        if not own.any():
            del steps[column]
            continue
        least = max(0, int(np.ceil(reach.need[own, column].max() / reach.step - 1e-9)))
        steps[column] = reach.settled(column, least)
    return steps
