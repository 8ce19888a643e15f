"""How a line was rigged: its unstressed length from its sag, its pretension or its length in all."""

from __future__ import annotations

import math
from dataclasses import replace

from ropewright.arrest.cable import Cable
from ropewright.arrest.cable_balance import ACCURACY, find_bracket, find_root, hang_at_tension, hang_cable, hang_chain
from ropewright.arrest.cable_segment import CableError
from ropewright.arrest.cable_span import HungSpan

__all__ = ["rigged_to_length", "rigged_to_sag", "rigged_to_tension"]


def rigged_to_sag(cable: Cable, sag: float) -> Cable:
    """Cable with the line that lets its longest span sag so far when nobody hangs on it.

    Parameters
    ----------
    cable : Cable
        Its lengths are not looked at.
    sag : float
        Of the longest span, plumb below the straight line between its supports, as it hangs under its own weight,
        stretch and give of the anchors in it; above 0. [m]

    Returns
    -------
    Cable

    Raises
    ------
    CableError
        If the line is weightless, or no tension gives such a sag.
    ValueError
        If the sag is not above 0.

    Notes
    -----
    While a line is rigged it slips over all intermediate supports, so that all spans are at one tension; only then is
    it held fast, if it is. A sag is not a taut line's best measure: near the straight line it hardly changes.

    Examples
    --------
    >>> cable = rigged_to_sag(Cable((30.0,), weight=0.5 * 9.81), 0.5)
    >>> round(cable.lengths[0], 6)  # a shallow catenary, nearly 30 (1 + 8/3 (0.5/30)^2)
    30.022211
    """
    if not sag > 0:
        raise ValueError(f"sag must be above 0, got {sag}")
    if cable.weight == 0:
        raise CableError("a weightless line has no sag of its own")
    tasks = cable.tasks()
    longest = max(range(len(tasks)), key=lambda k: tasks[k].run)

    def deeper(log_h: float) -> float:
        return hang_chain(tasks, math.exp(log_h))[longest].sag / sag - 1.0

    parabola = cable.weight * tasks[longest].chord * tasks[longest].run / (8.0 * sag)
    low, high = find_bracket(deeper, math.log(parabola))
    return cable.with_lengths(_lengths(hang_chain(tasks, math.exp(find_root(deeper, low, high, ACCURACY)))))


def rigged_to_tension(cable: Cable, tension: float) -> Cable:
    """Cable with the line that pulls with a given tension at its left anchor when nobody hangs on it.

    Parameters
    ----------
    cable : Cable
        Its lengths are not looked at.
    tension : float
        Above 0. Where a slack and a taut line would pull alike, the taut one is meant. [N]

    Returns
    -------
    Cable

    Raises
    ------
    CableError
        If even the slackest taut line pulls harder.
    ValueError
        If the tension is not above 0, or is so high that the absorber in line would open.

    Examples
    --------
    >>> rigged_to_tension(Cable((10.0,), stiffness=100_000.0), 1000.0).lengths  # weightless: 10/(1 + 0.01)
    (9.900990099009901,)
    """
    if not tension > 0:
        raise ValueError(f"tension must be above 0, got {tension}")
    if cable.has_absorber and tension > cable.absorber_force:
        raise ValueError("the absorber in line would open at that tension")
    tasks = cable.tasks()
    first = hang_at_tension(tasks[0], tension)
    return cable.with_lengths(_lengths(hang_chain(tasks, first.horizontal)))


def rigged_to_length(cable: Cable, length: float) -> Cable:
    """Cable with so much line in all, shared out over its spans as it slips over the supports under its own weight.

    Parameters
    ----------
    cable : Cable
        Its lengths are not looked at.
    length : float
        Unstressed, above 0. [m]

    Returns
    -------
    Cable

    Raises
    ------
    CableError
        If the line is too short and can't stretch, or would run out into one span.
    ValueError
        If the length is not above 0.

    Examples
    --------
    >>> shared = rigged_to_length(Cable((10.0, 10.0), stiffness=1.7e6, weight=2.5), 20.04).lengths
    >>> [round(length, 9) for length in shared]
    [10.02, 10.02]
    """
    if not length > 0:
        raise ValueError(f"length must be above 0, got {length}")
    tasks = cable.tasks()
    straight = sum(task.chord for task in tasks)
    shared = cable.with_lengths(length * task.chord / straight for task in tasks)
    if len(tasks) == 1 or (cable.weight == 0 and length >= straight):
        return shared
    slipping = replace(shared, held=False, absorber_force=0.0)
    return cable.with_lengths(_lengths(list(hang_cable(slipping).spans)))


def _lengths(spans: list[HungSpan]) -> tuple[float, ...]:
    return tuple(span.unstressed for span in spans)
