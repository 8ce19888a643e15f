"""`ropewright gear show`: one piece of gear, with all that counts of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.crew_text import as_json_text, head_json, head_line
from ropewright.cli.gear_doing import says_no, tag_argument
from ropewright.cli.main import CAUTION
from ropewright.cli.options import json_option, units_option
from ropewright.cli.store_options import open_store
from ropewright.quantity import UnitSystem

if TYPE_CHECKING:
    from ropewright.rope.strength import StrengthChain
    from ropewright.store.entry import Entry
    from ropewright.store.gear_fitness import Fitness
    from ropewright.store.gear_piece import Piece

__all__ = ["show"]


@click.command(epilog="Example: ropewright gear show R-001")
@tag_argument
@click.option(
    "--rules",
    default="us-construction",
    envvar="ROPEWRIGHT_RULES",
    show_default=True,
    metavar="PACK",
    help="Rules pack that says what a knot leaves.",
)
@click.option("--edge/--no-edge", default=None, help="Whether a rope bears on a bare edge; either if left out.")
@units_option
@json_option
@click.pass_context
@says_no
def show(ctx: click.Context, /, *, tag: str, rules: str, edge: bool | None, units: str, as_json: bool) -> None:
    """Show one piece: standing and why, what was told, strength as it is, what is due, history."""
    from ropewright.cli.gear_text import fitness_json, piece_json, strength_json
    from ropewright.store.day import today
    from ropewright.store.gear_fitness import fitness, kit_fitness
    from ropewright.store.gear_history import history
    from ropewright.store.gear_piece import known_piece

    now = today()
    with open_store(ctx, create=False).read() as view:
        piece = known_piece(view, tag, "TAG")
        parts = [known_piece(view, part).state for part in piece.body["parts"]]
        entries, head = history(view, piece.tag), view.head()
    is_kit = piece.kind.name == "kit"
    found = kit_fitness(piece.state, parts, now) if is_kit else fitness(piece.state, now)
    chain = _strength(piece, now, rules, edge)
    if as_json:
        document = {
            **piece_json(piece),
            "fitness": fitness_json(found),
            "strength": strength_json(chain),
            "history": [_entry_json(entry) for entry in entries],
            "head": head_json(head),
            "caution": CAUTION,
        }
        click.echo(as_json_text(document))
    else:
        click.echo("\n".join(_lines(piece, found, chain, entries, now, UnitSystem(units))))
        click.echo(head_line(head))


def _strength(piece: Piece, now: date, rules: str, edge: bool | None) -> StrengthChain | None:
    from ropewright.rules import load_pack
    from ropewright.store.gear_strength import rope_today
    from ropewright.store.gear_words import ENDED

    if piece.kind.name != "rope" or piece.standing in ENDED:
        return None  # what is out for good has no strength to count on
    share = load_pack(rules).allowance("knot_retention")
    left = None if share is None else float(share.value.low)
    return rope_today(piece, now, edge=edge, rule_knot_retention=left)


def _entry_json(entry: Entry) -> dict[str, Any]:
    return {
        "number": entry.number,
        "at": entry.at,
        "kind": entry.kind,
        "subject": entry.subject,
        "by": entry.by,
        "body": entry.body,
        "hash": entry.hash,
    }


def _lines(
    piece: Piece,
    found: Fitness,
    chain: StrengthChain | None,
    entries: Sequence[Entry],
    now: date,
    units: UnitSystem,
) -> Iterator[str]:
    from ropewright.cli.gear_text import (
        due_rows_lines,
        history_lines,
        plain_lines,
        reason_lines,
        strength_lines,
        told_lines,
    )

    held = f", with {piece.holder} for {piece.body['job']}" if piece.holder else ""
    in_kit = f", in kit {piece.body['kit']}" if piece.body["kit"] else ""
    yield from plain_lines(f"{piece.tag}  {piece.kind.name}: {piece.standing}{held}{in_kit}")
    yield from plain_lines(f"{found.verdict.value.upper()}: {_meaning(found)}")
    yield from reason_lines(found)
    yield from told_lines(piece, units)
    yield from due_rows_lines(piece, now.isoformat())
    if chain is not None:
        yield ""
        yield from strength_lines(chain, units)
    yield ""
    yield f"  {'day':<10} {'entry':>6}  what happened"
    yield from history_lines(entries, piece.tag, units)
    yield ""
    yield from plain_lines(CAUTION)


def _meaning(found: Fitness) -> str:
    return {
        "holds": "nothing in the record speaks against it; its user looks it over before each use.",
        "ask": "it may be used once somebody has settled this:",
        "fails": "it may not be used:",
    }.get(found.verdict.value, "see the reasons:")
