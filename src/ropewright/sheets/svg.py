"""SVG elements as strings: escaped, short and the same on every run. Lengths are millimetres on the sheet."""

from __future__ import annotations

import re
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

__all__ = ["circle", "line", "path", "polygon", "polyline", "rectangle", "tag", "text", "text_of"]

#: What XML 1.0 can't hold even as a character reference (clause 2.2).
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

Value = str | float | int | None


def text_of(words: object) -> str:
    """Words as they may stand in an element or an attribute.

    Parameters
    ----------
    words : object
        Shown with `str`.

    Returns
    -------
    str
        With markup escaped; characters that XML can't hold become U+FFFD.

    Examples
    --------
    >>> text_of('Smith & <Sons> "east"')
    'Smith &amp; &lt;Sons&gt; &quot;east&quot;'
    """
    clean = _NOT_XML.sub("\ufffd", str(words))
    for raw, safe in (("&", "&amp;"), ("<", "&lt;"), (">", "&gt;"), ('"', "&quot;")):
        clean = clean.replace(raw, safe)
    return clean


def _number(value: float) -> str:
    """Shortest text of a number to a thousandth; minus nought is nought."""
    if not np.isfinite(value):
        raise ValueError(f"a drawing needs numbers, got {value}")
    short = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if short in ("-0", "") else short


def _attribute(name: str, value: Value) -> str:
    shown = _number(float(value)) if isinstance(value, (int, float)) else text_of(value)
    return f' {name.rstrip("_").replace("_", "-")}="{shown}"'


def tag(name: str, *children: str, **attributes: Value) -> str:
    """One element with its children.

    Parameters
    ----------
    name : str
    *children : str
        Finished elements or escaped text.
    **attributes : str or float or None
        ``stroke_width=0.3`` becomes ``stroke-width="0.3"``; None leaves it out.

    Returns
    -------
    str

    Raises
    ------
    ValueError
        If a number is nan or infinite.

    Examples
    --------
    >>> tag("rect", x=0.50, stroke_width=1, rx=None)
    '<rect x="0.5" stroke-width="1"/>'
    """
    head = name + "".join(_attribute(key, value) for key, value in attributes.items() if value is not None)
    inside = "".join(children)
    return f"<{head}>{inside}</{name}>" if inside else f"<{head}/>"


def _points(points: NDArray[np.float64]) -> str:
    return " ".join(f"{_number(x)},{_number(y)}" for x, y in points.tolist())


def line(start: Iterable[float], end: Iterable[float], **attributes: Value) -> str:
    """Straight line from `start` to `end`, two numbers each.

    Examples
    --------
    >>> line((0, 0), (1, 2))
    '<line x1="0" y1="0" x2="1" y2="2"/>'
    """
    (x1, y1), (x2, y2) = start, end
    return tag("line", x1=float(x1), y1=float(y1), x2=float(x2), y2=float(y2), **attributes)


def polyline(points: NDArray[np.float64], **attributes: Value) -> str:
    """Open run of straight lines through `points`, shape (n, 2)."""
    return tag("polyline", points=_points(points), fill="none", **attributes)


def polygon(points: NDArray[np.float64], **attributes: Value) -> str:
    """Return a closed shape with the corners `points`, shape (n, 2)."""
    return tag("polygon", points=_points(points), **attributes)


def path(rings: Iterable[NDArray[np.float64]], **attributes: Value) -> str:
    """Several closed rings, shape (n, 2) each, as one shape; rings inside rings are holes.

    Examples
    --------
    >>> path([np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])])
    '<path d="M0,0 1,0 0,1Z" fill-rule="evenodd" clip-rule="evenodd"/>'
    """
    d = "".join(f"M{_points(ring)}Z" for ring in rings)
    return tag("path", d=d, fill_rule="evenodd", clip_rule="evenodd", **attributes)


def circle(centre: Iterable[float], radius: float, **attributes: Value) -> str:
    """Circle round `centre`, two numbers."""
    x, y = centre
    return tag("circle", cx=float(x), cy=float(y), r=radius, **attributes)


def rectangle(corner: Iterable[float], width: float, height: float, **attributes: Value) -> str:
    """Rectangle with its upper left `corner`, two numbers."""
    x, y = corner
    return tag("rect", x=float(x), y=float(y), width=width, height=height, **attributes)


def text(words: object, at: Iterable[float], size: float, *, turn: float = 0.0, **attributes: Value) -> str:
    """One line of text with its baseline at `at`, turned clockwise by `turn` degrees.

    Examples
    --------
    >>> text("A & B", (1, 2), 3.5, text_anchor="middle")
    '<text x="1" y="2" font-size="3.5" text-anchor="middle">A &amp; B</text>'
    """
    x, y = (float(number) for number in at)
    transform = f"rotate({_number(turn)} {_number(x)} {_number(y)})" if turn else None
    return tag("text", text_of(words), x=x, y=y, font_size=size, transform=transform, **attributes)
