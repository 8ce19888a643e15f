"""Reading the options of `ropewright fall`: quantities, ranges, named parts, a load curve; all faults at once."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from ropewright.cli.options import OptionReader, Parse
from ropewright.errors import InputError, QuantityError
from ropewright.quantity import Dimension, Range, parse_quantity, parse_range

if TYPE_CHECKING:
    from ropewright.arrest.answer import FallTask
    from ropewright.arrest.curve import LoadCurve
    from ropewright.findings.figures import Figure

__all__ = ["FallRequest", "read_fall"]

#: Widest values that are read; beyond them something was mistyped, or the answer would mean nothing.
_LIMITS = {
    Dimension.MASS: 10_000.0,
    Dimension.LENGTH: 1_000.0,
    Dimension.FORCE: 1e9,
    Dimension.STIFFNESS: 1e12,
    Dimension.TIME: 1e9,
}

#: Options that are inputs of a fall as they are: name, dimension, and whether 0 means something.
_PLAIN = (
    ("mass", Dimension.MASS, False),
    ("free_fall", Dimension.LENGTH, True),
    ("relaxation_time", Dimension.TIME, True),
    ("grab_lock", Dimension.LENGTH, True),
    ("grab_slip_force", Dimension.FORCE, False),
    ("grab_slip_length", Dimension.LENGTH, True),
    ("absorber_force", Dimension.FORCE, False),
    ("absorber_length", Dimension.LENGTH, True),
    ("lanyard_stiffness", Dimension.STIFFNESS, False),
    ("anchor_stiffness", Dimension.STIFFNESS, False),
)

#: Options that say nothing without their partner.
_PAIRS = (
    ("absorber_force", "absorber_length", "give how far the absorber can open, such as '1.07 m'"),
    ("absorber_length", "absorber_force", "give the force at which the absorber opens, such as '4 kN'"),
    ("fast_stiffness", "relaxation_time", "give the time in which the fast stiffness relaxes, such as '0.2 s'"),
    ("relaxation_time", "fast_stiffness", "give the stiffness that relaxes in that time, such as '5 kN/m'"),
    ("grab_slip_force", "grab_slip_length", "give how far the grab can slide, such as '0.3 m'"),
    ("grab_slip_length", "grab_slip_force", "give the force at which the grab slides, such as '4 kN'"),
)

_CURVE_ADVICE = "give points of strain and force, rising, such as '4 % 0.6 kN, 12 % 3 kN, 25 % 11 kN'"


@dataclass(frozen=True)
class FallRequest:
    """A fall as it was asked for on the command line."""

    task: FallTask
    length: float  #: of the line, likely [m]
    figures: Mapping[str, Figure] = field(default_factory=dict)  #: taken from the tables, by input
    has_ranges: bool = False  #: some input beside the D-ring's shift that nobody asked about is a range


def read_fall(texts: Mapping[str, Any], *, draws: int) -> FallRequest:
    """Read the options of a fall.

    Parameters
    ----------
    texts : mapping of str to str or None
        Options by their Python names.
    draws : int
        0: none.

    Raises
    ------
    InputError
        For each option that can't be read, has an impossible value or lacks its partner, in one go.
    """
    from ropewright.arrest.answer import FallTask
    from ropewright.arrest.doubtful import FallPoints

    reader = OptionReader(texts)
    inputs: dict[str, Range] = {}
    for name, dimension, zero in _PLAIN:
        if reader.given(name):
            inputs[name] = reader.one(name, _range_of(dimension, zero=zero), Range.exact(1.0))
    length = reader.one("line_length", _range_of(Dimension.LENGTH), Range.exact(1.0))
    given = {name for name in texts if reader.given(name)}
    figures = _named_parts(reader, inputs)
    curve = _curve(reader)
    rope = _rope(reader, length, curve)
    limits = {
        output: reader.one(option, _one_of(dimension), 1.0)
        for output, option, dimension in (
            ("peak_force", "limit_force", Dimension.FORCE),
            ("needed", "clearance", Dimension.LENGTH),
        )
        if reader.given(option)
    }
    _check_partners(reader, given)
    reader.done("the fall can't be worked out")
    inputs |= rope
    told = any(not value.is_exact for name, value in inputs.items() if name not in figures or name != "body_shift")
    task = FallTask(inputs, FallPoints(), curve, limits, draws)
    return FallRequest(task, length.likely, figures, told)


def _range_of(dimension: Dimension, *, zero: bool = False) -> Parse[Range]:
    def parse(text: str, name: str) -> Range:
        value = parse_range(text, dimension, name)
        if value.low < 0 or (value.low == 0 and not zero):
            raise InputError(name, text, "give 0 or more" if zero else "give more than 0")
        if value.high > _LIMITS[dimension]:
            raise InputError(name, text, f"give at most {_LIMITS[dimension]:g} {dimension.si_unit}")
        return value

    return parse


def _one_of(dimension: Dimension) -> Parse[float]:
    """Parser of one value, above 0: a limit is no range."""

    def parse(text: str, name: str) -> float:
        value = _range_of(dimension)(text, name)
        if not value.is_exact:
            raise InputError(name, text, "give one value: a limit is no range")
        return value.likely

    return parse


def _spring_dimension(text: str, name: str) -> Dimension:
    """Tell a modulus, which is a force, from a spring rate."""
    fault: QuantityError | None = None
    for dimension in (Dimension.FORCE, Dimension.STIFFNESS):
        try:
            parse_range(text, dimension, name)
        except QuantityError as error:
            fault = error
        else:
            return dimension
    advice = (
        "give the line's spring rate, such as '10 kN/m' or '700 lbf/ft', "
        "or its modulus (force per unit strain), such as '40 kN' or '9,000 lbf'"
    )
    raise QuantityError(name, text, advice) from fault


def _rope(reader: OptionReader, length: Range, curve: LoadCurve | None) -> dict[str, Range]:
    """Inputs of the rope; a spring rate is of one length."""
    rates, found = set(), {"length": length}
    for option, name, zero in (("stiffness", "modulus", False), ("fast_stiffness", "fast_modulus", True)):
        if not reader.given(option):
            continue

        def parse(text: str, at: str, zero: bool = zero) -> tuple[Range, bool]:
            dimension = _spring_dimension(text, at)
            return _range_of(dimension, zero=zero)(text, at), dimension is Dimension.FORCE

        value, is_modulus = reader.one(option, parse, (Range.exact(1.0), True))
        rates.add(not is_modulus)
        scale = 1.0 if is_modulus else length.likely
        found[name] = Range(value.low * scale, value.likely * scale, value.high * scale, shape=value.shape)
    if curve is not None:
        found["modulus"] = Range.exact(float(curve.slopes[0]))
    if True in rates and not length.is_exact:
        reader.refuse(
            "stiffness", "give the modulus (force per unit strain), such as '40 kN': a spring rate is of one length"
        )
    return found


def _curve(reader: OptionReader) -> LoadCurve | None:
    from ropewright.arrest.curve import LoadCurve

    def points(text: str, name: str) -> tuple[list[float], list[float]]:
        strain, force = [0.0], [0.0]
        for pair in re.split(r"[,;] *(?=\d*\.?\d+ *%)", text.strip()):
            match = re.fullmatch(r"(.+?%) *(.+)", pair.strip())
            if match is None:
                raise InputError(name, text, _CURVE_ADVICE)
            strain.append(parse_quantity(match[1], Dimension.RATIO, name))
            force.append(parse_quantity(match[2], Dimension.FORCE, name))
        return strain, force

    def curve(text: str, name: str) -> LoadCurve:
        strain, force = points(text, name)
        try:
            rigid = LoadCurve(tuple(strain), tuple(force), float("inf"))
            if not reader.given("recovery"):
                return LoadCurve(rigid.strain, rigid.force, float(rigid.slopes.max()))
        except ValueError as error:
            raise InputError(name, text, _CURVE_ADVICE) from error
        return reader.one("recovery", lambda t, n: _recovering(rigid, t, n), rigid)

    if reader.given("recovery"):
        reader.needs("recovery", "load_curve", "give the measured points that the recovery belongs to")
    return reader.one("load_curve", curve, None)


def _recovering(curve: LoadCurve, text: str, name: str) -> LoadCurve:
    share = parse_quantity(text, Dimension.RATIO, name)
    try:
        return curve.with_recovery(curve.strain, curve.force, share)
    except ValueError as error:
        raise InputError(name, text, str(error).partition(", got")[0]) from error


def _named_parts(reader: OptionReader, inputs: dict[str, Range]) -> dict[str, Figure]:
    """Fill inputs from the tables where a part was named and the option itself left out."""
    from ropewright.arrest.part_sets import Condition, PartKind, absorber_force, part_set, part_sets

    used: dict[str, Figure] = {}

    def take(name: str, figure: Figure, value: Range | None = None) -> None:
        if name not in inputs:
            inputs[name] = value or figure.value
            used[name] = figure

    absorber = reader.one("absorber", lambda t, n: part_set(PartKind.ABSORBER, t, n), None)
    if absorber is not None:
        condition = Condition(reader.one("condition", lambda t, _: t, Condition.UNKNOWN.value))
        take("absorber_force", absorber.figures["force"], absorber_force(absorber, condition))
        if "absorber_force" in used and condition is not Condition.DRY:
            used["absorber_condition"] = absorber.figures["conditioned"]
        take("absorber_length", absorber.figures["length"])
    grab = reader.one("grab", lambda t, n: part_set(PartKind.GRAB, t, n), None)
    if grab is not None:
        take("grab_lock", grab.figures["lock"])
        if "grab_slip_force" not in inputs:
            take("grab_slide", grab.figures["slide"])
    shift = reader.one("d_ring_shift", _range_of(Dimension.LENGTH, zero=True), None)
    if shift is not None:
        inputs["body_shift"] = shift
    take("body_shift", part_sets(PartKind.BODY)[""].figures["shift"])
    return used


def _check_partners(reader: OptionReader, given: set[str]) -> None:
    named = {"absorber_force", "absorber_length"} if "absorber" in given else set()
    for name, missing, expected in _PAIRS:
        if missing not in named:
            reader.needs(name, missing, expected)
    if "stiffness" in given and "load_curve" in given:
        reader.refuse("load_curve", "give either the stiffness or a load curve")
    if "stiffness" not in given and "load_curve" not in given:
        reader.refuse("stiffness", "give the line's stiffness, such as '40 kN', or a measured --load-curve")
    if "load_curve" in given and "fast_stiffness" in given:
        reader.refuse("fast_stiffness", "leave it out: the load curve is the whole rope")
