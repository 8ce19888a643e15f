"""`ropewright fall`: what one fall does."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.errors import shows_input_errors
from ropewright.cli.main import CAUTION
from ropewright.errors import InputError, InputErrors, QuantityError
from ropewright.quantity import Dimension, UnitSystem, parse_quantity, show

if TYPE_CHECKING:
    from ropewright.arrest import Chain, OneFall

__all__ = ["fall"]

#: Widest values that are read; beyond them something was mistyped, or the answer would mean nothing.
_LIMITS = {
    Dimension.MASS: 10_000.0,
    Dimension.LENGTH: 1_000.0,
    Dimension.FORCE: 1e9,
    Dimension.STIFFNESS: 1e12,
    Dimension.TIME: 1e9,
}

#: Strain in a catch beyond which a stiffness is doubted: the dynamic elongation that EN 892 allows (read in
#: rope-training pages).
_DOUBTED_STRAIN = 0.40

#: Columns that running text is kept to.
_WIDTH = 100

#: Part of the stopping distance -> quantity of the catch.
_GIVES = (
    ("stretch of the rope", "rope_stretch"),
    ("opening of the absorber", "absorber_opening"),
    ("slide of the grab", "grab_slip"),
    ("give of lanyard and anchor", "spring_stretch"),
)

_Command = Callable[..., Any]


def _text(name: str, help_text: str, *, required: bool = False) -> Callable[[_Command], _Command]:
    return click.option(name, required=required, metavar="QUANTITY", help=help_text)


@click.command(
    epilog='Example: ropewright fall --mass "100 kg" --line-length "4 m" --free-fall "2 m" --stiffness "40 kN"'
)
@_text("--mass", "Person with clothing and tools.", required=True)
@_text("--line-length", "Rope that stretches, from anchor to person.", required=True)
@_text("--free-fall", "Fall before the slack is out.", required=True)
@_text("--stiffness", 'Line: "10 kN/m", or as a force its modulus EA, force per unit strain.', required=True)
@_text("--fast-stiffness", "What a fast pull adds to it and then relaxes; same forms.")
@_text("--relaxation-time", "Time in which that relaxes.")
@_text("--absorber-force", "Force at which the energy absorber opens.")
@_text("--absorber-length", "How far it can open.")
@_text("--grab-lock", "Travel of the rope grab until it locks.")
@_text("--grab-slip-force", "Force at which the locked grab slides.")
@_text("--grab-slip-length", "How far it can slide.")
@_text("--lanyard-stiffness", "Lanyard and harness together, as a spring; rigid if left out.")
@_text("--anchor-stiffness", "Anchor, as a spring; rigid if left out.")
@click.option("--units", type=click.Choice(["us", "metric"]), default="metric", show_default=True, help="Units shown.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document, in SI units.")
@shows_input_errors
def fall(*, units: str, as_json: bool, **texts: str | None) -> None:
    """Say what one fall does: force, distances, time.

    The person falls free, then the parts in series stop the fall. A rope with both stiffnesses is a standard linear
    solid; with the first alone, a plain spring.
    """
    from ropewright.arrest import CatchError, one_fall

    chain, length = _read(texts)
    try:
        answer = one_fall(chain)
    except CatchError as error:
        raise InputError("fall", str(error), "check the absorber, the grab and the stiffness") from error
    system = UnitSystem(units)
    if as_json:
        import json

        click.echo(json.dumps(_document(answer, length, _warnings(answer, length, system)), indent=2))
        return
    click.echo("\n".join(_lines(answer, length, system)))


def _read(texts: dict[str, str | None]) -> tuple[Chain, float]:
    """Chain and line length from the options; raises all faults at once."""
    from ropewright.arrest import Chain

    faults: list[InputError] = []

    def read(name: str, parse: Callable[[str, str], float], *, zero: bool = False) -> float | None:
        text = texts[name]
        if text is None:
            return None
        field = "--" + name.replace("_", "-")
        try:
            return _in_range(parse(text, field), text, field, zero=zero)
        except InputError as fault:
            faults.append(fault)
            return None

    length = read("line_length", _of(Dimension.LENGTH))
    values = {
        "mass": read("mass", _of(Dimension.MASS)),
        "free_fall": read("free_fall", _of(Dimension.LENGTH), zero=True),
        "stiffness": read("stiffness", _spring(length)),
        "fast_stiffness": read("fast_stiffness", _spring(length), zero=True),
        "relaxation_time": read("relaxation_time", _of(Dimension.TIME), zero=True),
        "grab_lock": read("grab_lock", _of(Dimension.LENGTH), zero=True),
        "grab_slip_force": read("grab_slip_force", _of(Dimension.FORCE)),
        "grab_slip_length": read("grab_slip_length", _of(Dimension.LENGTH), zero=True),
        "absorber_force": read("absorber_force", _of(Dimension.FORCE)),
        "absorber_length": read("absorber_length", _of(Dimension.LENGTH), zero=True),
        "lanyard_stiffness": read("lanyard_stiffness", _of(Dimension.STIFFNESS)),
        "anchor_stiffness": read("anchor_stiffness", _of(Dimension.STIFFNESS)),
    }
    faults += _unpaired(texts)
    if faults:
        raise InputErrors("the fall can't be worked out", faults)
    assert length is not None
    return Chain(**{name: value for name, value in values.items() if value is not None}), length


def _of(dimension: Dimension) -> Callable[[str, str], float]:
    def parse(text: str, field: str) -> float:
        value = parse_quantity(text, dimension, field)
        if abs(value) > _LIMITS[dimension]:
            raise InputError(field, text, f"give at most {_LIMITS[dimension]:g} {dimension.si_unit}")
        return value

    return parse


def _spring(length: float | None) -> Callable[[str, str], float]:
    """Parser of a spring rate, or of a modulus that is divided by the line's length."""

    def parse(text: str, field: str) -> float:
        try:
            return _of(Dimension.FORCE)(text, field) / (length or 1.0)
        except QuantityError:
            pass
        try:
            return _of(Dimension.STIFFNESS)(text, field)
        except QuantityError as error:
            advice = (
                "give the line's spring rate, such as '10 kN/m' or '700 lbf/ft', "
                "or its modulus (force per unit strain), such as '40 kN' or '9,000 lbf'"
            )
            raise QuantityError(field, text, advice) from error

    return parse


def _in_range(value: float, text: str, field: str, *, zero: bool) -> float:
    if value < 0 or (value == 0 and not zero):
        raise InputError(field, text, "give 0 or more" if zero else "give more than 0")
    return value


def _unpaired(texts: dict[str, str | None]) -> list[InputError]:
    """Options that say nothing without their partner."""
    pairs = (
        ("absorber_force", "absorber_length", "give how far the absorber can open, such as '1.07 m'"),
        ("absorber_length", "absorber_force", "give the force at which the absorber opens, such as '4 kN'"),
        ("fast_stiffness", "relaxation_time", "give the time in which the fast stiffness relaxes, such as '0.2 s'"),
        ("relaxation_time", "fast_stiffness", "give the stiffness that relaxes in that time, such as '5 kN/m'"),
        ("grab_slip_force", "grab_slip_length", "give how far the grab can slide, such as '0.3 m'"),
        ("grab_slip_length", "grab_slip_force", "give the force at which the grab slides, such as '4 kN'"),
    )
    return [
        InputError("--" + missing.replace("_", "-"), None, expected)
        for given, missing, expected in pairs
        if texts[given] is not None and texts[missing] is None
    ]


def _warnings(answer: OneFall, length: float, units: UnitSystem) -> list[str]:
    """Return what the reader must know beside the numbers."""
    p, found = answer.chain.parts, []
    weight = show(answer.weight, Dimension.FORCE, units)
    if p.has_absorber[0] and p.absorber_force[0] <= answer.weight:
        found.append(
            f"NOT ARRESTED by the absorber: it opens at no more than the weight of {weight}, so it runs to its end and "
            "the rope alone stops the fall."
        )
    elif answer.caught.bottomed_out[0]:
        found.append(
            "The absorber opens all the way; beyond that the lanyard counts as rigid and the rope stops the rest."
        )
    if p.has_slip[0] and p.grab_slip_force[0] <= answer.weight:
        found.append(f"NOT HELD by the grab: it slides at no more than the weight of {weight}, so it runs to its end.")
    if answer.greatest_extension > 1.002 * answer.number("stop_distance"):
        deepest = show(answer.greatest_extension, Dimension.LENGTH, units, toward="high")
        found.append(f"The rope lets the person sink further after the first rest, to {deepest} below first tension.")
    if answer.number("rope_stretch") > _DOUBTED_STRAIN * length:
        found.append(
            f"The rope stretches by {answer.number('rope_stretch') / length:.0%} of its length, more than the 40 % "
            "that EN 892 allows a dynamic rope: check its stiffness."
        )
    if p.fast_stiffness[0] == 0 and not p.has_absorber[0]:
        found.append(
            "A rope without damping: measured peaks were up to 30 % higher as mass and fall factor rose "
            "(Weber, ITRS 2002, abstract read)."
        )
    return found


def _document(answer: OneFall, length: float, warnings: list[str]) -> dict[str, Any]:
    """Answer as JSON: SI numbers, units in the keys."""
    number, average = answer.number, answer.number("average_force")
    parts = answer.chain.parts
    return {
        "peak_force_n": number("peak_force"),
        "average_force_n": None if math.isnan(average) else average,  # it was never above 500 lbf
        "stop_distance_m": number("stop_distance"),
        "stop_time_s": number("stop_time"),
        "absorber_m": number("absorber_opening"),
        "grab_slip_m": number("grab_slip"),
        "rope_stretch_m": number("rope_stretch"),
        "spring_stretch_m": number("spring_stretch"),
        "hang_extension_m": number("hang_extension"),
        "greatest_extension_m": answer.greatest_extension,
        "free_fall_m": answer.free_fall,
        "total_fall_m": answer.total_fall,
        "energy_error": number("energy_error"),
        "arrested": answer.arrested,
        "absorber_spent": bool(answer.caught.bottomed_out[0]),
        "book": {
            "total_fall_m": float(answer.book.total),
            "arrest_force_n": answer.book_force,
            "datum": answer.book.datum.value,
            "terms": [{"name": t.name, "value_m": float(t.value), "source": t.source} for t in answer.book.terms],
        },
        "inputs": {
            "mass_kg": float(parts.mass[0]),
            "line_length_m": length,
            "stiffness_n_per_m": float(parts.stiffness[0]),
            "fast_stiffness_n_per_m": float(parts.fast_stiffness[0]),
        },
        "warnings": warnings,
        "caution": CAUTION,
    }


def _lines(answer: OneFall, length: float, units: UnitSystem) -> list[str]:
    """Answer as lines of text; distances and forces are rounded up."""

    def metres(value: float) -> str:
        return show(value, Dimension.LENGTH, units, toward="high")

    number, book = answer.number, float(answer.book.total)
    mass = show(float(answer.chain.parts.mass[0]), Dimension.MASS, units)
    force = show(number("peak_force"), Dimension.FORCE, units, toward="high")
    warnings = _warnings(answer, length, units)
    rows = [
        ("Peak force on the D-ring", f"{force}, {number('peak_force') / answer.weight:.1f} times the weight"),
        ("Stops within", f"{metres(number('stop_distance'))} of first tension"),
        *((f"  of it, {what}", metres(number(name))) for what, name in _GIVES if number(name) > 1e-6),
        ("Time to stop", f"{show(number('stop_time'), Dimension.TIME, units)} from first tension"),
        ("Hangs, once still", f"{metres(number('hang_extension'))} below first tension"),
        ("Whole fall, simulated", f"{metres(answer.total_fall)} from release to the lowest point"),
        ("Whole fall, by the book", f"{metres(book)}, of which:"),
        *((f"  {term.name}", metres(float(term.value))) for term in answer.book.terms),
    ]
    wide = max(len(name) for name, _ in rows) + 3
    return [
        f"{mass} falls {metres(answer.free_fall)} before {metres(length)} of line stops it.",
        *(click.wrap_text(f"! {warning}", width=_WIDTH, subsequent_indent="  ") for warning in warnings),
        "",
        *(f"{name:<{wide}}{value}" for name, value in rows),
        "",
        f"Plan with the worse, {metres(max(answer.total_fall, book))}; harness stretch, swing and a margin come on top",
        "for the clearance below the surface stood on.",
        f"Energy is accounted for to {number('energy_error'):.2%}.",
        "",
        click.wrap_text(CAUTION, width=_WIDTH),
    ]
