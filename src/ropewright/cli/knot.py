"""`ropewright knot`: how a knot is tied, what rope it takes, what strength it leaves."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.drawing_options import drawing_options, write_drawing
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.options import OptionReader, json_option, positive, quantity_option, units_option
from ropewright.errors import InputError
from ropewright.quantity import Dimension, UnitSystem

if TYPE_CHECKING:
    from ropewright.rope.knots import Knot
    from ropewright.rope.termination import Termination

__all__ = ["knot"]


@click.command(epilog='Example: ropewright knot "figure-eight on a bight" --diameter "11 mm" --svg knot.svg')
@click.argument("name")
@quantity_option("--diameter", "Of the rope; of a sliding hitch, of its cord.", required=True)
@quantity_option("--loop", "Rope round the loop, from knot to knot; as drawn if left out.")
@drawing_options("a drawing of the steps")
@units_option
@json_option
@shows_input_errors
def knot(name: str, *, units: str, as_json: bool, svg: Path | None, pdf: Path | None, **texts: Any) -> None:
    """Show how a knot is tied, what rope it takes and what strength it leaves.

    NAME is one of: figure-eight on a bight, figure-eight follow-through, double overhand stopper, barrel loop,
    butterfly loop, double fisherman's bend, bowline, sliding hitch, one-and-one hitch; or an end that is no knot: eye
    splice, sewn eye, rated assembly. What the rules say comes first. No strength is safe in itself: it is what tests
    and rules leave of a rope, with its source.

    Exit status: 0 worked out; 2 the input can't be used.
    """
    from ropewright.cli import knot_text
    from ropewright.rope.knots import tie
    from ropewright.rope.made_ends import find_made_end, made_end

    reader, shown = OptionReader(texts), UnitSystem(units)
    made = find_made_end(name, "NAME")
    asked = None if made else reader.read(name, "NAME", _find, None)
    diameter = reader.one("diameter", positive(Dimension.LENGTH), 1.0)
    loop = reader.one("loop", positive(Dimension.LENGTH), None)
    if not reader.faults and diameter > 0.2:
        reader.refuse("diameter", "give at most 0.2 m", value=texts["diameter"])
    if loop is not None and (made or (asked is not None and not asked.has_loop)):
        named = made.name if made else name
        reader.refuse("loop", f"leave it out: {named!r} has no loop that is drawn", value=texts["loop"])
    _drawn_at_all(reader, made, svg, pdf)
    reader.done("the knot can't be worked out")
    if made:
        end = made_end(made, diameter)
        write_drawing(partial(_scheme, made), f"Scheme of a {made.name}", shown, svg=svg, pdf=pdf)
        click.echo(json.dumps(knot_text.made_document(end), indent=2) if as_json else knot_text.made_text(end, shown))
        return
    assert asked is not None, "faults were raised above"
    tied = tie(asked, diameter, loop)

    def draw() -> str:
        from ropewright.sheets.knot_drawing import knot_svg

        return knot_svg(tied, shown)

    write_drawing(draw, f"How to tie: {tied.knot.name}", shown, svg=svg, pdf=pdf)
    click.echo(json.dumps(knot_text.document(tied), indent=2) if as_json else knot_text.text(tied, shown))


def _find(text: str, field: str) -> Knot:
    """Knot of a name; the fault also names the ends that are no knots."""
    from ropewright.rope.knots import find_knot
    from ropewright.rope.made_ends import made_end_names

    try:
        return find_knot(text, field)
    except InputError as fault:
        others = ", ".join(map(repr, made_end_names()))
        raise InputError(field, text, f"{fault.expected}; or, of ends that are no knots: {others}") from fault


def _scheme(made: Termination) -> str:
    from ropewright.sheets.end_drawing import end_svg

    return end_svg(made.kind)


def _drawn_at_all(reader: OptionReader, made: Termination | None, svg: Path | None, pdf: Path | None) -> None:
    """Refuse a drawing of an end that there is none of."""
    if made is not None and (svg or pdf) and not _scheme(made):
        reader.refuse("svg" if svg else "pdf", f"leave it out: no drawing of a {made.name!r} is held", value=svg or pdf)
