"""What docs/record.md says of verifying by hand works on a real bundle, and its words are the program's."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path
from zipfile import ZipFile

import pytest
from record_helpers import draft, filled
from record_tampering import photo

from ropewright.store.bundle import write_bundle
from ropewright.store.canonical import BODY_LIMIT
from ropewright.store.chain import Break
from ropewright.store.entry import Head
from ropewright.store.kept_files import FILE_LIMIT

DOCS = (Path(__file__).parents[2] / "docs" / "record.md").read_text(encoding="utf-8")


def block(language: str) -> str:
    return DOCS.split(f"```{language}\n")[1].split("```")[0]


@pytest.fixture
def unpacked(tmp_path: Path) -> tuple[Path, Head]:
    record = filled(tmp_path / "record.db")
    digest = record.keep_file(photo(), "image/png")
    record.write(lambda _: [draft(photo=digest, hash="f" * 64, note="\u2028 \r \u0085")])
    head, _ = write_bundle(record, tmp_path / "bundle.zip")
    record.close()
    with ZipFile(tmp_path / "bundle.zip") as bundle:
        bundle.extractall(tmp_path / "unpacked")
    return tmp_path / "unpacked", head


def test_the_chain_verifies_with_python_alone(unpacked: tuple[Path, Head]) -> None:
    folder, head = unpacked
    command = [sys.executable, "-I", "-c", block("python")]
    told = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=True)
    assert told.stdout == f"{head.count}:{head.hash}\n"
    lines = (folder / "entries.jsonl").read_text(encoding="utf-8")
    (folder / "entries.jsonl").write_text(lines.replace("Ann", "Bob", 1), encoding="utf-8")
    assert subprocess.run(command, cwd=folder, capture_output=True, check=False).returncode == 1


@pytest.mark.skipif(not (shutil.which("openssl") and shutil.which("sha256sum")), reason="the tools aren't installed")
def test_signature_and_sums_verify_with_other_tools(unpacked: tuple[Path, Head]) -> None:
    folder, _ = unpacked
    told = subprocess.run(["sh", "-e", "-c", block("sh")], cwd=folder, capture_output=True, text=True, check=True)
    manifest = (folder / "manifest.json").read_text(encoding="utf-8")
    sums = re.findall(r"^([0-9a-f]{64}) ", told.stdout, re.MULTILINE)
    assert len(sums) == 2
    assert all(f'"{found}"' in manifest for found in sums)


def test_the_words_of_a_break_are_explained() -> None:
    described = Break.__doc__ or ""
    for word in re.findall(r"``([a-z-]+)``", described):
        assert f"`{word}`" in DOCS, word
    assert f"{BODY_LIMIT:,} bytes" in DOCS
    assert f"{FILE_LIMIT // 2**20} MiB" in DOCS
