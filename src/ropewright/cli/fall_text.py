"""What `ropewright fall` says: as text for people and as a document for programs."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.fall_doubt_text import doubt_document, doubt_lines, finite
from ropewright.cli.main import CAUTION
from ropewright.quantity import Dimension, UnitSystem, show

if TYPE_CHECKING:
    from ropewright.arrest import OneFall
    from ropewright.arrest.answer import FallAnswer
    from ropewright.arrest.doubt import Doubt, PinDown
    from ropewright.cli.fall_reading import FallRequest

__all__ = ["document", "text"]

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


def _warnings(answer: FallAnswer, length: float, units: UnitSystem) -> list[str]:
    """Return what the reader must know beside the numbers."""
    one = answer.one
    found = _not_held(one, units)
    if one.greatest_extension > 1.002 * one.number("stop_distance"):
        deepest = show(one.greatest_extension, Dimension.LENGTH, units, toward="high")
        found.append(f"The rope lets the person sink further after the first rest, to {deepest} below first tension.")
    if one.number("rope_stretch") > _DOUBTED_STRAIN * length:
        found.append(
            f"The rope stretches by {one.number('rope_stretch') / length:.0%} of its length, more than the 40 % "
            "that EN 892 allows a dynamic rope: check its stiffness."
        )
    curve = answer.task.curve
    if curve is not None and one.number("rope_stretch") > curve.strain[-1] * length:
        found.append("The rope stretches beyond the last point of its load curve; its last piece is carried on.")
    if curve is None and one.chain.parts.fast_stiffness[0] == 0 and not one.chain.parts.has_absorber[0]:
        found.append(
            "A rope without damping: measured peaks were up to 30 % higher as mass and fall factor rose "
            "(Weber, ITRS 2002, abstract read)."
        )
    return found


def _not_held(one: OneFall, units: UnitSystem) -> list[str]:
    p, found = one.chain.parts, []
    weight = show(one.weight, Dimension.FORCE, units)
    if p.has_absorber[0] and p.absorber_force[0] <= one.weight:
        found.append(
            f"NOT ARRESTED by the absorber: it opens at no more than the weight of {weight}, so it runs to its end and "
            "the rope alone stops the fall."
        )
    elif one.caught.bottomed_out[0]:
        found.append(
            "The absorber opens all the way; beyond that the lanyard counts as rigid and the rope stops the rest."
        )
    if p.has_slip[0] and p.grab_slip_force[0] <= one.weight:
        found.append(f"NOT HELD by the grab: it slides at no more than the weight of {weight}, so it runs to its end.")
    return found


def document(
    answer: FallAnswer, request: FallRequest, drawn: tuple[Doubt, PinDown] | None, units: UnitSystem
) -> dict[str, Any]:
    """Answer as JSON: SI numbers, units in the keys; likely inputs, but for what stands under `spread` and `draws`."""
    one = answer.one
    number, parts = one.number, one.chain.parts
    return {
        "peak_force_n": number("peak_force"),
        "average_force_n": finite(number("average_force")),  # None: it was never above 500 lbf
        "stop_distance_m": number("stop_distance"),
        "stop_time_s": number("stop_time"),
        "absorber_m": number("absorber_opening"),
        "grab_slip_m": number("grab_slip"),
        "rope_stretch_m": number("rope_stretch"),
        "spring_stretch_m": number("spring_stretch"),
        "hang_extension_m": number("hang_extension"),
        "greatest_extension_m": one.greatest_extension,
        "free_fall_m": one.free_fall,
        "total_fall_m": one.total_fall,
        "energy_error": number("energy_error"),
        "arrested": one.arrested,
        "absorber_spent": bool(one.caught.bottomed_out[0]),
        "book": {
            "total_fall_m": float(one.book.total),
            "arrest_force_n": one.book_force,
            "datum": one.book.datum.value,
            "terms": [{"name": t.name, "value_m": float(t.value), "source": t.source} for t in one.book.terms],
        },
        **doubt_document(answer, request, drawn),
        "inputs": {
            "mass_kg": float(parts.mass[0]),
            "line_length_m": request.length,
            "stiffness_n_per_m": float(parts.stiffness[0]),
            "fast_stiffness_n_per_m": float(parts.fast_stiffness[0]),
        },
        "warnings": _warnings(answer, request.length, units),
        "caution": CAUTION,
    }


def text(answer: FallAnswer, request: FallRequest, drawn: tuple[Doubt, PinDown] | None, units: UnitSystem) -> list[str]:
    """Answer as lines of text; distances and forces are rounded up."""

    def metres(value: float) -> str:
        return show(value, Dimension.LENGTH, units, toward="high")

    one = answer.one
    book = float(one.book.total)
    mass = show(float(one.chain.parts.mass[0]), Dimension.MASS, units)
    rows = _rows(one, units)
    wide = max(len(name) for name, _ in rows) + 3
    likely = ", at likely inputs" if request.has_ranges else ""
    return [
        f"{mass} falls {metres(one.free_fall)} before {metres(request.length)} of line stops it{likely}.",
        *(
            click.wrap_text(f"! {warning}", width=_WIDTH, subsequent_indent="  ")
            for warning in _warnings(answer, request.length, units)
        ),
        "",
        *(f"{name:<{wide}}{value}" for name, value in rows),
        "",
        f"Plan with the worse, {metres(max(one.total_fall, book))}; harness stretch, swing and a margin come on top",
        "for the clearance below the surface stood on.",
        *doubt_lines(answer, request, drawn, units),
        f"Energy is accounted for to within {max(math.ceil(one.number('energy_error') * 1e4), 1) / 100:g} %.",
        "",
        click.wrap_text(CAUTION, width=_WIDTH),
    ]


def _rows(one: OneFall, units: UnitSystem) -> list[tuple[str, str]]:
    def metres(value: float) -> str:
        return show(value, Dimension.LENGTH, units, toward="high")

    number = one.number
    force = show(number("peak_force"), Dimension.FORCE, units, toward="high")
    average = number("average_force")
    rows = [
        ("Peak force on the D-ring", f"{force}, {number('peak_force') / one.weight:.1f} times the weight"),
        ("Stops within", f"{metres(number('stop_distance'))} of first tension"),
        *((f"  of it, {what}", metres(number(name))) for what, name in _GIVES if number(name) > 1e-6),
        ("Time to stop", f"{show(number('stop_time'), Dimension.TIME, units)} from first tension"),
        ("Hangs, once still", f"{metres(number('hang_extension'))} below first tension"),
        ("Whole fall, simulated", f"{metres(one.total_fall)} from release to the lowest point"),
        ("Whole fall, by the book", f"{metres(float(one.book.total))}, of which:"),
        *((f"  {term.name}", metres(float(term.value))) for term in one.book.terms),
    ]
    if not math.isnan(average):
        window = show(500 * 4.4482216152605, Dimension.FORCE, units)
        shown = show(average, Dimension.FORCE, units, toward="high")
        rows.insert(1, ("Average force", f"{shown}, over the time above {window}"))
    return rows
