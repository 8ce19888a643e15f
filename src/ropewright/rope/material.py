"""Whether a rope's fibre, construction and stretch suit what it is to do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from ropewright.errors import InputError
from ropewright.findings import Source, Verdict
from ropewright.rope.fibre import Family, Fibre, fibres
from ropewright.rope.names import canonical_construction, canonical_fibre, canonical_stretch
from ropewright.rope.tables import Grade, rows, source_of

__all__ = ["USES", "Suited", "suitability", "suitability_table"]

#: What a rope can be judged for.
USES = ("vertical lifeline", "lanyard")


@dataclass(frozen=True, slots=True)
class Suited:
    """Answer to one question about a rope's material.

    Parameters
    ----------
    key : str
        Its row: ``construction/laid``.
    verdict : Verdict
        Practice alone never fails a rope: it makes it doubtful.
    question : str
    reason : str
        Why, in plain words; with `ASK`, what must be asked.
    source : Source
    grade : Grade
    note : str
    """

    key: str
    verdict: Verdict
    question: str
    reason: str
    source: Source
    grade: Grade
    note: str = ""


@cache
def suitability_table() -> Mapping[str, Suited]:
    """Every answer that the table holds, by key.

    Examples
    --------
    >>> suitability_table()["stretch/dynamic"].verdict.value
    'doubtful'
    """
    return MappingProxyType(
        {
            row["key"]: Suited(
                key=row["key"],
                verdict=Verdict(row["verdict"]),
                question=row["question"],
                reason=row["reason"],
                source=source_of(row),
                grade=Grade(row["grade"]),
                note=row["note"],
            )
            for row in rows("suitability")
        }
    )


def _fibre_keys(fibre: Fibre) -> tuple[str, ...]:
    """Rows that answer for a fibre; natural fibre breaks two rules."""
    key = f"fibre/{fibre.family}"
    return (key, "fibre/natural in general industry") if fibre.family is Family.NATURAL else (key,)


def _sunlight_keys(fibre: Fibre, inhibitor: bool | None) -> tuple[str, ...]:
    """Row on the inhibitor against sunlight, where polypropylene is or may be part of the rope."""
    if not fibre.has_polyolefin:
        return ()
    if inhibitor:
        return ("sunlight/with inhibitor",)
    if fibre.name != "polypropylene":
        return ("sunlight/maybe polypropylene",)
    return ("sunlight/unknown" if inhibitor is None else "sunlight/without inhibitor",)


def suitability(
    fibre: str,
    construction: str,
    stretch: str,
    *,
    uv_inhibitor: bool | None = None,
    use: str = "vertical lifeline",
) -> tuple[Suited, ...]:
    """Whether a rope's material suits its use, question by question.

    Parameters
    ----------
    fibre, construction, stretch : str
        Canonical names or what people call them; ``unknown`` where nobody knows, which is asked.
    uv_inhibitor : bool, optional
        Whether it holds an inhibitor against sunlight; counts for polypropylene alone. None: not known.
    use : str
        ``vertical lifeline`` or ``lanyard``; stretch and construction are preferences for lifelines alone.

    Returns
    -------
    tuple of Suited
        In the order of the questions: fibre, sunlight, construction, stretch.

    Raises
    ------
    InputError
        If a name is unknown; the nearest known names are offered.

    Notes
    -----
    Natural fibre: 29 CFR 1926.502(d)(14) and 1910.140(c)(15), read. Inhibitor: 1910.140(c)(15), read. Preferences:
    common practice, no source.

    Examples
    --------
    >>> [answer.verdict.value for answer in suitability("nylon", "kernmantle", "static")]
    ['holds', 'holds', 'holds']
    >>> [answer.verdict.value for answer in suitability("manila", "3-strand", "static")]
    ['fails', 'fails', 'doubtful', 'holds']
    """
    if use not in USES:
        raise InputError("use", use, f"give one of {', '.join(map(repr, USES))}")
    material = fibres()[canonical_fibre(fibre, "fibre")]
    keys = [*_fibre_keys(material), *_sunlight_keys(material, uv_inhibitor)]
    made, give = canonical_construction(construction, "construction"), canonical_stretch(stretch, "stretch")
    if use == "vertical lifeline":
        keys += [f"construction/{made}", f"stretch/{give}"]
    return tuple(suitability_table()[key] for key in keys)
