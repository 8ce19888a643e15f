"""Friction of rope on what it bears on."""

from __future__ import annotations

from collections.abc import Iterable

from ropewright.findings import Source, SourceStatus
from ropewright.quantity import Range
from ropewright.rope.names import canonical_surface
from ropewright.rope.tables import Figure, Grade, figures

__all__ = ["edge_friction", "friction_figure"]


def friction_figure(surface: str, *, wet: bool | None = None) -> Figure:
    """Friction coefficient of rope on a surface, with its source.

    Parameters
    ----------
    surface : str
        Such as ``steel``, ``timber``, ``concrete`` or ``shingle``; ``unknown`` takes the whole span of the table.
    wet : bool, optional
        False: it stays dry. Else the span is widened both ways, since the direction is not settled.

    Returns
    -------
    Figure
        Per contact, as the capstan law takes it: T_high / T_low = exp(mu * turn). [-]

    Raises
    ------
    InputError
        If the surface is unknown; the nearest known names are offered.

    Examples
    --------
    >>> friction_figure("concrete", wet=False).value
    Range(low=0.3, likely=0.4, high=0.6)
    """
    name = canonical_surface(surface, "surface")
    table = dict(figures("friction"))
    wetness = table.pop("wet factor").value
    figure = _whole_span(table.values()) if name == "unknown" else table[name]
    if wet is False:
        return figure
    value = figure.value
    widened = Range(value.low * wetness.low, value.likely * wetness.likely, value.high * wetness.high)
    return Figure(figure.key, widened, "-", figure.source, figure.grade, figure.samples, figure.note)


def _whole_span(known: Iterable[Figure]) -> Figure:
    values = [figure.value for figure in known]
    likely = sorted(value.likely for value in values)[len(values) // 2]
    span = Range(min(value.low for value in values), likely, max(value.high for value in values))
    source = Source("judgement of this project", "whole span of the friction table", SourceStatus.JUDGEMENT)
    return Figure("unknown", span, "-", source, Grade.NONE)


def edge_friction(surface: str, *, wet: bool | None = None) -> Range:
    """Friction coefficient of rope on a surface, a plain number; `friction_figure` says where it comes from.

    Examples
    --------
    >>> edge_friction("unknown", wet=False)
    Range(low=0.1, likely=0.3, high=0.9)
    """
    return friction_figure(surface, wet=wet).value
