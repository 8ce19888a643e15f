"""`ropewright fall`: what one fall does."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from ropewright.cli.errors import shows_input_errors
from ropewright.cli.options import WholeNumber, json_option, quantity_option, units_option
from ropewright.errors import InputError
from ropewright.quantity import UnitSystem

__all__ = ["fall"]


def _list_parts(ctx: click.Context, _: click.Parameter, value: bool) -> None:
    if value:
        from ropewright.cli.fall_parts import parts_text

        click.echo(parts_text())
        ctx.exit()


_Command = Callable[..., Any]


def _rope_options(command: _Command) -> _Command:
    options = (
        quantity_option("--stiffness", 'Line: "10 kN/m", or as a force its modulus EA, force per unit strain.'),
        quantity_option("--fast-stiffness", "What a fast pull adds to it and then relaxes; same forms."),
        quantity_option("--relaxation-time", "Time in which that relaxes."),
        quantity_option("--load-curve", 'Measured instead: "4 % 0.6 kN, 12 % 3 kN, 25 % 11 kN".', metavar="POINTS"),
        quantity_option("--recovery", "Share of its energy that the load curve gives back.", metavar="SHARE"),
    )
    return _decorated(command, options)


def _part_options(command: _Command) -> _Command:
    options = (
        quantity_option("--absorber", 'Energy absorber by its standard: "EN 355"; see --list-parts.', metavar="NAME"),
        click.option(
            "--condition",
            type=click.Choice(["dry", "conditioned", "unknown"]),
            default="unknown",
            show_default=True,
            help="Of a named absorber; conditioned: hot, cold or wet.",
        ),
        quantity_option("--absorber-force", "Force at which the energy absorber opens."),
        quantity_option("--absorber-length", "How far it can open."),
        quantity_option("--grab", 'Rope grab by its standard: "EN 353-2"; see --list-parts.', metavar="NAME"),
        quantity_option("--grab-lock", "Travel of the rope grab until it locks."),
        quantity_option("--grab-slip-force", "Force at which the locked grab slides."),
        quantity_option("--grab-slip-length", "How far it can slide."),
        quantity_option("--lanyard-stiffness", "Lanyard and harness together, as a spring; rigid if left out."),
        quantity_option("--anchor-stiffness", "Anchor, as a spring; rigid if left out."),
        quantity_option("--d-ring-shift", "Harness stretch and rise of the D-ring; 0.25 m to 0.45 m if left out."),
    )
    return _decorated(command, options)


def _decorated(command: _Command, options: tuple[Callable[[_Command], _Command], ...]) -> _Command:
    for option in reversed(options):
        command = option(command)
    return command


@click.command(
    epilog='Example: ropewright fall --mass "90 kg to 100 kg to 110 kg" --line-length "4 m" --free-fall "2 m" '
    '--stiffness "26 kN to 35 kN to 41 kN" --absorber "EN 355" --limit-force "6 kN" --draws 1000'
)
@quantity_option("--mass", "Person with clothing and tools.", required=True)
@quantity_option("--line-length", "Rope that stretches, from anchor to person.", required=True)
@quantity_option("--free-fall", "Fall before the slack is out.", required=True)
@_rope_options
@_part_options
@quantity_option("--limit-force", "Greatest force that holds.")
@quantity_option("--clearance", "Height free below the feet where the fall starts.")
@click.option("--draws", type=WholeNumber(16, 1_000_000), metavar="N", help="Draw the inputs N times.")
@click.option(
    "--plot",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Draw height, speed, force and absorber against time: svg, pdf or png.",
)
@click.option(
    "--list-parts", is_flag=True, is_eager=True, expose_value=False, callback=_list_parts, help="List named parts."
)
@units_option
@json_option
@shows_input_errors
def fall(*, units: str, as_json: bool, draws: int | None, plot: Path | None, **texts: str | None) -> None:
    """Say what one fall does: force, distances, time.

    The person falls free, then the parts in series stop the fall. A rope with both stiffnesses is a standard linear
    solid; with the first alone, a plain spring. Every QUANTITY of the fall may be a range, "26 kN to 41 kN", or with
    what is likely, "26 kN to 35 kN to 41 kN". Draws take ranges as triangles, unless "26 kN to 41 kN, uniform" or
    "..., normal" says otherwise.

    Exit status: 0 worked out, and every limit given holds; 1 a limit fails or is doubtful; 2 the input can't be used.
    """
    from ropewright.arrest.answer import answer_fall
    from ropewright.arrest.catch import CatchError
    from ropewright.cli.fall_reading import read_fall
    from ropewright.cli.fall_text import document, text
    from ropewright.findings import Verdict

    request = read_fall(texts, draws=draws or 0)
    if plot is not None:
        _check_plot(plot)
    try:
        answer = answer_fall(request.task)
    except CatchError as error:
        raise InputError("fall", str(error), "check the absorber, the grab and the stiffness") from error
    system = UnitSystem(units)
    drawn = None
    if request.task.draws:
        from ropewright.arrest.answer import draw_fall

        drawn = draw_fall(request.task)
    if plot is not None:
        from ropewright.sheets.fall_plot import draw_plot

        draw_plot(answer, plot, system)
    if as_json:
        import json

        click.echo(json.dumps(document(answer, request, drawn, system), indent=2))
    else:
        click.echo("\n".join(text(answer, request, drawn, system)))
        if plot is not None:
            click.echo(f"\nDrawn in {plot}")
    if any(limit.verdict is not Verdict.HOLDS for limit in answer.limits):
        sys.exit(1)


def _check_plot(plot: Path) -> None:
    """Refuse a file that can't be written before anything is worked out."""
    if plot.suffix.lower() not in (".svg", ".pdf", ".png"):
        raise InputError("--plot", str(plot), "give a file that ends in .svg, .pdf or .png")
    if not plot.parent.is_dir():
        raise InputError("--plot", str(plot), "give a file in a folder that exists")
