"""The commands of docs/gear.md work as they stand there, block by block; all gear is invented."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

from ropewright.cli.main import main

PAGE = (Path(__file__).parents[2] / "docs" / "gear.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```\n(.*?)^```$", PAGE, re.DOTALL | re.MULTILINE)
#: What stands in the record before a block of the page.
BEFORE = """
add rope --tag R-001 --length "60 m" --wear new --made 2026-05 --interval "10 years" --life "no limit"
add rope --tag R-002 --length "60 m" --wear new --made 2026-05 --interval "10 years" --life "no limit"
add rope --tag R-004 --length "60 m" --wear new --made 2026-05 --interval "10 years" --life "no limit"
add rope --tag R-005 --length "60 m" --wear new --made 2026-05 --interval "10 years" --life "no limit"
add harness --wear new --made 2026-05 --interval "10 years" --life "no limit"
add lanyard --wear new --made 2026-05 --interval "10 years" --life "no limit"
add grab --wear new --made 2026-05 --interval "10 years" --life "no limit"
add grab --tag G-002 --wear new --interval "1 month" --on 2026-01-05
add grab --tag G-003 --wear new
add connector --wear new
add absorber --wear new
add bag
kit add K-002
kit put K-002 E-001
issue C-001 --to P-07 --job "Mill Lane 4"
fall G-003
"""


def run(line: str) -> None:
    result = CliRunner().invoke(main, ["--store", "record.db", "gear", *shlex.split(line)])
    assert result.exit_code == 0, f"{line}\n{result.output}"


@pytest.mark.parametrize("block", BLOCKS, ids=[block.split("\n")[0][:40] for block in BLOCKS])
def test_commands_of_the_page_work(block: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ROPEWRIGHT_BY", "A. Example")
    Image.new("RGB", (4, 4)).save("mark.jpg")
    lines = [line.partition(" gear ")[2] for line in block.replace("\\\n", " ").strip().split("\n")]
    takes_in = any(line.startswith("add ") for line in lines)
    before = [] if takes_in else BEFORE.strip().split("\n")
    if any("--piece R-002" in line or '--piece "R-002' in line for line in lines):
        before = [line for line in before if "R-002" not in line]  # the page cuts it first
    for line in (*before, *lines):
        run(line)


def test_the_page_names_every_command() -> None:
    from ropewright.cli.gear import _TABLE

    kept_elsewhere = {
        "verify",
        "head",
        "backup",
        "restore",
        "bundle",
        "open-bundle",
        "rebuild",
        "import",
        "export",
        "labels",
    }
    for name in set(_TABLE) - kept_elsewhere:
        assert re.search(rf"(gear|`) ?{name}\b", PAGE), name
