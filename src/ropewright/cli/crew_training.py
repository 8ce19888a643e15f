"""`ropewright crew train`, `sign-off`, `trigger` and `withdraw`: what people learned and showed."""

from __future__ import annotations

from typing import Any

import click

from ropewright.cli.crew_people import code_argument, named, read_person, tell_written
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.options import WholeNumber, json_option
from ropewright.cli.store_options import by_option, who

__all__ = ["sign_off", "train", "trigger", "withdraw"]

#: Largest number of an entry that is looked at.
_MOST = 10**12

_topic = click.option("--topic", multiple=True, help="What it was on, or all; several times. See 'crew words'.")
_system = click.option("--system", multiple=True, help="What it was with, or all; several times. See 'crew words'.")


@click.command(
    epilog='Example: ropewright crew train P-07 --on 2026-03-02 --topic all --system harness --trainer "C. Example" '
    '--trainer-is competent --signed-by "C. Example" --signed-as trainer --by "B. Example"'
)
@code_argument
@click.option("--on", required=True, metavar="DAY", help="Last day of it, such as 2026-03-02.")
@_topic
@_system
@click.option("--trainer", required=True, help="Who gave it.")
@click.option("--trainer-is", multiple=True, help="competent (construction) or qualified (general industry), or both.")
@click.option("--signed-by", metavar="NAME", help="Whose signature the written certificate carries.")
@click.option("--signed-as", metavar="trainer|employer", help="As what they signed it.")
@click.option("--paper", help="Number of the certificate, or where it is kept.")
@click.option("--employer", help="The other employer who gave it.")
@click.option("--judged-on", metavar="DAY", help="Day on which this employer judged such training adequate.")
@click.option("--judged-by", metavar="NAME", help="Who judged it.")
@click.option(
    "--expires", metavar="DAY", help="Last day on which it counts, if somebody sets one: no US rule read does."
)
@click.option("--expires-by", metavar="WHO", help="Which rule, or whose decision, ends it.")
@click.option(
    "--answers", multiple=True, type=WholeNumber(1, _MOST), metavar="N", help="Entry whose need to train anew it meets."
)
@by_option
@json_option
@click.pass_context
@shows_input_errors
def train(
    ctx: click.Context, /, *, code: str, answers: tuple[int, ...], by: str | None, as_json: bool, **texts: Any
) -> None:
    """Record a training, with what a written certificate must hold."""
    from ropewright.store.crew_actions import train as trained
    from ropewright.store.crew_reading import read_training
    from ropewright.store.day import today

    code, by = read_person(code), who(by)
    told = read_training(texts, named, today=today(), answers=answers)
    tell_written(ctx, code, lambda record: trained(record, code, told, by=by), as_json=as_json)


@click.command(
    epilog='Example: ropewright crew sign-off P-07 --skill set-grab --assessor "C. Example" --by "B. Example"'
)
@code_argument
@click.option("--skill", required=True, help="Which; see 'crew words'.")
@click.option("--result", default="can", show_default=True, metavar="can|not yet", help="What was seen.")
@click.option("--assessor", required=True, metavar="NAME", help="Who saw it.")
@click.option("--on", metavar="DAY", help="Day; today if left out.")
@click.option("--note", help="One line.")
@by_option
@json_option
@click.pass_context
@shows_input_errors
def sign_off(ctx: click.Context, /, *, code: str, by: str | None, as_json: bool, **texts: Any) -> None:
    """Record that somebody saw a person do something, or that they can't yet; the last look counts."""
    from ropewright.store.crew_actions import sign_off as signed
    from ropewright.store.crew_reading import read_sign_off
    from ropewright.store.day import today

    code, by = read_person(code), who(by)
    told = read_sign_off(texts, named, today=today())
    tell_written(ctx, code, lambda record: signed(record, code, told, by=by), as_json=as_json)


@click.command(epilog='Example: ropewright crew trigger P-07 systems --note "new grabs" --by "B. Example"')
@code_argument
@click.argument("trigger")
@click.option("--on", metavar="DAY", help="Day; today if left out.")
@click.option("--note", help="One line: what changed or was seen.")
@_topic
@_system
@by_option
@json_option
@click.pass_context
@shows_input_errors
def trigger(ctx: click.Context, /, *, code: str, by: str | None, as_json: bool, **texts: Any) -> None:
    """Record why a person must be trained anew: workplace, systems, understanding.

    It stays open until a training answers it: crew train ... --answers N.
    """
    from ropewright.store.crew_actions import need_training
    from ropewright.store.crew_reading import read_need
    from ropewright.store.day import today

    code, by = read_person(code), who(by)
    told = read_need(texts, lambda key: "TRIGGER" if key == "trigger" else named(key), today=today())
    tell_written(ctx, code, lambda record: need_training(record, code, told, by=by), as_json=as_json)


@click.command(epilog='Example: ropewright crew withdraw P-07 --entry 12 --why "wrong person" --by "B. Example"')
@code_argument
@click.option("--entry", required=True, type=WholeNumber(1, _MOST), metavar="N", help="Number of the wrong entry.")
@click.option("--why", required=True, help="What was wrong with it.")
@by_option
@json_option
@click.pass_context
@shows_input_errors
def withdraw(ctx: click.Context, /, *, code: str, entry: int, why: str, by: str | None, as_json: bool) -> None:
    """Say that an entry on a training, a skill or a need was wrong; it stays in the ledger and counts no more."""
    from ropewright.store.crew_actions import withdraw as withdrawn
    from ropewright.store.crew_words import read_line

    code, by, reason = read_person(code), who(by), read_line(why, "--why", needed="say what was wrong with it")
    tell_written(ctx, code, lambda record: withdrawn(record, code, entry, why=reason, by=by), as_json=as_json)
