"""Packs from their files."""

from __future__ import annotations

from pathlib import Path

import pytest

from ropewright.errors import FileError, InputErrors, RulesError
from ropewright.rules import load_pack, pack_names

HEAD = """
id = "ours"
title = "Our rules"
jurisdiction = "Our yard"
edition = "first"
disclaimer = "The foreman decides."
compared = 2026-11-25
compared_with = "our own sheet"
units = "metric"
"""
LIMIT = """
[[limit]]
id = "free-fall"
fact = "free_fall"
operator = "<="
value = "1 m"
document = "Our sheet"
status = "user"
applies_to = "person"
summary = "Ours."
"""


def write(folder: Path, text: str, name: str = "ours.toml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_unknown_pack_lists_the_packs() -> None:
    with pytest.raises(RulesError, match=r"did you mean 'us-construction'.*eu-uk") as caught:
        load_pack("us-constuction")
    assert all(name in str(caught.value) for name in pack_names())


def test_a_pack_of_ones_own_stands_by_itself(tmp_path: Path) -> None:
    pack = load_pack(write(tmp_path, HEAD + LIMIT))
    assert (pack.id, [limit.id for limit in pack.limits]) == ("ours", ["free-fall"])
    limit = pack.governing("free_fall")
    assert limit is not None
    assert limit.judge(1.0).verdict.value == "holds"


@pytest.mark.parametrize("key", ["id", "title", "jurisdiction", "edition", "disclaimer", "compared", "units"])
def test_every_pack_must_say_what_it_is(tmp_path: Path, key: str) -> None:
    lines = [line for line in HEAD.splitlines() if not line.startswith(f"{key} ")]
    with pytest.raises(RulesError, match=f"{key}: missing"):
        load_pack(write(tmp_path, "\n".join(lines) + LIMIT))


def test_all_faults_at_once_with_the_file(tmp_path: Path) -> None:
    text = HEAD.replace('title = "Our rules"\n', "") + LIMIT.replace('"1 m"', '"1"') + LIMIT.replace('"<="', '"=="')
    with pytest.raises(InputErrors) as caught:
        load_pack(write(tmp_path, text))
    said = [str(error) for error in caught.value.exceptions]
    assert len(said) == 3
    assert all("ours.toml" in one for one in said)


def test_an_id_is_taken_once(tmp_path: Path) -> None:
    with pytest.raises(RulesError, match="'free-fall'; this id is taken"):
        load_pack(write(tmp_path, HEAD + LIMIT + LIMIT))


@pytest.mark.parametrize(
    ("text", "error", "says"),
    [
        ("id = ", FileError, "mend the syntax"),
        (HEAD + "limits = 3", RulesError, "did you mean 'limit'"),
        (HEAD + "limit = 3", RulesError, r"\[\[limit\]\]"),
        (HEAD + 'parts = ["us-power-lines"]', RulesError, "into the file itself"),
        (HEAD + "[definition]\nfree_fall = 3", RulesError, r"\[definition.NAME\]"),
        ('extends = 3\nid = "x"', RulesError, "the packs are"),
    ],
)
def test_broken_files_say_so(tmp_path: Path, text: str, error: type[Exception], says: str) -> None:
    with pytest.raises(error, match=says):
        load_pack(write(tmp_path, text))


def test_missing_large_and_binary_files_say_so(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="No such file"):
        load_pack(tmp_path / "none.toml")
    with pytest.raises(FileError, match="smaller than 2 MB"):
        load_pack(write(tmp_path, "#" * 2_000_001))
    (tmp_path / "ours.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(FileError, match="plain text"):
        load_pack(tmp_path / "ours.toml")


def test_a_circle_is_refused(tmp_path: Path) -> None:
    write(tmp_path, 'id = "a"\ntitle = "A"\nextends = "b.toml"', "a.toml")
    write(tmp_path, 'id = "b"\ntitle = "B"\nextends = "a.toml"', "b.toml")
    with pytest.raises(RulesError, match="circle"):
        load_pack(tmp_path / "a.toml")


def test_governing_is_the_strictest_that_may_apply() -> None:
    pack = load_pack("us-construction")
    anchor = pack.governing("anchor_strength")
    assert anchor is not None
    assert anchor.id == "anchor"
    strict = pack.governing("anchor_strength", {"apply_1926_104": True})
    assert strict is not None
    assert strict.id == "anchor-strict"
    designed = {"anchor_designed_by_qualified_person": True, "anchor_design_factor": 2.0}
    assert pack.governing("anchor_strength", designed) is None


def test_nothing_governs_where_no_figure_or_two_sides() -> None:
    pack = load_pack("us-construction")
    assert pack.governing("gate_strength") is None
    assert len(pack.limits_for("gate_strength")) == 1
    assert pack.governing("guardrail_height") is None
    assert load_pack("canada").governing("arrest_force") is None


def test_limits_for_takes_facts_as_text_or_si() -> None:
    pack = load_pack("us-construction")
    for slope in ("8:12", 33.69):
        assert "edge-steep" in [limit.id for limit in pack.limits_for("edge_height", {"roof_slope": slope})]
    assert "edge-steep" not in [limit.id for limit in pack.limits_for("edge_height", {"roof_slope": "4:12"})]


def test_what_satisfies_the_law_otherwise_leaves_no_limit() -> None:
    pack = load_pack("us-general-industry")
    assert pack.governing("free_fall", {"maker_free_fall_tested": True}) is None


def test_packs_without_power_line_figures_ask() -> None:
    limit = load_pack("eu-uk").power_distance(11e3)
    assert limit.figure is None
    assert "owner or operator" in limit.decide
