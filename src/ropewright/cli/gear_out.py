"""`ropewright gear fall`, `quarantine`, `release`, `retire`, `destroy`: gear out of service, and back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from ropewright.cli.gear_doing import act_of, act_options, do, tag_argument, tags_argument
from ropewright.cli.store_options import open_store

if TYPE_CHECKING:
    from ropewright.store.gear_piece import Piece

__all__ = ["destroy", "fall", "quarantine", "release", "retire"]


@click.command(epilog='Example: ropewright gear fall --person P-07 --by "A. Example"')
@click.argument("tags", nargs=-1, metavar="[TAG]...")
@click.option("--person", default="", metavar="PERSON", help="All that was issued to this person was in the chain.")
@click.option("--kit", default="", metavar="TAG", help="All parts of this kit were in the chain.")
@click.option("--note", default="", metavar="TEXT", help="What happened.")
@act_options
def fall(
    ctx: click.Context,
    /,
    *,
    tags: tuple[str, ...],
    person: str,
    kit: str,
    note: str,
    by: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Record a fall: all that was in the chain goes to quarantine at once.

    Name the pieces, the person who fell, or the kit. Bags are in no chain unless they are named.
    """
    from ropewright.store.gear_actions import record_fall

    act = act_of(by, on)
    fallen = do(
        ctx,
        lambda record: record_fall(record, act, tags=tags, person=person, kit=kit, note=note),
        as_json=as_json,
    )
    if not as_json:
        _ask_for_the_rest(ctx, fallen)


def _ask_for_the_rest(ctx: click.Context, fallen: Sequence[Piece]) -> None:
    """Say what else those who fell have, since a chain is easily told too short."""
    from ropewright.store.gear_out import held_by

    tags = {piece.tag for piece in fallen}
    holders = dict.fromkeys(piece.holder for piece in fallen if piece.holder)
    with open_store(ctx).read() as view:
        for holder in holders:
            rest = [one.tag for one in held_by(view, holder) if one.kind.in_chain and one.tag not in tags]
            if rest:
                click.echo(f"{holder} has {', '.join(rest)} as well: if it was in the chain, record it too.")


@click.command(epilog='Example: ropewright gear quarantine R-001 --reason "acid on it" --by "A. Example"')
@tags_argument
@click.option("--reason", required=True, metavar="TEXT", help="Why.")
@act_options
def quarantine(
    ctx: click.Context, /, *, tags: tuple[str, ...], reason: str, by: str | None, on: str | None, as_json: bool
) -> None:
    """Take pieces out of service till a competent person decides."""
    from ropewright.store.gear_actions import quarantine_gear

    act = act_of(by, on)
    do(ctx, lambda record: quarantine_gear(record, tags, reason, act), as_json=as_json)


@click.command(
    epilog='Example: ropewright gear release G-001 --finding "locks, no crack" --reason "not loaded" '
    '--competent "course of 2025" --by "B. Example"'
)
@tag_argument
@click.option("--finding", required=True, metavar="TEXT", help="What the competent person found.")
@click.option("--reason", required=True, metavar="TEXT", help="Why that is enough.")
@click.option(
    "--competent", default="", metavar="GROUNDS", help="What makes --by competent, where the crew's record doesn't say."
)
@click.option(
    "--signed", default="", metavar="NAME", help="The same name again, for textile gear that arrested a fall."
)
@act_options
def release(
    ctx: click.Context,
    /,
    *,
    tag: str,
    finding: str,
    reason: str,
    competent: str,
    signed: str,
    by: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Let a piece back out of quarantine; --by is the competent person.

    Textile gear that arrested a fall is retired: 29 CFR 1926.104(a) never lets it be used for people again.
    1926.502(d)(19) and 1910.140(c)(17) do once a competent person has found it undamaged; who takes that upon
    themselves signs with --signed.
    """
    from ropewright.store.gear_actions import release_gear

    act = act_of(by, on)
    do(
        ctx,
        lambda record: release_gear(
            record, tag, act, finding=finding, reason=reason, competent=competent, signed=signed
        ),
        as_json=as_json,
    )


@click.command(epilog='Example: ropewright gear retire R-001 --reason "arrested a fall" --by "A. Example"')
@tags_argument
@click.option("--reason", required=True, metavar="TEXT", help="Why.")
@act_options
def retire(
    ctx: click.Context, /, *, tags: tuple[str, ...], reason: str, by: str | None, on: str | None, as_json: bool
) -> None:
    """Take pieces out of service for good."""
    from ropewright.store.gear_actions import retire as put_away

    act = act_of(by, on)
    do(ctx, lambda record: put_away(record, tags, reason, act), as_json=as_json)


@click.command(epilog='Example: ropewright gear destroy R-001 --how "cut in lengths of 1 m" --by "A. Example"')
@tags_argument
@click.option("--how", required=True, metavar="TEXT", help="So that nobody takes it out of the bin and uses it.")
@act_options
def destroy(
    ctx: click.Context, /, *, tags: tuple[str, ...], how: str, by: str | None, on: str | None, as_json: bool
) -> None:
    """Record that pieces were destroyed, and how; nothing comes back from that."""
    from ropewright.store.gear_actions import destroy as end

    act = act_of(by, on)
    do(ctx, lambda record: end(record, tags, how, act), as_json=as_json)
