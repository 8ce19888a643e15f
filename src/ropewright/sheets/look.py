"""How a sheet looks: one ink on paper, and for each verdict a colour, a hatch and a word.

The colours run along one ramp from light to dark, blue against yellow, so that they stay apart for colour-blind
eyes and in grey; worse is darker.  Nothing is told by colour alone: the hatch and the word say it again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from ropewright.findings import Verdict
from ropewright.job.assessment import Zone
from ropewright.sheets import svg
from ropewright.sheets.ink import FONT, INK, PALE, PAPER, WHITE

__all__ = [
    "FONT",
    "INK",
    "NOT_REACHED",
    "PALE",
    "PAPER",
    "VERDICT_LOOKS",
    "WHITE",
    "ZONE_LOOKS",
    "Look",
    "hatch_patterns",
    "hatched",
    "look_of",
    "verdict_word",
]

#: What stands where a verdict would, on an edge that nobody can get to.
NOT_REACHED = "not reached"


@dataclass(frozen=True, slots=True)
class Look:
    """How one answer is drawn.

    Parameters
    ----------
    word : str
        What is written beside it.
    meaning : str
        The line in the legend.
    colour : str
        Ground of the band.
    on : str
        Colour of the hatch on that ground.
    hatch : tuple of (angle, gap, width)
        Sets of parallel lines: clockwise from level [deg], gap and width on paper [mm].
    """

    word: str
    meaning: str
    colour: str
    on: str
    hatch: tuple[tuple[float, float, float], ...]


#: Grounds are five steps of the cividis ramp (Nunez, Anderton and Renslow, PLOS ONE 2018, from memory).
VERDICT_LOOKS: Mapping[Verdict | None, Look] = MappingProxyType(
    {
        Verdict.HOLDS: Look("holds", "every figure stays inside its limit", "#f3db42", INK, ((-45, 2.4, 0.2),)),
        Verdict.DOUBTFUL: Look("doubtful", "the spread reaches past a limit", "#bcae6c", INK, ((45, 1.2, 0.25),)),
        Verdict.ASK: Look(
            "ask", "a qualified person must decide", "#7d7c78", WHITE, ((45, 1.5, 0.25), (-45, 1.5, 0.25))
        ),
        Verdict.FAILS: Look("fails", "a limit is passed", "#00224e", WHITE, ((90, 3.0, 0.5),)),
        None: Look(NOT_REACHED, "no line lets a worker get here", "none", PALE, ()),
    }
)

ZONE_LOOKS: Mapping[str, Look] = MappingProxyType(
    {
        Zone.RESTRAINED: Look(Zone.RESTRAINED, "no edge within reach", "none", PALE, ((-45, 3.2, 0.14),)),
        Zone.CAUGHT: Look(Zone.CAUGHT, "falls from here are caught", "none", PALE, ((0, 2.2, 0.14),)),
        Zone.NOT_HELD: Look(
            Zone.NOT_HELD, "a fall from here does not hold", "none", PALE, ((45, 1.8, 0.18), (-45, 1.8, 0.18))
        ),
        Zone.OUT_OF_REACH: Look(Zone.OUT_OF_REACH, "no line comes this far", "none", PALE, ()),
    }
)


def look_of(verdict: Verdict | None) -> Look:
    """How a verdict is drawn; None is an edge that nobody can get to.

    Examples
    --------
    >>> look_of(None).word
    'not reached'
    """
    return VERDICT_LOOKS[verdict]


def verdict_word(verdict: Verdict | None) -> str:
    """Word for a verdict, as it stands beside every mark."""
    return look_of(verdict).word


def hatch_patterns(looks: Mapping[str, Look]) -> str:
    """Definitions of the hatches of several looks, by the name that `hatched` is then given."""
    return "".join(
        _pattern(f"{name}-{index}", look.on, lines)
        for name, look in looks.items()
        for index, lines in enumerate(look.hatch)
    )


def _pattern(name: str, colour: str, lines: tuple[float, float, float]) -> str:
    angle, gap, width = lines
    return svg.tag(
        "pattern",
        svg.line((0, gap / 2), (gap, gap / 2), stroke=colour, stroke_width=width),
        id=name,
        width=gap,
        height=gap,
        patternUnits="userSpaceOnUse",
        patternTransform=f"rotate({angle:g})",
    )


def hatched(rings: Sequence[NDArray[np.float64]], name: str, look: Look, **attributes: svg.Value) -> str:
    """Return a shape in the ground and the hatch of a look.

    Parameters
    ----------
    rings : sequence of arrays, shape (n, 2)
        On the sheet; rings in rings are holes. [mm]
    name : str
        As given to `hatch_patterns`.
    look : Look
    **attributes
        For the ground, such as a stroke.

    Notes
    -----
    The ground is a shape of its own: as part of the tiles it would show seams between them.
    """
    ground = svg.path(rings, fill=look.colour, **attributes)
    return ground + "".join(svg.path(rings, fill=f"url(#{name}-{index})") for index in range(len(look.hatch)))
