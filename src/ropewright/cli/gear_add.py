"""`ropewright gear add`: a piece of gear into the record; its options are the fields of its kind."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.gear_doing import act_of, act_options, do
from ropewright.errors import InputError

if TYPE_CHECKING:
    from ropewright.store.gear_words import GearKind

__all__ = ["add", "in_force", "rules_options"]

_EXAMPLES = {
    "rope": '--fibre polyester --construction "sheathed core" --length "60 m" --strength "30 kN" --wear new',
    "harness": '--size M --made 2026-05 --life "10 years" --wear new',
    "lanyard": '--length "1.8 m" --strength "22 kN" --wear new',
    "absorber": '--user-mass "140 kg" --made 2026-05 --wear new',
    "grab": '--rope-least "10.5 mm" --rope-most "11 mm" --life "no limit" --wear new',
    "connector": '--strength "25 kN" --gate-strength "16 kN" --wear new',
    "anchor": '--place "ridge, north end" --strength "22.5 kN" --wear new',
    "bag": '--size "30 L"',
    "kit": '--note "north crew"',
}


class _Kinds(click.Group):
    """A command for each kind of gear, made from the tables of the record when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        from ropewright.store.gear_words import gear_kinds

        return list(gear_kinds())

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        from ropewright.store.gear_words import gear_kinds

        kind = gear_kinds().get(cmd_name)
        return None if kind is None else _command(kind)


@click.group(
    cls=_Kinds,
    epilog='Example: ropewright gear add rope --tag R-001 --fibre polyester --length "60 m" --by "A. Example"',
)
def add() -> None:
    """Take a piece of gear into the record; what nobody tells counts as worse and is asked for."""


def rules_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add --rules and --fact, which say whose intervals of inspection are in force."""
    rules = click.option(
        "--rules",
        default="us-construction",
        envvar="ROPEWRIGHT_RULES",
        show_default=True,
        metavar="PACK",
        help="Rules pack whose intervals are in force; ROPEWRIGHT_RULES says it too.",
    )
    fact = click.option("--fact", "facts", multiple=True, metavar="FACT=VALUE", help="Of the case, as rules take it.")
    return rules(fact(command))


def in_force(rules: str, facts: tuple[str, ...]) -> Callable[[str], dict[str, Any]]:
    """Return what gives the intervals of inspection of a kind of gear under a rules pack.

    Raises
    ------
    RulesError
        If there is no such pack or fact.
    """
    from ropewright.rules import load_pack, read_fact
    from ropewright.rules.intervals import intervals_in_force

    pack = load_pack(rules)
    told = {}
    for pair in facts:
        name, equals, value = (part.strip() for part in pair.partition("="))
        if not equals or name in told:
            raise InputError("--fact", pair, "write it once as fact=value, such as rope_access=yes")
        told[name] = read_fact(name, value)
    return lambda kind: intervals_in_force(pack, kind, told)


def _command(kind: GearKind) -> click.Command:
    from ropewright.store.gear_fields import fields_of

    named = {field.key: field.option for field in fields_of(kind)}

    def take_in(
        ctx: click.Context,
        /,
        *,
        tag: str | None,
        rules: str,
        facts: tuple[str, ...],
        by: str | None,
        on: str | None,
        as_json: bool,
        **texts: str | None,
    ) -> None:
        from ropewright.store.gear_actions import receive
        from ropewright.store.gear_fields import read_told

        act = act_of(by, on)
        told = read_told(kind, {key: text for key, text in texts.items() if text is not None}, named)
        intervals = in_force(rules, facts)(kind.name) if kind.in_chain else None
        do(ctx, lambda record: receive(record, kind, tag, told, act, intervals=intervals), as_json=as_json)

    command = act_options(take_in)
    command = rules_options(command) if kind.in_chain else _without_rules(command)
    for field in reversed(fields_of(kind)):
        command = click.option(field.option, field.key, metavar=field.type.upper(), help=field.help)(command)
    command = click.option("--tag", metavar="TAG", help="Code on its tag; the next free one if left out.")(command)
    example = f'Example: ropewright gear add {kind.name} {_EXAMPLES[kind.name]} --by "A. Example"'
    return click.command(
        name=kind.name,
        help=f"Take {kind.noun} into the record.",
        short_help=f"{kind.noun.capitalize()}.",
        epilog=example,
    )(command)


def _without_rules(command: Callable[..., Any]) -> Callable[..., Any]:
    """Leave rules out of what no rule has looked over."""

    def plain(*args: Any, **kwargs: Any) -> Any:
        return command(*args, rules="", facts=(), **kwargs)

    plain.__click_params__ = command.__click_params__  # type: ignore[attr-defined]
    return plain
