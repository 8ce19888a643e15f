"""`ropewright gear start`, `issue` and `return`: gear goes out and comes back."""

from __future__ import annotations

import click

from ropewright.cli.gear_doing import act_of, act_options, do, tags_argument

__all__ = ["issue", "return_gear", "start"]


@click.command(epilog='Example: ropewright gear start R-001 --by "A. Example"')
@tags_argument
@act_options
def start(ctx: click.Context, /, *, tags: tuple[str, ...], by: str | None, on: str | None, as_json: bool) -> None:
    """Put pieces into use; their first use counts from that day."""
    from ropewright.store.gear_actions import start_use

    act = act_of(by, on)
    do(ctx, lambda record: start_use(record, tags, act), as_json=as_json)


@click.command(epilog='Example: ropewright gear issue K-001 --to P-07 --job "Mill Lane 4" --by "A. Example"')
@tags_argument
@click.option("--to", required=True, metavar="PERSON", help="Who gets it: a name or a code of the crew.")
@click.option("--job", required=True, metavar="JOB", help="For which job.")
@click.option("--override-by", metavar="NAME", help="Who lets late gear out all the same.")
@click.option("--override-reason", default="", metavar="TEXT", help="Why; it goes into the record.")
@act_options
def issue(
    ctx: click.Context,
    /,
    *,
    tags: tuple[str, ...],
    to: str,
    job: str,
    override_by: str | None,
    override_reason: str,
    by: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Hand gear to a person for a job; a kit takes its parts along.

    Late gear goes out only with a named person's override, which is an entry of its own. Nothing lets out what is
    quarantined, retired or no more. Exit status 1 where a piece stands in the way; nothing is written then.
    """
    from ropewright.store.gear_actions import give_out
    from ropewright.store.gear_use import Override

    act = act_of(by, on)
    override = Override(override_by or "", override_reason) if override_by or override_reason else None
    out = do(ctx, lambda record: give_out(record, tags, to, job, act, override=override), as_json=as_json)
    if not as_json and any(piece.kind.in_chain for piece in out):
        click.echo("Its user looks each piece over before each use: 'ropewright gear check TAG'.")


@click.command(name="return", epilog='Example: ropewright gear return K-001 --uses 3 --sun "14 h" --by "A. Example"')
@tags_argument
@click.option("--uses", metavar="COUNT", help="Days it was used; all days it was out if left out.")
@click.option("--sun", metavar="HOURS", help="In the sun; outdoors all the time it was out if left out.")
@click.option("--fault", default="", metavar="TEXT", help="What is wrong with it: it goes to quarantine.")
@click.option("--note", default="", metavar="TEXT", help="Anything else.")
@act_options
def return_gear(
    ctx: click.Context,
    /,
    *,
    tags: tuple[str, ...],
    uses: str | None,
    sun: str | None,
    fault: str,
    note: str,
    by: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Take gear back, with the use it had; a kit brings its parts along."""
    from ropewright.store.gear_actions import return_gear as take_back
    from ropewright.store.gear_fields import gear_fields, read_field
    from ropewright.store.gear_use import Use

    act = act_of(by, on)
    use = Use(
        None if uses is None else read_field(gear_fields()["uses"], uses, "--uses"),
        None if sun is None else read_field(gear_fields()["sun_s"], sun, "--sun"),
    )
    do(ctx, lambda record: take_back(record, tags, use, act, fault=fault, note=note), as_json=as_json)
