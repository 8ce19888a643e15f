"""`ropewright gear wash`, `cut`, `re-end`, `correct` and `intervals`: work on gear and on what is known of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.gear_add import in_force, rules_options
from ropewright.cli.gear_doing import act_of, act_options, do, tag_argument, tags_argument
from ropewright.cli.options import quantity_option, zero_or_more
from ropewright.cli.store_options import open_store
from ropewright.errors import InputError
from ropewright.quantity import Dimension

if TYPE_CHECKING:
    from ropewright.store.gear_rope import CutPiece

__all__ = ["correct", "cut", "intervals", "re_end", "wash"]

_LENGTH = zero_or_more(Dimension.LENGTH)


@click.command(epilog='Example: ropewright gear wash R-001 R-002 --note "cold water" --by "A. Example"')
@tags_argument
@click.option("--note", default="", metavar="TEXT", help="With what, how dried.")
@act_options
def wash(
    ctx: click.Context, /, *, tags: tuple[str, ...], note: str, by: str | None, on: str | None, as_json: bool
) -> None:
    """Record that pieces were washed."""
    from ropewright.store import gear_actions

    act = act_of(by, on)
    do(ctx, lambda record: gear_actions.wash(record, tags, act, note=note), as_json=as_json)


@click.command(
    epilog='Example: ropewright gear cut R-001 --piece "R-002=30 m" --piece "R-003=29.8 m" --loss "0.2 m" '
    '--by "A. Example"'
)
@tag_argument
@click.option(
    "--piece", "pieces", multiple=True, metavar="[TAG=]LENGTH", help="Piece with its new tag; one may be 'rest'."
)
@quantity_option("--at", "In two at this length, each with the next free tag.", metavar="LENGTH")
@quantity_option("--keep", "Length that keeps the rope's own tag; without it that tag ends.", metavar="LENGTH")
@quantity_option("--loss", "Most that is lost between the rope and its pieces; nothing if left out.", metavar="LENGTH")
@act_options
def cut(
    ctx: click.Context,
    /,
    *,
    tag: str,
    pieces: tuple[str, ...],
    at: str | None,
    keep: str | None,
    loss: str | None,
    by: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Cut a rope in two or more; each piece has a tag of its own and the history of the whole.

    The lengths must add up within the loss. The ends count as unknown till 'gear re-end' says how they are made.
    """
    from ropewright.store import gear_actions

    act = act_of(by, on)
    if bool(pieces) == (at is not None):
        raise InputError("--piece", None, "say which pieces, or --at which length")
    told = [_piece(text) for text in (pieces or (str(at), "rest"))]
    kept = None if keep is None else _LENGTH(keep, "--keep")
    lost = 0.0 if loss is None else _LENGTH(loss, "--loss")
    do(ctx, lambda record: gear_actions.cut(record, tag, told, act, kept=kept, loss=lost), as_json=as_json)


def _piece(text: str) -> CutPiece:
    from ropewright.store.gear_rope import CutPiece

    tag, equals, length = (part.strip() for part in text.rpartition("="))
    return CutPiece(tag if equals else None, None if length.lower() == "rest" else _LENGTH(length, "--piece"))


@click.command(
    name="re-end",
    epilog='Example: ropewright gear re-end R-002 --end "eye splice" --taken "0.6 m" --by "A. Example"',
)
@tag_argument
@click.option(
    "--end", "termination", required=True, metavar="END", help="How it is made: a knot, sewn eye, eye splice, ..."
)
@click.option("--which", type=click.Choice(["1", "2"]), default="1", show_default=True, help="1 the working end.")
@quantity_option("--taken", "Length cut off for it; nothing if left out.", metavar="LENGTH")
@click.option("--note", default="", metavar="TEXT", help="Who made it, from what.")
@act_options
def re_end(
    ctx: click.Context,
    /,
    *,
    tag: str,
    termination: str,
    which: str,
    taken: str | None,
    note: str,
    by: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Record a new end on a rope; what was cut off for it goes off its length."""
    from ropewright.rope.names import canonical_termination
    from ropewright.store import gear_actions

    act = act_of(by, on)
    end = canonical_termination(termination, "--end")
    off = 0.0 if taken is None else _LENGTH(taken, "--taken")
    do(
        ctx,
        lambda record: gear_actions.re_end(record, tag, int(which), end, act, taken=off, note=note),
        as_json=as_json,
    )


@click.command(
    epilog='Example: ropewright gear correct R-001 --set made=2024-05 --reason "label read again" --by "A. Example"'
)
@tag_argument
@click.option(
    "--set",
    "changes",
    multiple=True,
    required=True,
    metavar="FIELD=VALUE",
    help="Nothing behind = takes back what was told.",
)
@click.option("--reason", required=True, metavar="TEXT", help="What was wrong, how it was seen.")
@act_options
def correct(
    ctx: click.Context,
    /,
    *,
    tag: str,
    changes: tuple[str, ...],
    reason: str,
    by: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Correct what was told of a piece, by a new entry; what was written stays.

    Fields are those of 'gear show --json' under "told", such as length_m or made; values take units.
    """
    from ropewright.store import gear_actions

    act = act_of(by, on)
    told = _changes(ctx, tag, changes)
    do(ctx, lambda record: gear_actions.correct(record, tag, told, reason, act), as_json=as_json)


def _changes(ctx: click.Context, tag: str, texts: tuple[str, ...]) -> dict[str, Any]:
    from ropewright.store.gear_fields import read_told
    from ropewright.store.gear_piece import known_piece

    pairs: dict[str, str] = {}
    for text in texts:
        key, equals, value = (part.strip() for part in text.partition("="))
        if not equals or not key:
            raise InputError("--set", text, "write it as FIELD=VALUE, such as made=2024-05")
        if key.replace("-", "_") in pairs:
            raise InputError("--set", text, f"{key} is told twice; give it once")
        pairs[key.replace("-", "_")] = value
    with open_store(ctx).read() as view:
        kind = known_piece(view, tag, "TAG").kind
    told = read_told(kind, pairs, {key: f"--set {key}" for key in pairs})
    return {key: told.get(key) for key in pairs}


@click.command(epilog='Example: ropewright gear intervals --all --rules eu-uk --by "A. Example"')
@click.argument("tags", nargs=-1, metavar="[TAG]...")
@click.option("--all", "take_all", is_flag=True, help="All that can hold a person and is not out for good.")
@rules_options
@act_options
def intervals(
    ctx: click.Context,
    /,
    *,
    tags: tuple[str, ...],
    take_all: bool,
    rules: str,
    facts: tuple[str, ...],
    by: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Put the intervals of inspection of a rules pack in force, for pieces or for all; an entry for each."""
    from ropewright.store import gear_actions
    from ropewright.store.gear_words import gear_kinds

    if bool(tags) == take_all:
        raise InputError("TAG", " ".join(tags) or None, "name pieces, or say --all")
    act, asked = act_of(by, on), in_force(rules, facts)
    found = {kind.name: asked(kind.name) for kind in gear_kinds().values() if kind.in_chain}
    do(ctx, lambda record: gear_actions.set_intervals(record, tags, found, act), as_json=as_json)
