"""A group of commands that imports a command's module only when that command is called."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Any

import click

__all__ = ["LazyGroup", "Table"]

#: Command -> module, name of the command in it, and its line in the list.
Table = Mapping[str, tuple[str, str, str]]


class LazyGroup(click.Group):
    """A group that knows its commands by name, so that ``--help`` imports none of them.

    Parameters
    ----------
    table : mapping
        As `Table`; commands are listed in its order.
    """

    def __init__(self, *args: Any, table: Table, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._table = table

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """Names of the commands."""
        return list(self._table)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Return a command of the table."""
        if cmd_name not in self._table:
            return None
        module, name, _ = self._table[cmd_name]
        command: click.Command = getattr(import_module(module), name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Write the list from the table's own lines."""
        if not self._table:  # click writes no empty list
            return
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, _, line) in self._table.items()])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Offer the nearest command for an unknown one."""
        if args and args[0] not in self._table and not args[0].startswith("-"):
            from difflib import get_close_matches

            near = get_close_matches(args[0], self._table, n=1)
            hint = f" Did you mean {near[0]!r}?" if near else f" There are: {', '.join(self._table)}."
            ctx.fail(f"No such command {args[0]!r}.{hint}")
        return super().resolve_command(ctx, args)
