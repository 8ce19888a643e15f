"""`ropewright gear kit`: a bag with its line, grab and lanyard as one thing to take."""

from __future__ import annotations

import sys

import click

from ropewright.cli.crew_text import as_json_text, head_json
from ropewright.cli.gear_doing import act_of, act_options, do, says_no
from ropewright.cli.options import json_option
from ropewright.cli.store_options import open_store
from ropewright.errors import InputError

__all__ = ["kit"]

_kit_argument = click.argument("kit_tag", metavar="KIT")
_parts_argument = click.argument("parts", nargs=-1, required=True, metavar="PART...")


@click.group(epilog='Example: ropewright gear kit put K-001 B-001 R-001 G-001 --by "A. Example"')
def kit() -> None:
    """Keep a bag with its line, grab and lanyard as one thing to take."""


@kit.command(epilog='Example: ropewright gear kit add K-001 --note "north crew" --by "A. Example"')
@click.argument("kit_tag", metavar="[KIT]", required=False)
@click.option("--note", default="", metavar="TEXT", help="What it is for.")
@act_options
def add(
    ctx: click.Context, /, *, kit_tag: str | None, note: str, by: str | None, on: str | None, as_json: bool
) -> None:
    """Take a kit into the record, still without parts; the next free code if none is given."""
    from ropewright.store.gear_actions import receive
    from ropewright.store.gear_fields import read_told
    from ropewright.store.gear_words import gear_kinds

    act, kind = act_of(by, on), gear_kinds()["kit"]
    told = read_told(kind, {"note": note}, {"note": "--note"})
    do(ctx, lambda record: receive(record, kind, kit_tag, told, act), as_json=as_json)


@kit.command(epilog='Example: ropewright gear kit put K-001 B-001 R-001 G-001 --by "A. Example"')
@_kit_argument
@_parts_argument
@act_options
def put(
    ctx: click.Context,
    /,
    *,
    kit_tag: str,
    parts: tuple[str, ...],
    by: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Put parts into a kit."""
    from ropewright.store.gear_actions import put_in_kit

    act = act_of(by, on)
    do(ctx, lambda record: put_in_kit(record, kit_tag, parts, act), as_json=as_json)


@kit.command(epilog='Example: ropewright gear kit take K-001 R-001 --by "A. Example"')
@_kit_argument
@_parts_argument
@act_options
def take(
    ctx: click.Context,
    /,
    *,
    kit_tag: str,
    parts: tuple[str, ...],
    by: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Take parts out of a kit."""
    from ropewright.store.gear_actions import take_out_of_kit

    act = act_of(by, on)
    do(ctx, lambda record: take_out_of_kit(record, kit_tag, parts, act), as_json=as_json)


@kit.command(epilog="Example: ropewright gear kit ready K-001")
@_kit_argument
@json_option
@click.pass_context
@says_no
def ready(ctx: click.Context, /, *, kit_tag: str, as_json: bool) -> None:
    """Say whether a kit is ready: all its parts are fit. Exit status 1 where it is not."""
    from ropewright.cli.gear_text import fitness_json, plain_lines, reason_lines
    from ropewright.findings import Verdict
    from ropewright.store.day import today
    from ropewright.store.gear_fitness import kit_fitness
    from ropewright.store.gear_piece import known_piece

    with open_store(ctx, create=False).read() as view:
        whole = known_piece(view, kit_tag, "KIT")
        if whole.kind.name != "kit":
            raise InputError("KIT", kit_tag, f"it is a {whole.kind.name}, not a kit")
        parts = [known_piece(view, tag).state for tag in whole.body["parts"]]
        head = view.head()
    found = kit_fitness(whole.state, parts, today())
    if as_json:
        document = {"tag": whole.tag, "parts": whole.body["parts"], **fitness_json(found), "head": head_json(head)}
        click.echo(as_json_text(document))
    else:
        is_ready = "ready" if found.verdict is Verdict.HOLDS else f"not ready: {found.verdict.value}"
        first = plain_lines(f"{whole.tag} {is_ready}; holds {', '.join(whole.body['parts']) or 'nothing'}")
        click.echo("\n".join([*first, *reason_lines(found)]))
    sys.exit(0 if found.verdict is Verdict.HOLDS else 1)
