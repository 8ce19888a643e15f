"""`ropewright crew add`, `change`, `role`, `leave` and `return`: who is on the crew and as what."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import click

from ropewright.cli.crew_text import as_json_text, head_json, person_json, written_lines
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.options import json_option
from ropewright.cli.store_options import by_option, open_store, who
from ropewright.store.crew_words import ROLES

__all__ = ["add", "change", "leave", "return_person", "role", "tell_written"]

code_argument = click.argument("code")


def tell_written(ctx: click.Context, code: str, act: Callable[[Any], Any], *, as_json: bool) -> None:
    """Do something with the record and print what was written.

    Parameters
    ----------
    ctx : click.Context
    code : str
        Of the person.
    act : callable
        Takes the record, returns the entries written.
    as_json : bool
    """
    from ropewright.store.crew_words import crew_subject

    record = open_store(ctx)
    entries = act(record)
    with record.read() as view:
        state, head = view.state(crew_subject(code)), view.head()
    assert state is not None
    if as_json:
        wrote = [{"number": entry.number, "kind": entry.kind, "hash": entry.hash} for entry in entries]
        click.echo(as_json_text({"written": wrote, "person": person_json(state), "head": head_json(head)}))
    else:
        click.echo("\n".join(written_lines(entries, state)))


def named(key: str) -> str:
    """How an option is called in errors."""
    return {"mass_with_tools": "--with-tools", "harness_size": "--harness"}.get(key, "--" + key.replace("_", "-"))


def read_person(code: str) -> str:
    """Code of a person from the command line."""
    from ropewright.store.gear_words import read_tag

    return read_tag(code, "CODE")


def _particulars_options(command: Callable[..., Any]) -> Callable[..., Any]:
    for option in (
        click.option("--harness", "harness_size", metavar="SIZE", help="Size of harness, as the maker marks it."),
        click.option("--with-tools", "mass_with_tools", metavar="MASS", help="With clothing and all that is carried."),
        click.option("--mass", metavar="MASS", help="Of the body, such as '82 kg' or '180 lb'."),
        click.option("--name", help="Or another mark that tells the person apart; keep personal data few."),
    ):
        command = option(command)
    return command


@click.command(epilog='Example: ropewright crew add P-07 --name "A. Example" --with-tools "95 kg" --by "B. Example"')
@code_argument
@_particulars_options
@click.option("--role", multiple=True, type=click.Choice(list(ROLES)), help="What the person may be; several times.")
@by_option
@json_option
@click.pass_context
@shows_input_errors
def add(
    ctx: click.Context, /, *, code: str, role: tuple[str, ...], by: str | None, as_json: bool, **texts: Any
) -> None:
    """Take a person into the record, under a code of your own."""
    from ropewright.store.crew_actions import add_person
    from ropewright.store.crew_reading import read_particulars

    code, told, by = read_person(code), read_particulars(texts, named), who(by)
    tell_written(ctx, code, lambda record: add_person(record, code, told, roles=role, by=by), as_json=as_json)


@click.command(epilog='Example: ropewright crew change P-07 --with-tools "98 kg" --by "B. Example"')
@code_argument
@_particulars_options
@by_option
@json_option
@click.pass_context
@shows_input_errors
def change(ctx: click.Context, /, *, code: str, by: str | None, as_json: bool, **texts: Any) -> None:
    """Bring mass, harness size or name up to date; what was told before stays in the ledger."""
    from ropewright.store.crew_actions import change_person
    from ropewright.store.crew_reading import read_particulars

    code, told, by = read_person(code), read_particulars(texts, named), who(by)
    tell_written(ctx, code, lambda record: change_person(record, code, told, by=by), as_json=as_json)


@click.command(epilog='Example: ropewright crew role P-07 competent --grounds "may stop the work" --by "B. Example"')
@code_argument
@click.argument("role", type=click.Choice(list(ROLES)))
@click.option("--grounds", default="", help="Degree, standing, experience; or who gave the authority.")
@click.option("--end", is_flag=True, help="The person holds the role no more.")
@by_option
@json_option
@click.pass_context
@shows_input_errors
def role(
    ctx: click.Context, /, *, code: str, role: str, grounds: str, end: bool, by: str | None, as_json: bool
) -> None:
    """Say on what grounds a person holds a role, or that they hold it no more."""
    from ropewright.store.crew_actions import grant_role
    from ropewright.store.crew_words import read_line

    code, grounds, by = read_person(code), read_line(grounds, "--grounds"), who(by)
    tell_written(
        ctx,
        code,
        lambda record: grant_role(record, code, role, grounds=grounds, held=not end, by=by),
        as_json=as_json,
    )


def _past(text: str | None) -> date:
    from ropewright.store.day import read_past_day, today

    return today() if text is None else read_past_day(text, "--on", today())


@click.command(epilog='Example: ropewright crew leave P-07 --by "B. Example"')
@code_argument
@click.option("--on", metavar="DAY", help="Last day; today if left out.")
@by_option
@json_option
@click.pass_context
@shows_input_errors
def leave(ctx: click.Context, /, *, code: str, on: str | None, by: str | None, as_json: bool) -> None:
    """Record that a person left; what is known of them stays."""
    from ropewright.store.crew_actions import leave as left

    code, day, by = read_person(code), _past(on), who(by)
    tell_written(ctx, code, lambda record: left(record, code, day, by=by), as_json=as_json)


@click.command(name="return", epilog='Example: ropewright crew return P-07 --judged-by "B. Example" --by "B. Example"')
@code_argument
@click.option("--on", metavar="DAY", help="First day; today if left out.")
@click.option("--judged-by", default="", metavar="NAME", help="Who stands for it that the training is still adequate.")
@by_option
@json_option
@click.pass_context
@shows_input_errors
def return_person(
    ctx: click.Context, /, *, code: str, on: str | None, judged_by: str, by: str | None, as_json: bool
) -> None:
    """Record that a person came back; unless somebody judges their training adequate, they train anew."""
    from ropewright.store.crew_actions import come_back
    from ropewright.store.crew_words import read_line

    code, day, judge, by = read_person(code), _past(on), read_line(judged_by, "--judged-by"), who(by)
    tell_written(ctx, code, lambda record: come_back(record, code, day, judged_by=judge, by=by), as_json=as_json)
