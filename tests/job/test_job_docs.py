"""The page on the job file names every field that is read, and no other."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from ropewright.job import job_from_mapping, new_job_text
from ropewright.job.reading import Table

ROOT = Path(__file__).parents[2]

#: Told in the text beside a table rather than in its first column.
NOT_LISTED = {"absorber", "force", "yes", "by", "on", "opening", "facets"}


def fields_read(monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """Return the names of all fields that are looked at while jobs with each kind of roof are read."""
    known: set[str] = set()
    plain_get = Table.get

    def noting_get(self: Table, key: str) -> object:
        if self.path not in ("", "facts"):
            known.add(key)
        return plain_get(self, key)

    monkeypatch.setattr(Table, "get", noting_get)
    raw = tomllib.loads(new_job_text("us"))
    ring = [["0 m", "0 m", "3 m"], ["9 m", "0 m", "3 m"], ["9 m", "9 m", "3 m"], ["0 m", "9 m", "3 m"]]
    facets = {"facets": [{"ring": ring}]}
    hague = ROOT / "examples" / "hague-house.toml"
    raw["answers"] = {"roof_sound": {"yes": True}}
    sides = [{"number": 4, "kind": "half-hip", "hip_from": "2 ft"}]
    job_from_mapping({**raw, "roof": {**raw["roof"], "gable_sides": [2], "side": sides}})
    yard = ROOT / "examples" / "wing-and-dormer.toml"
    job_from_mapping(tomllib.loads(yard.read_text(encoding="utf-8")), path=yard)
    job_from_mapping({**raw, "roof": facets, "site": {}, "anchor": [{**raw["anchor"][0], "at": ["1 m", "1 m"]}]})
    job_from_mapping(tomllib.loads(hague.read_text(encoding="utf-8")), path=hague)
    house = {**raw, "roof": {"file": "house.csv"}, "site": {}}
    at_house = ROOT / "tests" / "data" / "houses" / "job.toml"
    job_from_mapping({**house, "anchor": [{**raw["anchor"][0], "at": ["1 m", "1 m"]}]}, path=at_house)
    return known


def test_the_page_names_every_field_and_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    page = (ROOT / "docs" / "job-file.md").read_text(encoding="utf-8")
    listed = {
        name
        for line in page.splitlines()
        if line.startswith("| `")
        for name in re.findall(r"`([a-z_]+)`", line.split("|")[1])
    }
    assert listed - NOT_LISTED == fields_read(monkeypatch) - NOT_LISTED
