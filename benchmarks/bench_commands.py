"""How long the commands take as whole processes, beside a bare interpreter; run it on an idle machine.

Prints medians of several runs and the ratio to ``python -c pass``. `plan` is run twice: with an empty compile cache, as
after an installation, and with the cache filled.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[1]
EXAMPLE = ROOT / "examples" / "gable-house.toml"
COMMAND = str(Path(sys.executable).with_name("ropewright"))


def seconds(command: list[str], *, cache: str | None = None) -> float:
    environment = {**os.environ, **({"NUMBA_CACHE_DIR": cache} if cache else {})}
    start = time.perf_counter()
    done = subprocess.run(command, check=False, capture_output=True, env=environment, timeout=300)
    if done.returncode not in (0, 1):  # 1 is an answer: something fails
        sys.exit(f"{command[0]} did not run: {done.stderr.decode()}")
    return time.perf_counter() - start


def main() -> None:
    # In turn, and the ratio pair by pair: the machine's speed drifts more than the two differ.
    pairs = [(seconds([sys.executable, "-c", "pass"]), seconds([COMMAND, "--help"])) for _ in range(25)]
    bare, helped = (statistics.median(times) for times in zip(*pairs, strict=True))
    ratio = statistics.median(slow / quick for quick, slow in pairs)
    print(f"python -c pass            {bare * 1000:8.0f} ms")
    print(f"ropewright --help         {helped * 1000:8.0f} ms   {ratio:5.1f} x bare (goal: under 6)")
    with tempfile.TemporaryDirectory() as folder:
        plan = [COMMAND, "plan", str(EXAMPLE), "--out", f"{folder}/out"]
        first = seconds(plan, cache=f"{folder}/cache")
        again = statistics.median(seconds(plan, cache=f"{folder}/cache") for _ in range(5))
    print(f"plan, nothing compiled    {first:8.2f} s    {first / bare:5.0f} x bare (goal: under 6 s)")
    print(f"plan, compiled before     {again:8.2f} s    {again / bare:5.0f} x bare")


if __name__ == "__main__":
    main()
