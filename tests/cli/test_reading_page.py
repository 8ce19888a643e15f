"""The page on reading a fall: its command runs, its picture is there, its words are those of the picture."""

import re
import shlex
from pathlib import Path

from click.testing import CliRunner

from ropewright.arrest.history import Phase
from ropewright.cli.fall import fall

DOCS = Path(__file__).parents[2] / "docs"
PAGE = (DOCS / "reading-a-fall.md").read_text(encoding="utf-8")


def test_command_of_the_page_runs_and_says_what_the_page_explains(tmp_path: Path) -> None:
    command = re.search(r"```\n(ropewright fall .*?)\n```", PAGE, re.DOTALL)
    assert command is not None
    words = shlex.split(command[1].replace("\\\n", " "))[2:]
    words[words.index("--plot") + 1] = str(tmp_path / "fall.svg")
    result = CliRunner().invoke(fall, [*words, "--draws", "64"])
    assert result.exit_code == 1, result.stderr  # doubtful, as the page says
    for told in (
        "Whole fall, by the book",
        "At the ends of the inputs",
        "DOUBTFUL",
        "95 % confidence",
        "pin down first",
    ):
        assert told in result.stdout
    assert (tmp_path / "fall.svg").exists()


def test_every_phase_has_its_line() -> None:
    for phase in Phase:
        assert f"| {phase.value} |" in PAGE


def test_picture_is_there() -> None:
    for picture in re.findall(r"!\[.*?\]\((.*?)\)", PAGE):
        assert (DOCS / picture).read_bytes().startswith(b"\x89PNG")
