"""What service does to a rope: time outdoors, days of use, catches, age, and what an inspection finds."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from ropewright.errors import InputError
from ropewright.findings import Source, SourceStatus, Verdict
from ropewright.quantity import Range
from ropewright.rope.fibre import Family, Fibre, weathering
from ropewright.rope.losses import Loss, Trigger
from ropewright.rope.tables import Figure, Grade, figures

__all__ = ["FOUND", "RETIRE", "YEAR", "Service", "canonical_found", "service_losses"]

#: One year. [s] 365.25 days.
YEAR = 365.25 * 86400.0
#: Days of use that the figure for rope in use speaks of. Judgement, as in the table.
_DAYS = 100.0
#: Age past which the maker is asked where nobody has told a life. [s] Judgement: no rule or study read gives years.
_OLD = 10.0 * YEAR

#: What an inspection may find that takes a rope out, whatever a number says, and what it is.
FOUND: Mapping[str, str] = {
    "cut": "yarns or sheath cut through",
    "melt": "fibres melted together or hard",
    "glazing": "a shiny, hard stretch where something ran hot",
    "core seen": "the core shows through the sheath",
    "chemical": "stains, smell or stiff places from acid, bleach, solvent or fuel",
    "crushed": "a flat, soft or thin place",
    "abraded": "worn through to broken yarns over a stretch",
}
_REMOVE = Source("29 CFR 1926 Subpart M App C", "II(g)", SourceStatus.READ)
_FALL = Source("29 CFR 1926.502", "(d)(19)", SourceStatus.READ)
_JUDGED = Source("judgement of this project", "no rule or study read gives a figure", SourceStatus.JUDGEMENT)
_USER = Source("told by the user", "service life by the maker", SourceStatus.USER)

#: When a rope goes to the bin, or out of service until somebody has decided; what acts before any number.
RETIRE: tuple[tuple[str, Source], ...] = (
    ("It has caught a fall, or may have.", _FALL),
    ("Anything of the list above is found on it.", _REMOVE),
    ("Nobody can say what it has been through.", _JUDGED),
    ("It is older than its maker lets it be, or its label can't be read.", _USER),
    ("It is more than ten years old and its maker has not been asked.", _JUDGED),
    ("It has seen more than 100 days of use: a competent person decides.", _JUDGED),
)


@dataclass(frozen=True, slots=True)
class Service:
    """What a rope has been through. None: nobody has told.

    Parameters
    ----------
    outdoors : float, optional
        Time left out in the weather, 0 or more. [s]
    days_used : float, optional
        0 or more. [-]
    catches : int, optional
        Falls it has caught.
    age, life : float, optional
        Since it was made, and how long its maker lets it be used. [s]
    found : tuple of str
        What was found on it, of `FOUND`.
    """

    outdoors: float | None = None
    days_used: float | None = None
    catches: int | None = None
    age: float | None = None
    life: float | None = None
    found: tuple[str, ...] = ()


def canonical_found(text: str, field: str) -> str:
    """Name of something that an inspection found.

    Raises
    ------
    InputError
        If the list has no such thing.
    """
    plain = " ".join(text.lower().replace("-", " ").split())
    if plain not in FOUND:
        raise InputError(field, text, f"give one of {', '.join(map(repr, FOUND))}")
    return plain


def service_losses(fibre: Fibre, service: Service) -> list[Loss]:
    """What service leaves of a rope, and what takes it out before any number.

    Parameters
    ----------
    fibre : Fibre
    service : Service

    Returns
    -------
    list of Loss
        Found damage first, then catches, age, use and weather; each factor at most 1.

    Raises
    ------
    ValueError
        If something is negative.

    Notes
    -----
    Weather: nylon (1 - r)^t at the yearly loss of webbing; polyester between rope (kept after two years) and webbing
    (exponential to a floor); polypropylene and natural fibre by what was kept after two years. All weathering figures
    but the natural fibre's are of grade C. A fibre without a figure is taken at the worst of the others and asked.

    Examples
    --------
    >>> from ropewright.rope.fibre import fibres
    >>> told = Service(outdoors=2 * YEAR, catches=0, age=3 * YEAR)
    >>> [round(loss.factor.low, 3) for loss in service_losses(fibres()["nylon"], told)]
    [0.543]
    """
    numbers = (service.outdoors, service.days_used, service.catches, service.age, service.life)
    if any(number is not None and not number >= 0 for number in numbers):
        raise ValueError(f"nothing about service can be negative, got {service}")
    found = [_found(service.found), _catches(service.catches), _age(service), _use(service.days_used)]
    return [loss for loss in (*found, _weather(fibre, service.outdoors)) if loss is not None]


def _out(name: str, subject: str, reason: str, source: Source, inputs: Mapping[str, float | str]) -> Loss:
    """Loss of everything."""
    figure = Figure(name, Range.exact(0.0), "-", source, Grade.A)
    return Loss(name, figure, figure.value, inputs, reason, (Trigger(subject, Verdict.FAILS, reason, source),))


def _asked(name: str, subject: str, reason: str, factor: Range, inputs: Mapping[str, float | str]) -> Loss:
    figure = Figure(name, factor, "-", _JUDGED, Grade.NONE)
    return Loss(name, figure, factor, inputs, reason, (Trigger(subject, Verdict.ASK, reason, _JUDGED),))


def _found(found: tuple[str, ...]) -> Loss | None:
    if not found:
        return None
    named = "; ".join(f"{one}: {FOUND[one]}" for one in found)
    reason = f"Found on it ({named}): out of service at once, tagged or destroyed."
    return _out("inspection", "inspection", reason, _REMOVE, {"found": ", ".join(found)})


def _catches(catches: int | None) -> Loss | None:
    if catches is None:
        return _asked("catches", "catches", "Say whether it has ever caught a fall.", Range(0.0, 1.0, 1.0), {})
    if catches == 0:
        return None
    return _out(
        "catches", "catches", "It has caught a fall: out of service at once.", _FALL, {"catches": float(catches)}
    )


def _age(service: Service) -> Loss | None:
    age, life = service.age, service.life
    whole = Range.exact(1.0)
    if age is None:
        return _asked("age", "age", "Say when it was made: the date is on its label.", whole, {})
    if life is not None and age > life:
        reason = "It is older than its maker lets it be."
        return _out("age", "age", reason, _USER, {"age_s": age, "life_s": life})
    if life is None and age > _OLD:
        reason = "It is more than ten years old and nobody has told what life its maker gives it: ask the maker."
        return _asked("age", "age", reason, whole, {"age_s": age})
    return None  # one study of 20 ropes to 18 years: wear and days of use decide, not age


def _use(days: float | None) -> Loss | None:
    if days is None or days <= _DAYS:
        return None  # what such use takes is in the figure for a rope in use
    good, worn = (figures("strength_figures")[f"condition/{state}"] for state in ("good", "worn"))
    ends = zip(
        (worn.value.low, worn.value.likely, worn.value.high), (good.value.low, good.value.likely, 1.0), strict=True
    )
    factor = Range(*(worn_end / good_end for worn_end, good_end in ends))
    reason = f"More than {_DAYS:.0f} days of use: it counts as worn, and a competent person must look at it."
    trigger = Trigger("use", Verdict.ASK, reason, _JUDGED)
    return Loss("days of use", worn, factor, {"days": days}, worn.note, (trigger,))


def _weather(fibre: Fibre, outdoors: float | None) -> Loss | None:
    if outdoors is None:
        told = "Nobody has told how long it lay out in the weather: none is counted beyond what its condition shows."
        return Loss("weather", _JUDGED_WHOLE, Range.exact(1.0), {}, told, (), (told,))
    if outdoors == 0.0:
        return None
    years = outdoors / YEAR
    families = [fibre.family] if fibre.family in _KEPT else list(_KEPT)
    kept = [_KEPT[family](years) for family in families]
    factor = Range(
        min(low for low, _, _, _ in kept), min(likely for _, likely, _, _ in kept), min(high for *_, high, _ in kept)
    )
    figure = min(kept, key=lambda one: one[0])[3]
    inputs: dict[str, float | str] = {"outdoors_s": outdoors, "fibre": fibre.name}
    if fibre.family in _KEPT:
        return Loss("weather", figure, factor, inputs, figure.note)
    reason = "No figure was found for what weather does to this fibre; it is taken at the worst of the others."
    trigger = Trigger("weather", Verdict.ASK, reason, _JUDGED)
    return Loss("weather", figure, factor, inputs, reason, (trigger,))


_JUDGED_WHOLE = Figure("weather", Range.exact(1.0), "-", _JUDGED, Grade.NONE)

_Kept = tuple[float, float, float, Figure]


def _nylon(years: float) -> _Kept:
    figure = weathering()["nylon webbing/yearly loss"]
    loss = figure.value
    return (1 - loss.high) ** years, (1 - loss.likely) ** years, (1 - loss.low) ** years, figure


def _polyester(years: float) -> _Kept:
    floor = weathering()["polyester webbing/floor"]
    rate = weathering()["polyester webbing/rate"].value.likely
    rope = weathering()["polyester rope/kept after two years"].value.likely ** (years / 2)
    webbing = floor.value.low + (1 - floor.value.low) * math.exp(-rate * years)
    low, high = min(webbing, rope), max(webbing, rope)
    return low, (low + high) / 2, high, floor


def _polypropylene(years: float) -> _Kept:
    """Step down: what is kept at two years is not counted on before half a year has run either."""
    key = "kept after two years" if years <= 2 else "kept beyond two years"
    figure = weathering()[f"polypropylene/{key}"]
    kept = figure.value
    if years >= 0.5:
        return kept.low, kept.likely, kept.high, figure
    share = years / 0.5  # the source speaks from half a year on; before it, in a straight line
    low, likely, high = (1 - share * (1 - end) for end in (kept.low, kept.likely, kept.high))
    return low, likely, high, figure


def _natural(years: float) -> _Kept:
    figure = weathering()["natural-fibre line/kept after two years"]
    kept = figure.value.likely ** (years / 2)
    return kept, kept, kept, figure


_KEPT = {
    Family.POLYAMIDE: _nylon,
    Family.POLYESTER: _polyester,
    Family.POLYOLEFIN: _polypropylene,
    Family.NATURAL: _natural,
}
