"""Numbers as they stand on a sheet: in the job's units, rounded to the unsafe side of what they say."""

from __future__ import annotations

import math

from ropewright.findings import Finding
from ropewright.findings.drawn import Share
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.quantity.show import Toward

__all__ = ["drawn_thing", "finding_numbers", "input_text", "number_text", "share_text", "words_of"]

#: Ends of the keys of a finding's inputs, longest first, and what they measure.
_SUFFIXES: tuple[tuple[str, Dimension], ...] = (
    ("_kg_per_m", Dimension.LINEAR_DENSITY),
    ("_n_per_m", Dimension.STIFFNESS),
    ("_m_per_s", Dimension.SPEED),
    ("_m_s", Dimension.SPEED),
    ("_degc", Dimension.TEMPERATURE),
    ("_deg", Dimension.ANGLE),
    ("_kg", Dimension.MASS),
    ("_m2", Dimension.AREA),
    ("_m3", Dimension.VOLUME),
    ("_m", Dimension.LENGTH),
    ("_n", Dimension.FORCE),
    ("_s", Dimension.TIME),
    ("_v", Dimension.VOLTAGE),
    ("_j", Dimension.ENERGY),
)

#: Keys are lower-case; these are letters of formulas: strength, modulus, force.
_LETTERS = {"s": "S", "s0": "S0", "ea": "EA", "f": "F"}


def number_text(value: float | None, dimension: Dimension | None, units: UnitSystem, toward: Toward = "nearest") -> str:
    """Return a number with its unit; words where there is no number.

    Parameters
    ----------
    value : float or None
        SI; None and nan: not known; infinite: without end.
    dimension : Dimension or None
        None: a plain number.
    units : UnitSystem
    toward : {'nearest', 'high', 'low'}
        Which way to round.

    Examples
    --------
    >>> number_text(1.8288, Dimension.LENGTH, UnitSystem.US), number_text(None, None, UnitSystem.US)
    ('6.0 ft', 'not known')
    >>> number_text(math.inf, Dimension.LENGTH, UnitSystem.US)
    'without end'
    """
    if value is None or math.isnan(value):
        return "not known"
    if math.isinf(value):
        return "without end" if value > 0 else "none at all"
    if dimension is None:
        return f"{value:,.4g}"
    return show(value, dimension, units, toward=toward)


def finding_numbers(finding: Finding, units: UnitSystem) -> dict[str, str]:
    """Value, limit and margin of a finding as text; empty where the answer is no number.

    Parameters
    ----------
    finding : Finding
    units : UnitSystem

    Returns
    -------
    dict
        ``value`` at the unsafe end of its spread, ``likely`` if that differs, ``limit`` with its operator in words,
        ``margin``. What must stay small is rounded up and its limit down; what must be large, the other way; a
        margin always down.
    """
    said: dict[str, str] = {}
    small = finding.operator not in (">=", ">")
    up: Toward = "high" if small else "low"
    down: Toward = "low" if small else "high"
    unsafe = finding.high if small else finding.low
    unsafe = finding.value if unsafe is None else unsafe
    if unsafe is not None:
        said["value"] = number_text(unsafe, finding.dimension, units, up)
        likely = number_text(finding.value, finding.dimension, units, up)
        if likely != said["value"]:
            said["likely"] = likely
    if finding.limit is not None:
        words = {"<=": "at most", "<": "less than", ">=": "at least", ">": "more than"}[finding.operator or "<="]
        said["limit"] = f"{words} {number_text(finding.limit, finding.dimension, units, down)}"
    if finding.margin is not None:
        said["margin"] = number_text(finding.margin, finding.dimension, units, "low")
    return said


def input_text(key: str, value: float | str, units: UnitSystem) -> str:
    """One input of a formula as it was used.

    Parameters
    ----------
    key : str
        With its SI unit as suffix: ``free_fall_m``.
    value : float or str
    units : UnitSystem

    Examples
    --------
    >>> input_text("free_fall_m", 1.8288, UnitSystem.US), input_text("clearance_from", "book", UnitSystem.US)
    ('free fall 6.0 ft', 'clearance from: book')
    >>> input_text("absorber_force_n", 4000.0, UnitSystem.METRIC)
    'absorber force 4.00 kN'
    """
    if isinstance(value, str):
        return f"{words_of(key)}: {value}"
    if isinstance(value, bool):
        return f"{words_of(key)}: {'yes' if value else 'no'}"
    for suffix, dimension in _SUFFIXES:
        if key.endswith(suffix) and key != suffix:
            return f"{words_of(key.removesuffix(suffix))} {number_text(float(value), dimension, units)}"
    return f"{words_of(key)} {number_text(float(value), None, units)}"


def words_of(key: str) -> str:
    """Name of an input for people, from its key without the unit; letters of formulas are written as there.

    Parameters
    ----------
    key : str

    Examples
    --------
    >>> words_of("d_ring_height"), words_of("s0"), words_of("ea_likely")
    ('D-ring height', 'S0', 'EA likely')
    """
    words = key.replace("_", " ").replace("d ring", "D-ring")
    return " ".join(_LETTERS.get(word, word) for word in words.split(" "))


def drawn_thing(finding: Finding) -> str:
    """Name of what was drawn, for a table or a list."""
    return "force" if finding.dimension is Dimension.FORCE else "clearance"


def share_text(share: Share | None, *, interval: bool = False) -> str:
    """Share of draws as text, rounded down so that it never says more than is known.

    Examples
    --------
    >>> share_text(Share(0.9997, 0.9931, 1.0)), share_text(Share(0.5, 0.456, 0.544), interval=True), share_text(None)
    ('99.9 %', '50 % (45.6 to 54.4)', 'no limit')
    """
    if share is None:
        return "no limit"
    value, low, high = (f"{math.floor(1000 * one + 1e-9) / 10:g}" for one in (share.value, share.low, share.high))
    return f"{value} % ({low} to {high})" if interval else f"{value} %"
