"""Hold the straight skeleton against CGAL's on many random outlines, and explain every difference.

Run: python tools/skeleton_check.py [COUNT]   (COUNT outlines of each kind, 200 if not given)

Leaves with 1 if any outline differs for a reason that could not be shown.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "external"))

from skeleton_oracle import KINDS, cgal_faces, compare, is_usable, make_case, our_faces


def main() -> int:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    unexplained = []
    tried = 0
    print(f"{'outlines':18} {'usable':>7} {'equal':>7} {'merged':>7} {'two roofs':>10} {'DIFFERENT':>10}")
    for kind in KINDS:
        found: Counter[str] = Counter()
        for seed in range(count):
            case = make_case(kind, seed)
            if is_usable(case):
                answer = compare(case)
                found[answer] += 1
                if answer == "DIFFERENT":
                    unexplained.append((kind, seed))
        usable = sum(found.values())
        tried += usable
        shown = (found["equal"], found["merged"], found["two roofs"], found["DIFFERENT"])
        print(f"{kind:18} {usable:7d} {shown[0]:7d} {shown[1]:7d} {shown[2]:10d} {shown[3]:10d}")
    print(f"{tried} outlines; unexplained: {unexplained or 'none'}")
    ours, theirs = _times()
    print(f"mean time: ours {ours * 1e3:.2f} ms, CGAL through its wrapper {theirs * 1e3:.2f} ms")
    return 1 if unexplained else 0


def _times() -> tuple[float, float]:
    cases = [case for kind in KINDS for case in (make_case(kind, 0), make_case(kind, 1)) if is_usable(case)]
    means = []
    for solve in (our_faces, cgal_faces):
        start = time.perf_counter()
        for case in cases:
            solve(case)
        means.append((time.perf_counter() - start) / len(cases))
    return means[0], means[1]


if __name__ == "__main__":
    sys.exit(main())
