"""The page on the rope bench names every key of every document, and no other; what it tells people to call is there."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from ropewright.cli.main import main

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "rope-bench.md").read_text(encoding="utf-8")

ASKED = {
    "rope choose": ["--diameter", "11 mm"],
    "rope judge": ["--strength", "30 kN"],
    "rope batch": ["--break", "31 kN", "--break", "30 kN", "--break", "32 kN"],
    "rope stretch": ["--diameter", "11 mm", "--length", "15 m", "--mass", "100 kg"],
    "knot": ["sliding hitch", "--diameter", "8 mm"],
    "stow": ["--length", "60 m", "--diameter", "11 mm", "--container-volume", "25 L", "--hole", "20 mm"],
    "cut": [str(ROOT / "examples" / "cutting-list.toml")],
    "rope sheet": [str(ROOT / "examples" / "gable-house.toml"), "--line", "white"],
}


def answered(command: str, *options: str) -> dict[str, object]:
    result = CliRunner().invoke(main, [*command.split(), *ASKED[command], *options, "--json"])
    assert result.exit_code in (0, 1), result.stderr
    answer: dict[str, object] = json.loads(result.stdout)
    return answer


@pytest.mark.parametrize("command", ASKED)
def test_the_page_names_every_key_and_no_other(command: str) -> None:
    section = PAGE.split(f"### {command}\n", 1)[1].split("\n### ")[0]
    listed = [
        name
        for line in section.splitlines()
        if line.startswith("| `")
        for name in re.findall(r"`([a-z_0-9]+)`", line.split("|")[1])
    ]
    assert sorted(listed) == sorted(answered(command))


@pytest.mark.parametrize("command", [name for name in ASKED if name not in ("cut", "rope sheet")])
def test_documents_are_in_si_whatever_units_are_shown(command: str) -> None:
    assert answered(command, "--units", "us") == answered(command, "--units", "metric")


def test_every_command_of_the_page_is_there() -> None:
    for words in set(re.findall(r"`ropewright ([a-z ]+)`", PAGE)):
        assert CliRunner().invoke(main, [*words.split(), "--help"]).exit_code == 0, words


@pytest.mark.parametrize("command", ASKED)
def test_every_number_is_finite_or_null(command: str) -> None:
    """Bare words such as NaN are no JSON."""
    result = CliRunner().invoke(main, [*command.split(), *ASKED[command], "--json"])
    json.loads(result.stdout, parse_constant=pytest.fail)
