"""A few seconds of coverage-guided fuzzing; `tools/fuzz_readers.py` runs as long as one likes."""

import subprocess
import sys
from pathlib import Path

import pytest

TOOL = Path(__file__).parents[2] / "tools" / "fuzz_readers.py"


@pytest.mark.parametrize("ending", ["csv", "geojson"])
def test_nothing_but_named_faults_comes_out(ending):
    pytest.importorskip("atheris", reason="atheris has no wheel for this machine")
    command = [sys.executable, str(TOOL), "--format", ending, "--seconds", "3"]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    assert "DONE" in done.stderr or "Done" in done.stderr
