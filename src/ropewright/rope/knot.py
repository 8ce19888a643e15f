"""Least rope that a knot can take."""

from __future__ import annotations

from collections.abc import Mapping

from ropewright.errors import InputError
from ropewright.rope.tables import Figure, figures

__all__ = ["ideal_rope_lengths", "least_rope"]


def ideal_rope_lengths() -> Mapping[str, Figure]:
    """Rope length over radius of the tightest closed knot of each type, by its name in the knot tables.

    Examples
    --------
    >>> ideal_rope_lengths()["4_1"].value.likely
    42.0887
    """
    return figures("ideal_rope_length")


def least_rope(knot_type: str, diameter: float) -> float:
    """Length of the tightest closed knot of a type: no rope of this diameter ties it with less.

    Parameters
    ----------
    knot_type : str
        Name in the knot tables, such as ``3_1``.
    diameter : float
        Of the rope, above 0. [m]

    Returns
    -------
    float
        [m]

    Raises
    ------
    InputError
        If no length is known for this type.
    ValueError
        If the diameter is not above 0.

    Notes
    -----
    Half the rope length over radius, times the diameter.

    Examples
    --------
    >>> round(least_rope("3_1", 0.011), 3)
    0.18
    """
    if not diameter > 0:
        raise ValueError(f"diameter must be above 0 m, got {diameter}")
    known = ideal_rope_lengths()
    if knot_type not in known:
        raise InputError("knot type", knot_type, f"give one of {', '.join(map(repr, known))}")
    return known[knot_type].value.likely / 2 * diameter
