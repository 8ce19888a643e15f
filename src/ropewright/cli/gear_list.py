"""`ropewright gear list` and `due`: many pieces at once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.crew_text import as_json_text, head_json, head_line
from ropewright.cli.gear_doing import says_no
from ropewright.cli.options import WholeNumber, json_option, units_option
from ropewright.cli.store_options import open_store
from ropewright.cli.text_table import table_lines
from ropewright.quantity import UnitSystem

if TYPE_CHECKING:
    from ropewright.store.gear_piece import Piece

__all__ = ["due", "list_gear"]


@click.command(name="list", epilog="Example: ropewright gear list --kind rope --standing quarantined")
@click.option("--kind", metavar="KIND", help="Only this kind of gear.")
@click.option("--standing", metavar="STANDING", help="Only what is received, in service, issued, quarantined, ...")
@click.option(
    "--search", default="", metavar="WORDS", help="Only what has all these words in tag, fields, holder or job."
)
@click.option("--to-ask", is_flag=True, help="Only what somebody must still be asked about.")
@click.option("--limit", type=WholeNumber(1, 1_000_000), help="At most so many.")
@units_option
@json_option
@click.pass_context
@says_no
def list_gear(
    ctx: click.Context,
    /,
    *,
    kind: str | None,
    standing: str | None,
    search: str,
    to_ask: bool,
    limit: int | None,
    units: str,
    as_json: bool,
) -> None:
    """List gear by tag."""
    from ropewright.cli.gear_text import piece_json, pieces_lines
    from ropewright.errors import InputError
    from ropewright.store.gear_piece import Piece
    from ropewright.store.gear_words import FAMILY, STANDINGS, read_kind

    if standing is not None and standing not in STANDINGS:
        raise InputError("--standing", standing, f"give one of {', '.join(STANDINGS)}")
    wanted = None if kind is None else read_kind(kind, "--kind").name
    words = f"{search} {'to-ask' if to_ask else ''} {wanted or ''}"
    most = limit if wanted is None else None  # a word may stand elsewhere than in the kind, so that is looked at below
    with open_store(ctx, create=False).read() as view:
        found = [Piece(state) for state in view.states(FAMILY, standing=standing, search=words, limit=most)]
        head = view.head()
    pieces = [piece for piece in found if wanted is None or piece.kind.name == wanted][:limit]
    if as_json:
        click.echo(as_json_text({"gear": [piece_json(piece) for piece in pieces], "head": head_json(head)}))
    else:
        click.echo("\n".join(pieces_lines(pieces, UnitSystem(units))) if pieces else "nothing found")
        click.echo(head_line(head))


@click.command(epilog="Example: ropewright gear due --within 30d")
@click.option("--within", default="30d", show_default=True, metavar="TIME", help="From today on: 30d, 6 weeks, 1 year.")
@click.option(
    "--limit",
    type=WholeNumber(1, 1_000_000),
    default=1000,
    show_default=True,
    help="At most so many pieces, those due first; what is left out is said.",
)
@json_option
@click.pass_context
@says_no
def due(ctx: click.Context, /, *, within: str, limit: int, as_json: bool) -> None:
    """List what must be done soon, overdue first: inspect, retire, decide on what is quarantined.

    Gear is looked over before each use besides; no list replaces that.
    """
    from ropewright.store.day import today
    from ropewright.store.gear_days import after, read_span
    from ropewright.store.gear_piece import Piece
    from ropewright.store.gear_words import FAMILY

    now = today()
    last = after(now, read_span(within, "--within"))
    with open_store(ctx, create=False).read() as view:
        states = view.states(FAMILY, due_by=last.isoformat(), limit=limit + 1)
        head = view.head()
    pieces, more = [Piece(state) for state in states[:limit]], len(states) > limit
    rows = sorted(_rows(pieces, now, last), key=lambda row: (row["day"], row["tag"]))
    if as_json:
        span = {"today": now.isoformat(), "until": last.isoformat()}
        click.echo(as_json_text({**span, "due": rows, "more": more, "head": head_json(head)}))
        return
    click.echo("\n".join(_lines(rows)) if rows else f"nothing is due up to {last}")
    if more:
        click.echo(f"MORE is due than these {limit} pieces: raise --limit, or shorten --within.")
    click.echo(head_line(head))


def _rows(pieces: Sequence[Piece], now: date, last: date) -> Iterator[dict[str, Any]]:
    """What is due within the time; of several rhythms of inspection only the first to come."""
    for piece in pieces:
        seen: set[str] = set()
        for row in piece.due:
            if row["day"] <= last.isoformat() and row["what"] not in seen:
                seen.add(row["what"])
                late = (now - date.fromisoformat(row["day"])).days
                held = {"tag": piece.tag, "kind": piece.kind.name, "standing": piece.standing, "holder": piece.holder}
                yield {**held, **row, "days_late": max(late, 0)}


def _lines(rows: Sequence[dict[str, Any]]) -> Iterator[str]:
    cells = [
        (
            row["day"],
            f"{row['days_late']} d" if row["days_late"] else "",
            row["tag"],
            row["kind"],
            row["what"],
            row["why"],
        )
        for row in rows
    ]
    yield from table_lines(("day", "late", "tag", "kind", "do", "why"), cells)
