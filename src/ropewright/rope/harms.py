"""What heat, wet, sun, chemicals and edges ask of a fibre before a rope of it is chosen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from ropewright.errors import InputError
from ropewright.findings import Source, SourceStatus, Verdict
from ropewright.rope.fibre import Family, Statement, fibre_facts, fibre_properties, fibres
from ropewright.rope.material import Suited
from ropewright.rope.tables import Figure, Grade, figures

__all__ = ["CHEMICALS", "chemical_answer", "edge_answer", "heat_answer", "sun_answer", "wet_answer"]

#: Chemicals that can be named, with the topic under which the table speaks of them.
CHEMICALS: Mapping[str, str] = MappingProxyType(
    {"acid": "acids", "alkali": "alkalis", "bleach": "bleach", "solvent": "solvents"}
)

_NOTHING = Source("no document read says", "", SourceStatus.JUDGEMENT)

#: Fibres that a fibre is made of or may be; what harms one of them harms the rope.
_PARTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "nylon core with polyester sheath": ("nylon", "polyester"),
        "polyester-polyolefin": ("polyester", "polypropylene"),
        "polyolefin": ("polypropylene", "polyethylene"),
    }
)


def _parts(fibre: str) -> tuple[str, ...]:
    return _PARTS.get(fibre, (fibre,))


def _statements(fibre: str, topic: str) -> Iterator[tuple[str, Statement | None]]:
    """What the table says of each part of a rope; None where it says nothing."""
    for part in _parts(fibre):
        yield part, fibre_facts().get(part, {}).get(topic)


def _settles(said: Statement) -> bool:
    return said.source.status.settles and said.grade is not Grade.C


def chemical_answer(fibre: str, chemical: str) -> Suited:
    """Whether a fibre stands a chemical that it will meet.

    Parameters
    ----------
    fibre : str
        Canonical name.
    chemical : str
        A key of `CHEMICALS`.

    Returns
    -------
    Suited
        Harm that is only remembered still fails a rope; resistance that is only remembered is asked about.

    Raises
    ------
    InputError
        If the chemical is none of those.

    Examples
    --------
    >>> chemical_answer("nylon", "acid").verdict.value, chemical_answer("polyester", "acid").verdict.value
    ('fails', 'ask')
    """
    if chemical not in CHEMICALS:
        raise InputError("chemical", chemical, f"give one of {', '.join(map(repr, CHEMICALS))}")
    told = list(_statements(fibre, CHEMICALS[chemical]))
    question = f"Does the fibre stand {chemical}?"
    for part, found in told:
        if found is not None and not found.text.startswith("resists"):
            reason = f"{part.capitalize()}: {found.text}."
            return Suited(f"chemical/{chemical}", Verdict.FAILS, question, reason, found.source, found.grade)
    if any(found is None for _, found in told):
        reason = f"Nothing that was read says how this fibre stands {chemical}: ask its maker."
        return Suited(f"chemical/{chemical}", Verdict.ASK, question, reason, _NOTHING, Grade.NONE)
    # the part that is known least decides
    part, said = min(((part, found) for part, found in told if found is not None), key=lambda one: _settles(one[1]))
    settled = _settles(said)
    reason = f"{part.capitalize()} {said.text}" + ("." if settled else ": ask its maker for how much of it, how warm.")
    verdict = Verdict.HOLDS if settled else Verdict.ASK
    return Suited(f"chemical/{chemical}", verdict, question, reason, said.source, said.grade)


def _own_heat(fibre: str) -> Figure | None:
    """Lowest temperature at which a part of the rope is known to be past use."""
    known = (
        figure
        for part in _parts(fibre)
        for name in ("working temperature", "softening", "melting", "charring")
        if (figure := fibre_properties().get(part, {}).get(name)) is not None
    )
    return min(known, key=lambda figure: figure.value.low, default=None)


def _both(celsius: float) -> str:
    """Temperature in both units, since a reason does not know which its reader uses."""
    return f"{celsius:g} degC ({celsius * 1.8 + 32:.0f} degF)"


def _is_common(fibre: str) -> bool:
    """Whether documents that were read speak of the heat of this fibre: nylon, polyester, polypropylene."""
    return fibres()[fibre].family in (Family.POLYAMIDE, Family.POLYESTER) or fibre == "polypropylene"


def heat_answer(fibre: str, temperature: float) -> Suited:
    """Whether a fibre stands the temperature of what it lies on or works in.

    Parameters
    ----------
    fibre : str
        Canonical name.
    temperature : float
        [degC]

    Returns
    -------
    Suited

    Notes
    -----
    The range is that of fibre-rope slings, -20 F to 180 F: WAC 296-24-29429(2), read; no such line was found for
    lifelines. At or above the fibre's own lowest figure it fails.

    Examples
    --------
    >>> [heat_answer(*case).verdict.value for case in (("nylon", 40.0), ("nylon", 100.0), ("polypropylene", 130.0))]
    ['holds', 'ask', 'fails']
    """
    question = "Does the fibre stand the temperature?"
    general, own = fibre_properties()["any fibre"], _own_heat(fibre)
    least, greatest = general["least sling temperature"], general["greatest sling temperature"]
    if own is not None and temperature >= own.value.low:
        reason = f"{own.key.split('/')[0].capitalize()} is past use from {_both(own.value.low)} on."
        return Suited("heat", Verdict.FAILS, question, reason, own.source, own.grade)
    if not least.value.low <= temperature <= greatest.value.low:
        reason = f"Fibre-rope slings end at {_both(least.value.low)} and {_both(greatest.value.low)}: ask the maker."
        return Suited("heat", Verdict.ASK, question, reason, greatest.source, greatest.grade)
    if not _is_common(fibre):
        reason = "Nothing that was read gives this fibre's working temperature: ask its maker."
        return Suited("heat", Verdict.ASK, question, reason, _NOTHING, Grade.NONE)
    reason = "Inside the range of fibre-rope slings; what slides on the rope is hotter than the air."
    return Suited("heat", Verdict.HOLDS, question, reason, greatest.source, greatest.grade)


def wet_answer(fibre: str) -> Suited:
    """What wet takes of a fibre's strength.

    Examples
    --------
    >>> wet_answer("nylon").verdict.value, wet_answer("aramid").verdict.value
    ('doubtful', 'ask')
    """
    question = "Does the fibre keep its strength wet?"
    figure = fibre_properties().get(fibre, {}).get("wet factor")
    if figure is None:
        reason = "Nothing that was read says what wet takes of it: ask its maker."
        return Suited("wet", Verdict.ASK, question, reason, _NOTHING, Grade.NONE)
    if figure.value.low < 1.0:
        reason = f"Wet leaves {figure.value.low:.0%} to {figure.value.high:.0%} of its strength: count the low end."
        return Suited("wet", Verdict.DOUBTFUL, question, reason, figure.source, figure.grade, figure.note)
    verdict = Verdict.HOLDS if figure.settles else Verdict.ASK
    reason = "It keeps its strength wet" + ("." if figure.settles else ", by a weak source: ask its maker.")
    return Suited("wet", verdict, question, reason, figure.source, figure.grade, figure.note)


def sun_answer(fibre: str) -> Suited:
    """What sun does to a fibre left out in it; never `HOLDS`, since no time in the sun was found to be safe.

    Examples
    --------
    >>> sun_answer("nylon").verdict.value
    'ask'
    """
    question = "Does the fibre stand being left in the sun?"
    keep = "No time in the sun was found to be safe: keep it covered, and count its time outdoors."
    for part, found in _statements(fibre, "sunlight"):
        if found is not None:
            reason = f"{part.capitalize()}: {found.text}. {keep}"
            return Suited("sun", Verdict.ASK, question, reason, found.source, found.grade)
    return Suited("sun", Verdict.ASK, question, keep, _NOTHING, Grade.NONE)


def edge_answer() -> Suited:
    """What a bare edge leaves of any fibre rope, by the rule's word.

    Examples
    --------
    >>> edge_answer().verdict.value
    'ask'
    """
    figure = figures("strength_figures")["edge/bare"]
    reason = f"A bare edge can leave {figure.value.low:.0%} of any fibre rope: pad it, take another way or use wire."
    question = "Does the rope stand the edge that it bears on?"
    return Suited("edge", Verdict.ASK, question, reason, figure.source, figure.grade, figure.note)
