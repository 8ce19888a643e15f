"""Make docs/commands.md from ``--help``; with ``--check`` only say whether it is stale."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from ropewright.cli.main import main

PAGE = Path(__file__).parents[1] / "docs" / "commands.md"
HEAD = """# Commands

Made by `./run.sh docs` from each command's `--help`; don't edit.

Every command takes `--json` and then prints one JSON document: SI numbers, keys with their unit as suffix.
Exit status: 0 all holds or done, 1 something fails, is doubtful or must be asked, 2 the input can't be used,
3 Ropewright itself failed.
"""


def reference() -> str:
    """Return the whole page."""
    return HEAD + "".join(_sections(main, "ropewright", None))


def _sections(command: click.Command, name: str, parent: click.Context | None) -> list[str]:
    context = click.Context(command, info_name=name, parent=parent, max_content_width=100, terminal_width=100)
    path = context.command_path
    out = [f"\n## `{path}`\n\n```\n{command.get_help(context).rstrip()}\n```\n"]
    if isinstance(command, click.Group):
        for child in command.list_commands(context):
            found = command.get_command(context, child)
            if found is not None:
                out += _sections(found, child, context)
    return out


if __name__ == "__main__":
    page = reference()
    if "--check" in sys.argv:
        sys.exit(0 if PAGE.exists() and PAGE.read_text() == page else "docs/commands.md is stale: ./run.sh docs")
    PAGE.write_text(page)
