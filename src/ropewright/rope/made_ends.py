"""Ends that are no knots: splices, sewn eyes, made-up assemblies; what each asks for and what it leaves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ropewright.errors import InputError
from ropewright.findings import Source, SourceStatus
from ropewright.rope.names import canonical_termination
from ropewright.rope.termination import EndKind, Termination, terminations

__all__ = ["ASK", "MadeEnd", "Said", "find_made_end", "made_end", "made_end_names"]

#: What is said of an end, and where it comes from.
Said = tuple[str, Source]

_SLINGS = "29 CFR 1926.251"
_PRACTICE = Source("practice", "(no source found)", SourceStatus.PRACTICE)
_READ = SourceStatus.READ

#: No such words were found for lifelines; those for slings are the nearest.
_SAID: Mapping[EndKind, tuple[Said, ...]] = MappingProxyType(
    {
        EndKind.SPLICE: (
            ("Only in laid rope, and only by someone who splices: tuck each strand over one and under one.", _PRACTICE),
            (
                "At least 3 full tucks in natural fibre, 4 in synthetic (slings' rule).",
                Source(_SLINGS, "(d)(4)(i), (ii)", _READ),
            ),
            (
                "The eye's legs meet at 60 degrees or less: a longer eye, or a thimble (slings' rule).",
                Source(_SLINGS, "(d)(4)(vii)", _READ),
            ),
            (
                "Leave 6 diameters of each strand standing out; 6 in where the rope is 1 in or more (slings' rule).",
                Source(_SLINGS, "(d)(4)(iii)", _READ),
            ),
        ),
        EndKind.SEWN: (
            ("Sewn by its maker: nobody sews one on site.", _PRACTICE),
            ("Clip the connector into the thimble; gate shut and locked.", _PRACTICE),
        ),
        EndKind.FITTING: (
            ("Made up by its maker: don't untie, cut or end it anew.", _PRACTICE),
            ("Read the label: its rating is that of rope and ends together.", _PRACTICE),
        ),
    }
)
#: What is said of an end that nothing is held of.
ASK: tuple[Said, ...] = (
    (
        "No drawing of this end is held here: ask a competent person how it is made, and what it leaves.",
        Source("judgement of this project", "", SourceStatus.JUDGEMENT),
    ),
)
#: Under this diameter the tails of a splice are told in diameters, else as a length; what they are. [m, -, m]
_THICK, _TAIL_DIAMETERS, _TAIL = 0.0254, 6.0, 0.1524


@dataclass(frozen=True, slots=True)
class MadeEnd:
    """An end that is no knot, in a rope of a given diameter.

    Parameters
    ----------
    end : Termination
    diameter : float
        [m]
    said : tuple of (str, Source)
    tail : float, optional
        Of each strand of a splice, at least; None for other ends. [m]
    """

    end: Termination
    diameter: float
    said: tuple[Said, ...]
    tail: float | None


def made_end_names() -> tuple[str, ...]:
    """Canonical names of the ends that are no knots.

    Examples
    --------
    >>> made_end_names()
    ('eye splice', 'rated assembly', 'sewn eye')
    """
    return tuple(name for name, end in terminations().items() if end.kind in _SAID)


def made_end(termination: Termination, diameter: float) -> MadeEnd:
    """What is to be said of an end that is no drawn knot.

    Parameters
    ----------
    termination : Termination
    diameter : float
        Of the rope, above 0. [m]

    Returns
    -------
    MadeEnd
        Rope that it takes is not among what is told: no published figure was found.

    Raises
    ------
    ValueError
        If the diameter is not above 0.

    Notes
    -----
    Tails by 29 CFR 1926.251(d)(4)(iii), read, for slings: 6 diameters under 1 in, 6 in from there on.

    Examples
    --------
    >>> made_end(terminations()["eye splice"], 0.0127).tail, made_end(terminations()["sewn eye"], 0.011).tail
    (0.0762, None)
    """
    if not diameter > 0:
        raise ValueError(f"diameter must be above 0 m, got {diameter}")
    tail = None
    if termination.kind is EndKind.SPLICE:
        tail = _TAIL if diameter >= _THICK - 1e-9 else round(_TAIL_DIAMETERS * diameter, 9)
    return MadeEnd(termination, diameter, _SAID.get(termination.kind, ASK), tail)


def find_made_end(text: str, field: str) -> Termination | None:
    """End that somebody named; None if it is none of those that are no knots.

    Examples
    --------
    >>> find_made_end("sewn loop", "NAME").name, find_made_end("bowline", "NAME")
    ('sewn eye', None)
    """
    try:
        end = terminations()[canonical_termination(text, field)]
    except InputError:
        return None
    return end if end.kind in _SAID else None
