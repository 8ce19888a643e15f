"""What the commands that do something with gear share: who and when, doing it, and saying what was written."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from functools import wraps
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

import click

from ropewright.cli.crew_text import as_json_text, head_json
from ropewright.cli.options import json_option
from ropewright.cli.store_options import by_option, open_store, who
from ropewright.errors import InputError, InputErrors

if TYPE_CHECKING:
    from ropewright.store.entry import Entry
    from ropewright.store.gear_piece import Act, Piece
    from ropewright.store.ledger import Ledger

__all__ = ["act_of", "act_options", "do", "says_no", "tag_argument", "tags_argument"]

_P = ParamSpec("_P")
_R = TypeVar("_R")

tag_argument = click.argument("tag")
tags_argument = click.argument("tags", nargs=-1, required=True, metavar="TAG...")


def act_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add --on, --by and --json, and the context, to a command that does something with gear."""
    day = click.option("--on", metavar="DAY", help="Day on which it happened; today if left out.")
    return day(by_option(json_option(click.pass_context(says_no(command)))))


def says_no(command: Callable[_P, _R]) -> Callable[_P, _R]:
    """Wrap a command: what gear doesn't allow as it stands is exit status 1, what can't be used as input is 2."""

    @wraps(command)
    def wrapped(*args: _P.args, **kwargs: _P.kwargs) -> _R:
        try:
            return command(*args, **kwargs)
        except (InputError, InputErrors) as error:
            from ropewright.store.gear_steps import NotAllowedError

            faults = list(_single(error))
            for fault in faults:
                click.echo(f"{'refused' if isinstance(fault, NotAllowedError) else 'error'}: {fault}", err=True)
            sys.exit(1 if all(isinstance(fault, NotAllowedError) for fault in faults) else 2)

    return wrapped


def _single(error: BaseException) -> Iterator[InputError]:
    if isinstance(error, BaseExceptionGroup):
        for one in error.exceptions:
            yield from _single(one)
    elif isinstance(error, InputError):
        yield error


def act_of(by: str | None, on: str | None) -> Act:
    """Who does it, and on which day.

    Raises
    ------
    InputError
        If nobody is named, or the day is none or yet to come.
    """
    from ropewright.store.day import read_past_day, today
    from ropewright.store.gear_piece import Act

    now = today()
    return Act(who(by), now if on is None else read_past_day(on, "--on", now), now)


def do(ctx: click.Context, action: Callable[[Ledger], list[Entry]], *, as_json: bool) -> list[Piece]:
    """Do something with the record, and say what was written and how the pieces stand now.

    Parameters
    ----------
    ctx : click.Context
    action : callable
        Takes the record, returns the entries written.
    as_json : bool

    Returns
    -------
    list of Piece
        As they stand now, in the order of the entries.
    """
    from ropewright.store.gear_piece import Piece

    record = open_store(ctx)
    entries = action(record)
    with record.read() as view:
        head = view.head()
        states = [view.state(subject) for subject in dict.fromkeys(entry.subject for entry in entries)]
    pieces = [Piece(state) for state in states if state is not None]
    if as_json:
        click.echo(as_json_text({**_document(entries, pieces), "head": head_json(head)}))
    else:
        click.echo("\n".join(_lines(entries, pieces)))
    return pieces


def _document(entries: Sequence[Entry], pieces: Sequence[Piece]) -> dict[str, Any]:
    wrote = [
        {"number": one.number, "kind": one.kind, "subject": one.subject, "by": one.by, "hash": one.hash}
        for one in entries
    ]
    gear = [
        {"tag": one.tag, "kind": one.kind.name, "standing": one.standing, "due": one.state.due, "holder": one.holder}
        for one in pieces
    ]
    return {"tag": pieces[0].tag, "standing": pieces[0].standing, "written": wrote, "gear": gear} if pieces else {}


def _lines(entries: Sequence[Entry], pieces: Sequence[Piece]) -> Iterator[str]:
    from ropewright.cli.gear_text import plain_lines
    from ropewright.store.gear_words import tag_of

    for entry in entries:
        kind = entry.kind.partition(".")[2]
        yield from plain_lines(
            f"entry {entry.number}: {tag_of(entry.subject)} {kind}, by {entry.by} ({entry.hash[:12]})"
        )
    for piece in pieces:
        due = f"; due {piece.state.due}" if piece.state.due else ""
        held = f", with {piece.holder}" if piece.holder else ""
        yield from plain_lines(f"{piece.tag} ({piece.kind.name}): {piece.standing}{held}{due}")
