"""Text with a unit -> SI float; what can't be read says what would be right."""

from __future__ import annotations

import difflib
import math
import re
from fractions import Fraction
from itertools import pairwise

from ropewright.errors import QuantityError
from ropewright.quantity.range import SHAPES, Range
from ropewright.quantity.units import KINDS, Dimension, find_unit, kinds_of_unit

__all__ = ["parse_quantity", "parse_range"]

#: Longest text that is looked at; nothing a person means is longer.
MAX_LENGTH = 80

#: Marks that keyboards and word processors put in place of the plain ones: minus signs and dashes, primes and
#: quotes, blanks of all widths.
_PLAIN = str.maketrans(
    {
        **dict.fromkeys("\u2212\u2013\u2010\u2011", "-"),
        **dict.fromkeys("\u2032\u2019\u2018\u00b4", "'"),
        **dict.fromkeys("\u2033\u201d\u201c", '"'),
        **dict.fromkeys("\u00a0\u2007\u2009\u202f\t", " "),
        **dict.fromkeys("·⋅", "-"),
        "º": "°",
        "²": "2",
        "³": "3",
        # a blank in front, so that 5½ does not become 51/2
        "½": " 1/2",
        "¼": " 1/4",
        "¾": " 3/4",
        "⅛": " 1/8",
        "⅜": " 3/8",
        "⅝": " 5/8",
        "⅞": " 7/8",
    }
)

_WHOLE = r"(?:[1-9][0-9]{0,2}(?:,[0-9]{3})+|[0-9]+)"
_PLAIN_NUMBER = rf"{_WHOLE}(?:\.[0-9]+)?|\.[0-9]+"
_NUMBER = rf"(?:[0-9]+[ -])?[0-9]+ ?/ ?[0-9]+|(?:{_PLAIN_NUMBER})(?:[eE][+-]?[0-9]{{1,2}})?"
_PART = re.compile(rf"({_NUMBER})(?![0-9.,/]) ?([^0-9.,+-].*)?")
_FEET_INCHES = re.compile(rf"({_WHOLE}) ?(?:ft|foot|feet|')[ -]?({_NUMBER}) ?(?:in|inch|inches|\")", re.IGNORECASE)
_PITCH = re.compile(rf"({_NUMBER}) ?(?::|in|on) ?({_NUMBER})", re.IGNORECASE)
_SLOPE = re.compile(rf"({_NUMBER}) ?(?:%|percent)", re.IGNORECASE)
_RADIANS = re.compile(rf"({_NUMBER}) ?(?:rad|radians?)", re.IGNORECASE)
_DECIMAL_COMMA = re.compile(r"[0-9],[0-9]")


def parse_quantity(text: object, dimension: Dimension, field: str) -> float:
    r"""Value of a text with its unit, in the SI unit of its dimension (angles: degrees).

    Parameters
    ----------
    text : str, or int or float where a bare number is right
        Such as ``6 ft``, ``5' 6"``, ``5-1/2 in``, ``22 kN``, ``5,000 lbf``, ``8:12``, ``35 deg``, ``70 %``.
        A comma parts thousands and nothing else. At most 80 characters. The case of units does not matter.
    dimension : Dimension
    field : str
        Where it stands, for the error.

    Returns
    -------
    float
        The float next to the exact value; always finite.

    Raises
    ------
    QuantityError
        For a number without a unit (except a ratio or a count), an unknown unit, a unit of another dimension, or
        what is no number; the message names the field and what would be right.

    Notes
    -----
    Sizes of units are exact fractions, so that ``6 ft`` and ``1.8288 m`` are the same float. A pitch of 8:12 and a
    slope of 70 % are the angles whose tangents are 8/12 and 0.7.

    Examples
    --------
    >>> parse_quantity("6 ft", Dimension.LENGTH, "lanyard.length")
    1.8288
    >>> parse_quantity("5' 6\"", Dimension.LENGTH, "d_ring")
    1.6764
    >>> round(parse_quantity("8:12", Dimension.ANGLE, "roof.pitch"), 2)
    33.69
    >>> parse_quantity("60 %", Dimension.RATIO, "share")
    0.6
    >>> parse_quantity(6, Dimension.LENGTH, "line.length")
    Traceback (most recent call last):
    ...
    ropewright.errors.QuantityError: line.length: got 6; give a length with its unit, such as '6 ft' or '1.8 m'
    """
    plain = _plain_text(text, dimension, field)
    sign, unsigned = _split_sign(plain)
    return sign * _unsigned(unsigned, sign, text, dimension, field)


def parse_range(text: object, dimension: Dimension, field: str) -> Range:
    """Range of a value given as one value, ``low to high``, ``low to likely to high`` or ``low to high, shape``.

    Parameters
    ----------
    text : str, or int or float where a bare number is right
        Each part as in `parse_quantity`. Between two ends the middle is taken as likely. A word of `SHAPES` may follow
        two ends.
    dimension : Dimension
    field : str
        Where it stands, for the error.

    Returns
    -------
    Range
        In the SI unit of the dimension.

    Raises
    ------
    QuantityError
        As `parse_quantity`; also if the parts fall, there are more than three, or a shape does not fit.

    Examples
    --------
    >>> parse_range("4 kN to 6 kN", Dimension.FORCE, "absorber.force")
    Range(low=4000.0, likely=5000.0, high=6000.0)
    >>> parse_range("6 ft", Dimension.LENGTH, "lanyard.length").is_exact
    True
    >>> parse_range("80 kg to 120 kg, normal", Dimension.MASS, "mass").shape
    'normal'
    """
    is_short = isinstance(text, str) and len(text) <= 3 * MAX_LENGTH
    plain, shape = _split_shape(text, field) if isinstance(text, str) and is_short else (text, "triangular")
    parts = re.split(r"\s+to\s+", plain.strip()) if isinstance(plain, str) and is_short else [text]
    if shape != "triangular" and len(parts) != 2:
        raise QuantityError(field, _short(text), f"give 'low to high, {shape}': its likely value is midway")
    if len(parts) > 3:
        raise QuantityError(
            field, _short(text), f"give one value, 'low to high' or 'low to likely to high'{_each(dimension)}"
        )
    values = [parse_quantity(part, dimension, field) for part in parts]
    if any(later < earlier for earlier, later in pairwise(values)):
        raise QuantityError(field, _short(text), "put the lowest value of a range first and the highest last")
    low, high = values[0], values[-1]
    likely = values[1] if len(values) == 3 else low / 2 + high / 2
    return Range(low, min(max(likely, low), high), high, shape=shape)


#: What may follow a range: a comma and a word, which no figure ends with.
_SHAPE = re.compile(r",\s*([A-Za-z]+)\s*$")


def _split_shape(text: str, field: str) -> tuple[str, str]:
    """Text of a range and the word for its shape."""
    found = _SHAPE.search(text)
    if found is None:
        return text, "triangular"
    word = found[1].lower()
    if word not in SHAPES:
        near = difflib.get_close_matches(word, SHAPES, n=1)
        known = f"the nearest is '{near[0]}'" if near else "known are " + ", ".join(f"'{one}'" for one in SHAPES)
        raise QuantityError(field, _short(text), f"no range has the shape '{_short(word)}', {known}")
    return text[: found.start()], word


def _each(dimension: Dimension) -> str:
    return "" if dimension.takes_bare_number else ", each with its unit"


def _short(value: object) -> object:
    """Return the value, cut if it is too long to print."""
    if isinstance(value, int) and abs(value) > 10**MAX_LENGTH:
        return "a number of more than 80 digits"
    shown = value if isinstance(value, str) else repr(value)
    return shown[: MAX_LENGTH - 3] + "..." if len(shown) > MAX_LENGTH else value


def _plain_text(text: object, dimension: Dimension, field: str) -> str:
    advice = KINDS[dimension].advice
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise QuantityError(field, _short(text), advice)
    if isinstance(text, str):
        if len(text) > MAX_LENGTH:
            raise QuantityError(field, _short(text), f"{advice} ({MAX_LENGTH} characters at most)")
        plain = re.sub(" +", " ", text.translate(_PLAIN)).strip().replace("''", '"')
        if not plain:
            raise QuantityError(field, text, advice)
        return plain
    if not dimension.takes_bare_number or not abs(text) < 1e30:  # also catches nan
        raise QuantityError(field, _short(text), advice)
    return repr(text)


def _split_sign(plain: str) -> tuple[int, str]:
    return (-1, plain[1:].lstrip()) if plain[:1] == "-" else (1, plain.removeprefix("+").lstrip())


def _fraction(number: str) -> Fraction:
    """Exact value of a matched number: ``5,000.25``, ``1/2``, ``5-1/2``, ``5 1/2``, ``2e3``."""
    if "/" not in number:
        return Fraction(number.replace(",", ""))
    over, _, under = number.replace("-", " ").partition("/")
    whole, _, top = over.strip().rpartition(" ")
    return Fraction(whole or "0") + Fraction(int(top), int(under))


def _unsigned(plain: str, sign: int, text: object, dimension: Dimension, field: str) -> float:
    try:
        special = _special(plain, dimension)
        if special is not None:
            return special
        part = _PART.fullmatch(plain)
        number, unit = (_fraction(part[1]), (part[2] or "").strip()) if part else (None, "")
    except ZeroDivisionError as error:
        raise QuantityError(field, _short(text), "the lower part of a fraction can't be 0") from error
    if number is None:
        raise QuantityError(field, _short(text), _no_number(plain, dimension))
    size = KINDS[dimension].units[_unit(unit, text, dimension, field)]
    if dimension is Dimension.TEMPERATURE and size != 1:
        return float(sign * (sign * number - 32) * size)
    if dimension is Dimension.COUNT and number.denominator != 1:
        raise QuantityError(field, _short(text), KINDS[dimension].advice)
    return float(number * size)


def _special(plain: str, dimension: Dimension) -> float | None:
    """Value of the forms that are not a number and a unit; None if it is none of them."""
    if dimension is Dimension.LENGTH and (match := _FEET_INCHES.fullmatch(plain)):
        feet, inches = _fraction(match[1]), _fraction(match[2])
        # 6 ft 13 in is a slip of the pen: it is read as no length rather than as 7 ft 1 in
        return float(feet * Fraction("0.3048") + inches * Fraction("0.0254")) if inches < 12 else None
    if dimension is Dimension.ANGLE:
        if match := _PITCH.fullmatch(plain):
            return math.degrees(math.atan(_fraction(match[1]) / _fraction(match[2])))
        if match := _SLOPE.fullmatch(plain):
            return math.degrees(math.atan(_fraction(match[1]) / 100))
        if match := _RADIANS.fullmatch(plain):
            return math.degrees(_fraction(match[1]))
    return None


def _no_number(plain: str, dimension: Dimension) -> str:
    advice = KINDS[dimension].advice
    if _DECIMAL_COMMA.search(plain):
        return f"a comma may only part thousands, as in '5,000'; decimals take a point; {advice}"
    return advice


def _unit(unit: str, text: object, dimension: Dimension, field: str) -> str:
    """Return the unit as the table names it, or say what is wrong with it."""
    kind = KINDS[dimension]
    if not unit:
        if dimension.takes_bare_number:
            return "-"
        raise QuantityError(field, _short(text), kind.advice)
    found = find_unit(unit, dimension)
    if found is not None:
        return found
    raise QuantityError(field, _short(text), f"{_wrong_unit(unit, dimension)}; {kind.advice}")


def _wrong_unit(unit: str, dimension: Dimension) -> str:
    """Say what is wrong with a unit that the dimension does not have."""
    others = kinds_of_unit(unit)
    if Dimension.MASS in others and dimension is Dimension.FORCE:
        wanted = "'lbf'" if unit.lower().startswith(("lb", "pound")) else "'kN' or 'kgf'"
        return f"'{unit}' is a mass, say {wanted} for a force"
    if Dimension.FORCE in others and dimension is Dimension.MASS:
        return f"'{unit}' is a force, say 'lb' or 'kg' for a mass"
    if dimension is Dimension.STIFFNESS and unit.lower() in ("lb/ft", "lb/in"):
        return f"'{unit}' is a mass per length, say 'lbf{unit[2:]}' for a stiffness"
    if others:
        return f"'{unit}' is the unit of {KINDS[others[0]].noun}, {KINDS[dimension].noun} is due"
    near = difflib.get_close_matches(unit, KINDS[dimension].units, n=1, cutoff=0.5)
    known = f"the nearest is '{near[0]}'" if near else f"known are {_main_units(dimension)}"
    return f"'{unit}' is no known unit, {known}"


def _main_units(dimension: Dimension) -> str:
    """Return the first name of each unit of a dimension."""
    first: dict[Fraction, str] = {}
    for name, size in KINDS[dimension].units.items():
        first.setdefault(size, name)
    return ", ".join(first.values())
