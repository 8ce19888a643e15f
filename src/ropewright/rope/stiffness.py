"""How far a rope stretches: force per unit strain in a slow hang and in a catch."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

from ropewright.findings import Source, SourceStatus
from ropewright.quantity import Range
from ropewright.rope.fibre import Family, fibres
from ropewright.rope.modulus import check_stiffness
from ropewright.rope.names import canonical_construction, canonical_fibre, canonical_stretch, read_condition
from ropewright.rope.tables import Figure, Grade, figures

__all__ = ["RopeStiffness", "StandardLinearSolid", "stiffness_of", "stretch_under"]


class StandardLinearSolid(NamedTuple):
    """Spring `e1` beside spring `e2` with a dashpot in series: F = E1 eps + q, dq/dt = E2 deps/dt - q/tau."""

    e1: Range  #: force per unit strain after long [N]
    e2: Range  #: force per unit strain that relaxes [N]
    tau: Range  #: relaxation time [s]


@dataclass(frozen=True, slots=True)
class RopeStiffness:
    """Force per unit strain of a rope.

    Parameters
    ----------
    static : Range
        In a slow pull or a hang. [N]
    arrest : Range
        Of the undamped elastic rope that gives the same peak force in a catch. [N]
    sls : StandardLinearSolid
        The same rope with its damping.
    basis : str
        How it was found: ``given``, ``table``, ``scaled`` or ``widest``, and from what, in words.
    source : Source
    grade : Grade
    samples : int, optional
    fall_factor : float
        Greatest fall factor of the drops behind `arrest`: up to it the range holds that one spring is too soft for
        the harder falls. 0: not known. [-]
    """

    static: Range
    arrest: Range
    sls: StandardLinearSolid
    basis: str
    source: Source
    grade: Grade
    samples: int | None = None
    fall_factor: float = 0.0

    @property
    def status(self) -> SourceStatus:
        """How the figures came to be known."""
        return self.source.status


def _row(key: str) -> Figure:
    return figures("stiffness")[key]


def _scaled(value: Range, factor: Range | float) -> Range:
    k = Range.exact(factor) if isinstance(factor, float) else factor
    return Range(value.low * k.low, value.likely * k.likely, value.high * k.high)


def _over(value: Range, divisor: Range) -> Range:
    """Quotient with its ends at their widest."""
    return Range(value.low / divisor.high, value.likely / divisor.likely, value.high / divisor.low)


def _widened(value: Range, other: Range) -> Range:
    """Range that spans both, with the likely value of the first."""
    return Range(min(value.low, other.low), value.likely, max(value.high, other.high))


def _table_solid(kind: str) -> StandardLinearSolid:
    return StandardLinearSolid(*(_row(f"{kind}/sls {part}").value for part in ("e1", "e2", "tau")))


def _solid_for(kind: str, static: Range, arrest: Range) -> StandardLinearSolid:
    """Damped rope of a kind, with its springs moved as static and arrest stiffness moved against the table."""
    solid = _table_solid(kind)

    def moved(spring: Range, new: Range, old: Range) -> Range:
        ends = [getattr(spring, e) * getattr(new, e) / getattr(old, e) for e in ("low", "likely", "high")]
        return Range(min(ends), sorted(ends)[1], max(ends))

    old_static, old_arrest = _row(f"{kind}/static").value, _row(f"{kind}/arrest").value
    return StandardLinearSolid(moved(solid.e1, static, old_static), moved(solid.e2, arrest, old_arrest), solid.tau)


def _dynamic() -> RopeStiffness:
    arrest = _row("dynamic/arrest")
    return RopeStiffness(
        static=_row("dynamic/static").value,
        arrest=arrest.value,
        sls=_table_solid("dynamic"),
        basis="table: dynamic sheathed core of any diameter, which does not predict the stiffness of dynamic rope",
        source=arrest.source,
        grade=arrest.grade,
        samples=arrest.samples,
        fall_factor=_row("dynamic/fall factor").value.low,
    )


def _low_stretch(family: Family, diameter: float) -> RopeStiffness:
    """Low-stretch sheathed core: the table at 10.5 mm to 11 mm, scaled by section and not narrowed by it."""
    arrest = _row("low-stretch/arrest")
    section = (diameter / _row("low-stretch/reference diameter").value.likely) ** 2
    static_there, arrest_there = _row("low-stretch/static").value, arrest.value
    stiff = _widened(_scaled(static_there, section), static_there)
    caught = _widened(_scaled(arrest_there, section), arrest_there)
    basis = (
        "scaled: low-stretch nylon sheathed core of 10.5 mm to 11 mm, by diameter squared, kept as wide as the table"
    )
    if family is Family.POLYESTER:
        more = _row("polyester over nylon").value
        stiff, caught = _scaled(stiff, more), _scaled(caught, more)
        basis += "; high end raised for polyester, of which no figure was found"
    solid = _solid_for("low-stretch", stiff, caught)
    return RopeStiffness(
        stiff,
        caught,
        solid,
        basis,
        arrest.source,
        arrest.grade,
        arrest.samples,
        _row("low-stretch/fall factor").value.low,
    )


def _from_static(static: Range, basis: str, row: Figure) -> RopeStiffness:
    """Rope of which only the slow pull is known; its catch by the ratio of low-stretch rope."""
    caught = _scaled(static, _row("low-stretch/arrest over static").value)
    basis += "; catch by the ratio of low-stretch rope, since none was found for this kind"
    solid = _solid_for("low-stretch", static, caught)
    return RopeStiffness(
        static, caught, solid, basis, row.source, row.grade, row.samples, _row("low-stretch/fall factor").value.low
    )


#: Laid rope that the tables hold, by the family of its fibre.
_LAID: Mapping[Family, str] = {
    Family.POLYAMIDE: "laid nylon",
    Family.POLYESTER: "laid polyester",
    Family.POLYOLEFIN: "laid polypropylene",
}

#: Size that the rows ``at 16 mm`` are for. [m]
_LAID_REFERENCE = 0.016


def _laid(kind: str, diameter: float, strength: Range | None) -> RopeStiffness:
    by_size = _scaled(_row(f"{kind}/at 16 mm").value, (diameter / _LAID_REFERENCE) ** 2)
    row = _row(f"{kind}/stiffness over strength")
    if strength is None:
        return _from_static(by_size, f"scaled: {kind} rope of 16 mm, by diameter squared", _row(f"{kind}/at 16 mm"))
    both = _widened(_scaled(row.value, strength), by_size)
    return _from_static(both, f"scaled: {kind} rope by its strength, as wide as by its diameter too", row)


def _double_braid_nylon(strength: Range) -> RopeStiffness:
    """Worked-in double braid: its stiffness goes with its average strength, which lies above the minimum."""
    row = _row("double braid nylon/stiffness over average break")
    average = figures("strength_figures")["basis/average"].value
    static = _scaled(_over(strength, Range(average.low, average.likely, 1.0)), row.value)
    return _from_static(static, "scaled: worked-in double-braided nylon by its strength", row)


def _spanning(values: Iterable[Range]) -> Range:
    """Span of several ranges; likely is the geometric middle, for want of anything better."""
    known = list(values)
    low, high = min(value.low for value in known), max(value.high for value in known)
    return Range(low, min(max((low * high) ** 0.5, low), high), high)


def _high_modulus(diameter: float, strength: Range | None) -> RopeStiffness:
    """Rope of fibre that hardly stretches: at its stiffest the fibre alone, since construction stretch is unknown."""
    row = _row("high-modulus/stiffness over strength")
    known = strength or _scaled(_row("high-modulus/strength over diameter squared").value, diameter**2)
    return _from_static(_scaled(row.value, known), "scaled: fibre that hardly stretches, by its strength", row)


def _widest(family: Family, diameter: float, strength: Range | None) -> RopeStiffness:
    """Rope that may be any: the span of every kind at this size and strength."""
    kinds = [_dynamic(), *(_low_stretch(family, diameter) for family in (Family.POLYAMIDE, Family.POLYESTER))]
    kinds += [_laid(kind, diameter, strength) for kind in _LAID.values()]
    if strength is not None:
        kinds.append(_double_braid_nylon(strength))
    if family in (Family.HIGH_MODULUS, Family.UNKNOWN):
        kinds.append(_high_modulus(diameter, strength))
    solids = zip(*(rope.sls for rope in kinds), strict=True)
    return RopeStiffness(
        static=_spanning(rope.static for rope in kinds),
        arrest=_spanning(rope.arrest for rope in kinds),
        sls=StandardLinearSolid(*map(_spanning, solids)),
        basis="widest: no figure was found for this rope, so it may be as soft or as stiff as any",
        source=Source("judgement of this project", "(span of every kind of rope in the table)", SourceStatus.JUDGEMENT),
        grade=Grade.NONE,
        fall_factor=min(rope.fall_factor for rope in kinds),
    )


def _given(arrest: Range, stretch: str) -> RopeStiffness:
    """Rope whose stiffness in a catch was told; the slow pull by the ratio of its kind."""
    kind = "dynamic" if stretch == "dynamic" else "low-stretch"
    static = _over(arrest, _row(f"{kind}/arrest over static").value)
    solid = _solid_for(kind, static, arrest)
    source = Source("told by the user", "stiffness of the rope", SourceStatus.USER)
    return RopeStiffness(static, arrest, solid, f"given; slow pull by the ratio of {kind} rope", source, Grade.NONE)


def stiffness_of(
    fibre: str,
    construction: str,
    stretch: str,
    diameter: float,
    strength: Range | None = None,
    *,
    given: Range | None = None,
    condition: str = "unknown",
) -> RopeStiffness:
    """Force per unit strain of a rope, in a hang and in a catch.

    Parameters
    ----------
    fibre, construction, stretch : str
        Canonical names or what people call them.
    diameter : float
        Above 0. [m]
    strength : Range, optional
        Minimum breaking strength as new, above 0; scales laid and braided rope. [N]
    given : Range, optional
        Stiffness at arrest, where the user knows it: the table is then not asked. [N]
    condition : str
        Rope that is not ``new`` may be stiffer in a catch; nylon that is not ``dry`` may be softer in a hang.

    Returns
    -------
    RopeStiffness
        Both ends are unsafe: a stiff rope stops harder, a soft one needs more clearance.

    Raises
    ------
    InputError
        If a name is unknown, or a given stiffness is above what any fibre can have.
    ValueError
        If diameter or strength is not above 0.

    Notes
    -----
    Dynamic sheathed core: 101 ropes of an open data set; diameter does not predict it (correlation with peak force
    0.20). Low-stretch: limits of EN 1891 and drop tests of six ropes. Laid: remembered tables. Damped constants of
    low-stretch rope: judgement, since no test could be read. What fits nothing gets the widest range.

    Examples
    --------
    >>> rope = stiffness_of("nylon", "kernmantle", "dynamic", 0.010, condition="new, dry")
    >>> rope.arrest
    Range(low=15100.0, likely=21900.0, high=28000.0)
    >>> rope.samples, rope.basis[:5]
    (101, 'table')
    """
    if not diameter > 0:
        raise ValueError(f"diameter must be above 0 m, got {diameter}")
    if strength is not None and not strength.low > 0:
        raise ValueError(f"strength must be above 0 N, got {strength}")
    material = fibres()[canonical_fibre(fibre, "fibre")]
    made, gives = canonical_construction(construction, "construction"), canonical_stretch(stretch, "stretch")
    state = read_condition(condition, "condition")
    if given is not None:
        check_stiffness(given.low, diameter, "stiffness")
        check_stiffness(given.high, diameter, "stiffness")
        return _given(given, gives)
    found = _by_kind(material.family, made, gives, diameter, strength)
    return _in_use(found, used=state.state != "new", wet=state.wet is not False and material.family in _MAY_BE_NYLON)


_MAY_BE_NYLON = (Family.POLYAMIDE, Family.UNKNOWN)


def _by_kind(family: Family, made: str, gives: str, diameter: float, strength: Range | None) -> RopeStiffness:
    """Stiffness of new, dry rope by what it is."""
    if made == "sheathed core" and family is Family.POLYAMIDE and gives == "dynamic":
        return _dynamic()
    if made == "sheathed core" and family in (Family.POLYAMIDE, Family.POLYESTER) and gives in _LOW:
        return _low_stretch(family, diameter)
    if made == "laid" and family in _LAID:
        return _laid(_LAID[family], diameter, strength)
    if made == "double braid" and family is Family.POLYAMIDE and strength is not None:
        return _double_braid_nylon(strength)
    return _widest(family, diameter, strength)


_LOW = ("static", "low-stretch")


def _in_use(rope: RopeStiffness, *, used: bool, wet: bool) -> RopeStiffness:
    """Widen for what use and water do: stiffer in a catch, softer in a hang."""
    static, caught, basis = rope.static, rope.arrest, rope.basis
    if used:
        caught = _widened(caught, _scaled(caught, _row("used/arrest").value))
        basis += "; may be used, which stiffens a catch"
    if wet:
        static = _widened(static, _scaled(static, _row("wet nylon/static").value))
        basis += "; may be wet nylon, which softens a hang"
    e1 = Range(min(rope.sls.e1.low, static.low), rope.sls.e1.likely, rope.sls.e1.high)
    e2_high = rope.sls.e2.high * caught.high / rope.arrest.high
    solid = StandardLinearSolid(e1, Range(rope.sls.e2.low, rope.sls.e2.likely, e2_high), rope.sls.tau)
    return replace(rope, static=static, arrest=caught, sls=solid, basis=basis)


def stretch_under(force: float, length: float, stiffness: Range) -> Range:
    """How far a length of rope stretches under a force.

    Parameters
    ----------
    force : float
        0 or more. [N]
    length : float
        Unstretched, 0 or more. [m]
    stiffness : Range
        Force per unit strain, above 0. [N]

    Returns
    -------
    Range
        A stiff rope gives the low end. [m]

    Raises
    ------
    ValueError
        If force or length is negative, or the stiffness is not above 0.

    Examples
    --------
    >>> round(stretch_under(4000.0, 15.0, Range.exact(35e3)).likely, 2)  # more than an absorber opens
    1.71
    >>> stretch_under(0.0, 15.0, Range.exact(35e3))
    Range(low=0.0, likely=0.0, high=0.0)
    """
    if not (force >= 0 and length >= 0):
        raise ValueError(f"force and length must be 0 or more, got {force} N and {length} m")
    if not stiffness.low > 0:
        raise ValueError(f"stiffness must be above 0 N, got {stiffness}")
    work = force * length
    return Range(work / stiffness.high, work / stiffness.likely, work / stiffness.low)
