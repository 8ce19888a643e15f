"""How long the commands about rope take as whole, fresh processes, beside a bare interpreter.

Run: python benchmarks/bench_rope_commands.py

Prints medians of several runs: wall time, and processor time of the child, which another load on the machine hardly
changes. Byte code is compiled once before, as after an installation.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[1]
COMMAND = str(Path(sys.executable).with_name("ropewright"))
RUNS = 5
#: What every command but a full cutting list may take. [s]
GOAL = 1.0


def seconds(command: list[str]) -> tuple[float, float]:
    """Wall and processor time of one run. [s]"""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(command, check=False, capture_output=True, env=environment, timeout=120)
    took, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode not in (0, 1):  # 1 is an answer: it does not hold
        sys.exit(f"{' '.join(command)} did not run: {done.stderr.decode()}")
    return took, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def commands(folder: str) -> dict[str, list[str]]:
    breaks = [part for load in (6500, 6750, 6675, 7005, 6925) for part in ("--break", f"{load} lbf")]
    kind = ["--fibre", "polyester", "--construction", "sheathed core", "--stretch", "static"]
    sheet = ["rope", "sheet", str(ROOT / "examples" / "gable-house.toml"), "--line", "white"]
    stretch = ["rope", "stretch", *kind, "--diameter", "11 mm", "--length", "15 m", "--mass", "100 kg"]
    stow = ["stow", "--length", "60 m", "--diameter", "11 mm", "--container-volume", "25 L", "--hole", "20 mm"]
    cut = ["cut", str(ROOT / "examples" / "cutting-list.toml")]
    knot = ["knot", "figure-eight on a bight", "--diameter", "11 mm"]
    return {
        "rope choose": ["rope", "choose", "--diameter", "11 mm"],
        "rope judge": ["rope", "judge", "--strength", "30 kN", *kind],
        "rope batch": ["rope", "batch", *breaks],
        "rope batch --svg": ["rope", "batch", *breaks, "--svg", f"{folder}/a.svg"],
        "rope stretch": stretch,
        "rope stretch --svg": [*stretch, "--svg", f"{folder}/a.svg"],
        "rope sheet": sheet,
        "rope sheet --pdf": [*sheet, "--pdf", f"{folder}/a.pdf"],
        "knot": knot,
        "knot --svg": [*knot, "--svg", f"{folder}/a.svg"],
        "stow": stow,
        "stow --way coil": [*stow, "--way", "coil", "--loop", "0.9 m"],
        "stow --svg": [*stow, "--svg", f"{folder}/a.svg"],
        "cut": cut,
        "cut --svg": [*cut, "--svg", f"{folder}/a.svg"],
        "cut --labels": [*cut, "--labels", f"{folder}/a.pdf"],
    }


def main() -> None:
    bare = statistics.median(seconds([sys.executable, "-c", "pass"])[0] for _ in range(RUNS))
    print(f"{'python -c pass':<20} {bare:6.2f} s")
    slow = []
    with tempfile.TemporaryDirectory() as folder:
        for name, words in commands(folder).items():
            seconds([COMMAND, *words])
            wall, own = (
                statistics.median(times)
                for times in zip(*(seconds([COMMAND, *words]) for _ in range(RUNS)), strict=True)
            )
            print(f"{name:<20} {wall:6.2f} s   of that on the processor {own:5.2f} s")
            slow += [name] if own > GOAL else []
    print(f"over {GOAL:g} s of processor time: {', '.join(slow) or 'none'} (goal: none)")


if __name__ == "__main__":
    main()
