"""The page on anchors names every key of the document and every option of the command, and no other."""

from __future__ import annotations

import re
from pathlib import Path

from ropewright.cli.anchors import anchors

PAGE = (Path(__file__).parents[2] / "docs" / "anchors.md").read_text(encoding="utf-8")


def test_the_page_names_every_key_and_no_other() -> None:
    listed = {
        name
        for line in PAGE.splitlines()
        if line.startswith("| `")
        for name in re.findall(r"`([a-z_0-9]+)`", line.split("|")[1])
    }
    source = Path(__file__).parents[2] / "src" / "ropewright" / "sheets" / "layout_document.py"
    body = source.read_text(encoding="utf-8").split("return {", 1)[1].split("    }", 1)[0]
    assert listed == set(re.findall(r'^ +"([a-z_0-9]+)":', body, re.MULTILINE))


def test_the_options_that_the_page_names_are_there() -> None:
    known = {name for option in anchors.params for name in (*option.opts, *option.secondary_opts)}
    assert set(re.findall(r"--[a-z][a-z-]+", PAGE)) <= known
