"""The page on the crew names every column, role and command, and its examples are as the commands take them."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import click
import pytest

from ropewright.cli.main import main
from ropewright.store.crew_csv import CREW_HEADERS
from ropewright.store.crew_words import ROLES
from ropewright.store.csv_text import MOST_BYTES, MOST_ROWS
from ropewright.store.gear_csv import gear_headers

PAGE = (Path(__file__).parents[2] / "docs" / "crew.md").read_text(encoding="utf-8")

LINES = [line for line in PAGE.replace("\\\n", " ").splitlines() if line.startswith("ropewright ")]


def section(title: str) -> str:
    return PAGE.partition(f"\n{title}\n")[2].partition("\n#")[0]


def named(text: str) -> set[str]:
    return set(re.findall(r"`([^`]+)`", text))


def test_every_column_of_gear_is_told_and_no_other() -> None:
    text = section("### Columns of gear").replace("`gear add`", "").replace("`took a fall on 2026-05-31`", "")
    assert named(text.replace("`no`", "")) == set(gear_headers())


def test_every_column_of_people_is_told_and_no_other() -> None:
    rows = {"person", "role", "training", "sign-off", "need", "left"}
    assert named(section("### Columns of people")) - rows - {"all"} | {"role"} == set(CREW_HEADERS)


def test_every_role_is_told() -> None:
    assert set(ROLES) <= named(section("## Roles"))


def test_the_limits_of_a_file_are_told() -> None:
    assert f"At most {MOST_BYTES // 1_000_000} MB, {MOST_ROWS:,} rows" in PAGE


@pytest.mark.parametrize("line", LINES)
def test_each_example_is_taken_as_it_stands(line: str) -> None:
    """Parsed by the command's own parser, which knows its options; it is not run."""
    words = shlex.split(line)[1:]
    command: click.Command = main
    context = click.Context(main)
    while isinstance(command, click.Group):
        _, rest, _ = command.make_parser(context).parse_args(args=list(words))
        name, *words = rest if command is main else words
        found = command.get_command(context, name)
        assert found is not None, name
        command = found
        context = click.Context(command)
    command.make_context(command.name, list(words), resilient_parsing=False)
