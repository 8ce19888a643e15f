"""The page on rules says what is so."""

from __future__ import annotations

from pathlib import Path

from ropewright.findings import SourceStatus, Verdict
from ropewright.rules import check, load_pack
from ropewright.rules.limits import Kind, Standing
from ropewright.rules.rows import _LIMIT

PAGE = (Path(__file__).parents[2] / "docs" / "rules.md").read_text(encoding="utf-8")


def test_the_example_of_own_rules_works(tmp_path: Path) -> None:
    text = PAGE.split("```toml\n")[1].split("```")[0]
    path = tmp_path / "our-yard.toml"
    path.write_text(text, encoding="utf-8")
    pack = load_pack(path)
    found = {f.id: f.verdict for f in check(pack, {"free_fall": "5 ft", "wind_speed": "10 mph", "user_mass": "230 lb"})}
    assert found == {"free-fall": Verdict.FAILS, "our-wind": Verdict.HOLDS, "user-mass": Verdict.HOLDS}


def test_every_key_and_word_of_a_row_is_described() -> None:
    rows = PAGE.split("## A row")[1]
    assert all(f"`{key}`" in rows for key in _LIMIT - {"overridden_by"})
    for words in (SourceStatus, Standing, Kind):
        assert all(f"`{word}`" in rows for word in words)
