"""Doubt: what the ranges of the inputs make of force, distance and hang, what holds, and what to pin down first."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.arrest.chance import (
    SEED,
    Indices,
    ShareInterval,
    saltelli_draws,
    share_interval,
    sobol_draws,
    sobol_indices,
)
from ropewright.arrest.curve import LoadCurve
from ropewright.arrest.distribution import Distribution
from ropewright.arrest.doubtful import (
    BATCH,
    DRAWN_ERROR_BOUND,
    INPUTS,
    OUTPUTS,
    FallPoints,
    Inputs,
    complete,
    in_doubt,
    work_out,
)
from ropewright.quantity import Range

__all__ = ["LEVELS", "Claim", "Doubt", "PinDown", "at_most", "doubt", "pin_down"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

#: What must hold: from the outputs of all draws at some points, each of shape (draws, n), and the slice of the points,
#: True where it does.
Claim = Callable[[Mapping[str, Floats], slice], Bools]

#: Shares of draws at which a spread is told.
LEVELS = (0.05, 0.5, 0.95)


@dataclass(frozen=True)
class Doubt:
    """What draws of the inputs made of the falls at n edge points."""

    draws: int
    levels: tuple[float, ...]
    spread: Mapping[str, Floats]  #: (levels, n) of each of `OUTPUTS`: a share of draws lies at or below; errs high
    least: Mapping[str, Floats]  #: (n,) over the draws
    greatest: Mapping[str, Floats]  #: (n,)
    shares: Mapping[str, ShareInterval]  #: (n,) draws that hold: ``arrested``, each test, and ``all`` of them
    held: Mapping[str, Bools]  #: (draws, n) the same, draw by draw
    in_doubt: tuple[str, ...]  #: inputs that were drawn


def at_most(output: str, limit: ArrayLike) -> Claim:
    """Test that an output stays at or below a limit.

    Parameters
    ----------
    output : str
        One of `OUTPUTS`.
    limit : float or array, shape (n,)
        In the unit of the output.

    Examples
    --------
    >>> at_most("peak_force", 6000.0)({"peak_force": np.array([[5999.0], [6001.0]])}, slice(None)).ravel()
    array([ True, False])
    """
    if output not in OUTPUTS:
        raise ValueError(f"unknown output {output!r}, known are {', '.join(OUTPUTS)}")
    values = np.atleast_1d(np.asarray(limit, dtype=np.float64))

    def test(outputs: Mapping[str, Floats], points: slice) -> Bools:
        here = values if len(values) == 1 else values[points]
        return outputs[output] <= here  # nan, infinite: does not hold

    return test


def doubt(
    inputs: Mapping[str, Distribution | Range | float],
    points: FallPoints,
    *,
    draws: int = 1024,
    tests: Mapping[str, Claim] | None = None,
    levels: tuple[float, ...] = LEVELS,
    curve: LoadCurve | None = None,
    seed: int = SEED,
    error_bound: float = DRAWN_ERROR_BOUND,
) -> Doubt:
    """Spread of falls over n edge points, and the share of draws that holds.

    Parameters
    ----------
    inputs : mapping of str to Distribution, Range or float
        By the names of `INPUTS`; what is left out has its default, the model's errors among it.
    points : FallPoints, shape (n,)
    draws : int
        At each point, the same ones at all, so that points compare; 1 or more.
    tests : mapping of str to Claim, optional
        What must hold, by a name. A draw whose fall is not arrested holds nothing.
    levels : tuple of float
        Shares at which the spread is told, 0 to 1. [-]
    curve : LoadCurve, optional
        Of the rope, whose `modulus` is then that of its first piece.
    seed : int
    error_bound : float
        See `catch`. [-]

    Returns
    -------
    Doubt, shape (n,)
        The same on every run and number of threads.

    Raises
    ------
    ValueError
        If an input is unknown or can take a value that has no meaning.

    Notes
    -----
    Scrambled Sobol draws; quantiles are taken from the draws at or above the level, never below. Inputs are drawn
    independently of one another. Each input has its own column of the draws, whatever else is in doubt: row by row
    `held` of one call goes with that of another.

    Examples
    --------
    >>> inputs = {"mass": Range(80.0, 100.0, 120.0), "modulus": Range(26e3, 35e3, 41e3), "rope_error": 1.0}
    >>> found = doubt(inputs, FallPoints(free_fall=[0.6, 1.8], near=6.0), draws=256,
    ...               tests={"force": at_most("peak_force", 6000.0)})
    >>> found.spread["peak_force"].round(-1)
    array([[3340., 4990.],
           [3740., 5550.],
           [4120., 6110.]])
    >>> found.shares["force"].share
    array([1.       , 0.8984375])
    """
    given = complete(inputs)
    names = in_doubt(given)
    columns = _columns(given, names, _own_draws(draws, names, seed))
    size = max(BATCH // draws, 1)
    slices = [slice(i, min(i + size, len(points))) for i in range(0, len(points), size)]
    pieces = []
    for here in slices:
        outputs = work_out(columns, points.chosen(here), curve=curve, error_bound=error_bound)
        pieces.append(_reduce(_over_draws(outputs, draws), here, tests or {}, levels))
    return _join(pieces, draws, levels, tuple(names))


def _own_draws(draws: int, names: list[str], seed: int) -> Floats:
    """Column of the draws that belongs to each input, shape (draws, inputs)."""
    if not names:
        return np.empty((draws, 0))
    places = list(INPUTS)
    own: Floats = sobol_draws(draws, len(places), seed=seed)[:, [places.index(name) for name in names]]
    return own


def _columns(inputs: Inputs, names: list[str], shares: Floats) -> dict[str, Floats]:
    """Values of every input, shape (draws,), or (1,) where it is known."""
    columns = {name: distribution.at(np.array([0.5])) for name, distribution in inputs.items()}
    columns |= {name: inputs[name].at(shares[..., i]) for i, name in enumerate(names)}
    return columns


def _over_draws(outputs: dict[str, Floats], draws: int) -> dict[str, Floats]:
    """The same with one row a draw, also where nothing was drawn."""
    return {name: np.broadcast_to(v, (draws, v.shape[1])) for name, v in outputs.items()}


@dataclass(frozen=True)
class _Piece:
    """Some of the points, reduced over the draws."""

    spread: dict[str, Floats]
    least: dict[str, Floats]
    greatest: dict[str, Floats]
    held: dict[str, Bools]


def _reduce(outputs: dict[str, Floats], here: slice, tests: Mapping[str, Claim], levels: tuple[float, ...]) -> _Piece:
    arrested = outputs["arrested"] > 0
    held = {"arrested": arrested} | {name: test(outputs, here) & arrested for name, test in tests.items()}
    held["all"] = np.logical_and.reduce(list(held.values()))
    spread, least, greatest = {}, {}, {}
    for name in OUTPUTS:
        # below every window, the average force is no number: it counts as less than any
        ordered = np.sort(np.where(np.isnan(outputs[name]), -np.inf, outputs[name]), axis=0)
        index = [min(int(np.ceil(level * len(ordered))), len(ordered) - 1) for level in levels]
        known = np.where(np.isneginf(ordered[[0, *index, -1]]), np.nan, ordered[[0, *index, -1]])
        least[name], spread[name], greatest[name] = known[0], known[1:-1], known[-1]
    return _Piece(spread, least, greatest, held)


def _join(pieces: list[_Piece], draws: int, levels: tuple[float, ...], names: tuple[str, ...]) -> Doubt:
    def joined(field: str) -> dict[str, NDArray[np.generic]]:
        parts = [getattr(piece, field) for piece in pieces]
        return {name: np.concatenate([part[name] for part in parts], axis=-1) for name in parts[0]}

    held: dict[str, Bools] = joined("held")  # type: ignore[assignment]
    return Doubt(
        draws=draws,
        levels=levels,
        spread=joined("spread"),  # type: ignore[arg-type]
        least=joined("least"),  # type: ignore[arg-type]
        greatest=joined("greatest"),  # type: ignore[arg-type]
        shares={name: share_interval(found.sum(axis=0), draws) for name, found in held.items()},
        held=held,
        in_doubt=names,
    )


@dataclass(frozen=True)
class PinDown:
    """Which inputs bring the spread of the falls at one point."""

    inputs: tuple[str, ...]  #: those in doubt
    indices: Mapping[str, Indices]  #: by output
    draws: int  #: falls worked out

    def order(self, output: str) -> tuple[str, ...]:
        """Inputs by what they bring to the spread of an output, the one to pin down first ahead."""
        total = self.indices[output].total
        return tuple(self.inputs[i] for i in np.argsort(-np.nan_to_num(total), kind="stable"))


def pin_down(
    inputs: Mapping[str, Distribution | Range | float],
    points: FallPoints,
    *,
    draws: int = 1024,
    curve: LoadCurve | None = None,
    seed: int = SEED,
    error_bound: float = DRAWN_ERROR_BOUND,
) -> PinDown:
    """Sobol indices of the falls at one point: which input to pin down first.

    Parameters
    ----------
    inputs : mapping of str to Distribution, Range or float
        As for `doubt`.
    points : FallPoints, shape (1,)
    draws : int
        Base draws; falls worked out are that many times two more than there are inputs in doubt.
    curve, seed, error_bound
        As for `doubt`.

    Raises
    ------
    ValueError
        If there is more than one point.

    Notes
    -----
    Draws whose fall nothing stops have no finite output and are left out, with their partners.

    Examples
    --------
    >>> inputs = {"mass": Range(80.0, 100.0, 120.0), "modulus": Range(34e3, 35e3, 36e3), "rope_error": 1.0}
    >>> found = pin_down(inputs, FallPoints(free_fall=1.8, near=6.0))
    >>> found.order("peak_force"), found.indices["peak_force"].total.round(2)
    (('mass', 'modulus'), array([0.99, 0.01]))
    """
    if len(points) != 1:
        raise ValueError(f"indices are of one point, got {len(points)}")
    given = complete(inputs)
    names = in_doubt(given)
    if not names:
        return PinDown((), {}, 0)
    shares = saltelli_draws(draws, len(names), seed=seed).reshape(-1, len(names))
    outputs = work_out(_columns(given, names, shares), points, curve=curve, error_bound=error_bound)
    indices = {name: sobol_indices(outputs[name].reshape(len(names) + 2, draws)) for name in OUTPUTS}
    return PinDown(tuple(names), indices, len(shares))
