"""Clearance by the book: allowances added up, each with its source, from a datum that is said in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = [
    "BookClearance",
    "BookTerm",
    "Datum",
    "book_clearance",
    "book_free_fall",
    "book_rope_stretch",
]

Floats = NDArray[np.float64]


class Datum(StrEnum):
    """Level from which a clearance counts downward; sums from different levels must never be compared."""

    D_RING = "below the D-ring's level before the fall"
    ANCHOR = "below the anchor"
    FEET = "below the surface stood on"


#: Term of a sum -> what it is, in the order in which a fall meets them.
_NAMES: Mapping[str, str] = MappingProxyType(
    {
        "line": "length of lanyard or line",
        "free_fall": "free fall",
        "grab_slide": "travel of the rope grab",
        "deceleration": "deceleration distance",
        "rope_stretch": "stretch of the rope at the arrest force",
        "harness_shift": "harness stretch and shift of the D-ring",
        "d_ring_height": "D-ring above the soles",
        "swing_drop": "height lost in the swing",
        "margin": "margin",
    }
)

#: First term and body term of each datum. The D-ring's height falls out below the feet: they start that far below
#: the D-ring and end as far below it.
_TERMS: Mapping[Datum, frozenset[str]] = MappingProxyType(
    {
        Datum.D_RING: frozenset(_NAMES) - {"line"},
        Datum.ANCHOR: frozenset(_NAMES) - {"free_fall"},
        Datum.FEET: frozenset(_NAMES) - {"line", "d_ring_height"},
    }
)

_START: Mapping[Datum, frozenset[str]] = MappingProxyType(
    {
        Datum.D_RING: frozenset({"free_fall", "d_ring_height"}),
        Datum.ANCHOR: frozenset({"line", "d_ring_height"}),
        Datum.FEET: frozenset({"free_fall"}),
    }
)


@dataclass(frozen=True)
class BookTerm:
    """One allowance of a sum; `value` has shape (n,) or () [m]."""

    key: str  #: as in the allowances, for programs
    name: str  #: for people
    value: Floats
    source: str


@dataclass(frozen=True)
class BookClearance:
    """A sum of allowances; `total` has the shape of its widest term [m]."""

    terms: tuple[BookTerm, ...]
    total: Floats
    datum: Datum

    def __str__(self) -> str:
        """Sum in words, for one fall; names every term and the datum."""
        parts = " + ".join(f"{term.name} {float(term.value):.2f} m" for term in self.terms)
        return f"{parts} = {float(self.total):.2f} m {self.datum}"


def book_clearance(
    datum: Datum, allowances: Mapping[str, ArrayLike], sources: Mapping[str, str] = MappingProxyType({})
) -> BookClearance:
    """Clearance that a fall needs, as a sum of allowances.

    Parameters
    ----------
    datum : Datum
        From where it counts; says which terms belong.
    allowances : mapping of str to float or array, shape (n,)
        Each 0 or more. [m] Keys: ``free_fall`` (from the D-ring or the surface) or ``line`` (from the anchor);
        ``grab_slide``, ``deceleration``, ``rope_stretch``, ``harness_shift``, ``swing_drop``, ``margin``; and
        ``d_ring_height``, except below the surface stood on, where it falls out. The anchor's sum takes the line as
        hanging straight down from it. Terms that are not given are left out.
    sources : mapping of str to str
        Where each allowance comes from; those not named are the caller's own.

    Returns
    -------
    BookClearance
        Terms in the order in which a fall meets them.

    Raises
    ------
    ValueError
        If a term is unknown, does not belong to the datum, is missing where the sum starts with it, or is negative or
        not a number.

    Notes
    -----
    OSHA Technical Manual V-4, as quoted on a law page (read second hand): free fall + deceleration + shift + height
    of the back D-ring + margin; the height term makes the level the D-ring's before the fall. Trade sums start at the
    anchor instead.

    Examples
    --------
    >>> feet = 0.3048
    >>> book = book_clearance(
    ...     Datum.D_RING,
    ...     {
    ...         "free_fall": 6 * feet,
    ...         "deceleration": 3.5 * feet,
    ...         "harness_shift": 1 * feet,
    ...         "d_ring_height": 5 * feet,
    ...         "margin": 3 * feet,
    ...     },
    ... )
    >>> round(float(book.total) / feet, 6)
    18.5
    """
    _check_names(datum, allowances)
    terms = tuple(
        BookTerm(key, _NAMES[key], _allowance(key, allowances[key]), sources.get(key, "as given"))
        for key in _NAMES
        if key in allowances
    )
    return BookClearance(terms, _total(term.value for term in terms), datum)


def _check_names(datum: Datum, allowances: Mapping[str, ArrayLike]) -> None:
    strange = sorted(set(allowances) - _TERMS[datum])
    if strange:
        raise ValueError(
            f"{strange[0]} is no term of a clearance {datum}; there are {', '.join(sorted(_TERMS[datum]))}"
        )
    missing = sorted(_START[datum] - set(allowances))
    if missing:
        raise ValueError(f"a clearance {datum} needs {missing[0]}")


def _allowance(key: str, value: ArrayLike) -> Floats:
    values = np.asarray(value, dtype=np.float64)
    if not (values >= 0).all():  # also catches nan
        raise ValueError(f"{key} must be 0 m or more, got {values.min():g} m")
    return values


def _total(values: Iterable[Floats]) -> Floats:
    total = np.zeros(())
    for value in values:
        total = total + value
    return total


def book_free_fall(line_length: ArrayLike, anchor_above_d_ring: ArrayLike) -> Floats:
    """Free fall of a person tied straight to an anchor: line length less anchor height over the D-ring.

    Parameters
    ----------
    line_length : float or array, shape (n,)
        0 or more. [m]
    anchor_above_d_ring : float or array, shape (n,)
        Negative for an anchor below the D-ring. [m]

    Returns
    -------
    array
        Never negative. [m]

    Raises
    ------
    ValueError
        If a value is not a number, or a length negative.

    Notes
    -----
    OSHA Technical Manual V-4, examples (inputs read in mirror fragments).

    Examples
    --------
    >>> book_free_fall(6.0, [4.0, 0.0, -2.0, 7.0])
    array([2., 6., 8., 0.])
    """
    length, above = np.asarray(line_length, dtype=np.float64), np.asarray(anchor_above_d_ring, dtype=np.float64)
    if not (length >= 0).all() or np.isnan(above).any():
        raise ValueError("the line must be 0 m or longer and the anchor's height a number")
    fall: Floats = np.maximum(length - above, 0.0)
    return fall


def book_rope_stretch(force: ArrayLike, length: ArrayLike, modulus: ArrayLike) -> Floats:
    """Stretch of a rope at the arrest force, F L/EA.

    Parameters
    ----------
    force : float or array, shape (n,)
        0 or more. [N]
    length : float or array, shape (n,)
        Of the rope that works, 0 or more. [m]
    modulus : float or array, shape (n,)
        Force per unit strain, above 0. [N]

    Returns
    -------
    array
        [m]

    Raises
    ------
    ValueError
        If a value is out of its range.

    Examples
    --------
    >>> book_rope_stretch(4000.0, 15.0, 35_000.0).round(2)
    np.float64(1.71)
    """
    f, length_, ea = (np.asarray(v, dtype=np.float64) for v in (force, length, modulus))
    if not ((f >= 0).all() and (length_ >= 0).all() and (ea > 0).all()):  # also catches nan
        raise ValueError("force and length must be 0 or more, the modulus above 0")
    stretch: Floats = np.asarray(f * length_ / ea)
    return stretch
