"""The README does what it says: its commands run as installed, its files exist, its links lead somewhere.

Every ``ropewright`` line is run by the console script of the environment under test, in a copy of the examples.
"""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
SCRIPT = Path(sys.executable).with_name("ropewright")

#: Blocks of commands, in the order in which they stand: install and plan, install and test, the tour.
INSTALL, TEST, TOUR = re.findall(r"```\n(.*?)```", README, flags=re.DOTALL)
TOUR_LINES = [line for line in TOUR.splitlines() if line.startswith("ropewright ")]


def words(line):
    """Arguments of a command line, what follows a hash left out."""
    return shlex.split(line, comments=True)[1:]


def run(arguments, folder):
    return subprocess.run(
        [SCRIPT, *arguments], cwd=folder, capture_output=True, text=True, encoding="utf-8", timeout=120, check=False
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Return a folder in which one stands as at the top of the repository."""
    there = tmp_path_factory.mktemp("readme")
    shutil.copytree(ROOT / "examples", there / "examples")
    return there


@pytest.fixture(scope="module")
def new_job(folder):
    """Return the answer to the first line of the tour, on which the second stands."""
    return run(words(TOUR_LINES[0]), folder)


def test_the_first_command_installs_and_plans_the_example(folder):
    planning = re.search(r"\.venv/bin/(ropewright plan \S+ --out out) \|\| \[ \$\? -eq 1 \]", INSTALL)
    assert planning
    assert "pip install" in INSTALL
    result = run(words(planning[1]), folder)
    assert result.returncode == 1, result.stderr  # an answer: the example has weaknesses to find
    for name in ("plan.pdf", "map.svg", "findings.json"):
        assert f"out/{name}" in README
        assert (folder / "out" / name).stat().st_size > 1000


def test_the_commands_name_files_that_the_repository_has():
    for name in re.findall(r"-c (\S+\.txt)", INSTALL + TEST):
        assert (ROOT / name).is_file()
    assert "'.[dev]'" in TEST


def test_the_constraints_name_no_address():
    for line in (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines():
        assert line.startswith("#") or re.fullmatch(r"[A-Za-z0-9._-]+==\S+", line), line


def test_the_tour_has_ten_lines():
    assert len(TOUR.strip().splitlines()) == len(TOUR_LINES) == 10


@pytest.mark.parametrize("line", TOUR_LINES, ids=[" ".join(words(line)[:3]) for line in TOUR_LINES])
def test_every_line_of_the_tour_runs(line, folder, new_job):
    assert new_job.returncode == 0, new_job.stderr
    if line is TOUR_LINES[0]:
        return
    result = run(words(line), folder)
    assert result.returncode in (0, 1), result.stderr
    assert result.stdout.strip()
    assert "Traceback" not in result.stderr


def test_every_link_of_the_readme_leads_to_a_file():
    for target in re.findall(r"\]\(([^)#]+)\)", README):
        assert (ROOT / target).is_file(), target


def test_the_page_of_commands_is_up_to_date():
    checked = subprocess.run(
        [sys.executable, ROOT / "tools" / "command_reference.py", "--check"],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert checked.returncode == 0, checked.stderr
