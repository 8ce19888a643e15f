"""Time of a roof over an outline, ours beside CGAL's through the compas_cgal wrapper, in one run.

Run: python benchmarks/bench_skeleton.py

``roof`` is the whole of `roof_from_outline`: checks, skeleton, facets, typed and named edges, proof; ``skeleton`` the
part that CGAL does as well. Processor time, best of several runs: what else the machine does only ever adds.
"""

from __future__ import annotations

import math
import random
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "external"))

from skeleton_oracle import Case, Ring, cgal_faces

from ropewright.roof.outline import roof_from_outline
from ropewright.roof.skeleton import straight_skeleton

#: What the roof over 40 corners may take. [s]
GOAL = 0.020


def star(count: int, seed: int) -> Ring:
    rng = random.Random(seed)
    turns = [(i + rng.uniform(0.1, 0.9)) * math.tau / count for i in range(count)]
    return [(r * math.cos(a), r * math.sin(a)) for a in turns for r in (rng.uniform(6.0, 14.0),)]


def comb(wings: int) -> Ring:
    """A bar with wings of unlike length on one side: four corners a wing."""
    ring: Ring = [(0.0, 0.0), (4.0 * wings, 0.0)]
    for i in range(wings):
        x, y = 4.0 * (wings - i), 8.0 + i % 3
        ring += [(x, y), (x - 2.0, y), (x - 2.0, 5.0), (x - 4.0, 5.0)]
    return [*ring[:-1], (0.0, 5.0)]


OUTLINES = {
    "rectangle, 4 corners": [(0.0, 0.0), (12.0, 0.0), (12.0, 8.0), (0.0, 8.0)],
    "star, 20 corners": star(20, 1),
    "star, 40 corners": star(40, 1),
    "comb, 38 corners": comb(9),
    "star, 100 corners": star(100, 1),
}


def best(work: Callable[[], object], runs: int = 15) -> float:
    """Shortest of several runs, in seconds of processor time: both sides run on one thread."""
    times = []
    for _ in range(runs):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def main() -> int:
    print(f"{'outline':22} {'roof':>9} {'skeleton':>9} {'CGAL':>9}   [ms]")
    slow = False
    for name, outline in OUTLINES.items():
        pitches = [40.0] * len(outline)
        case = Case(name, 0, (outline,), tuple(pitches))
        roof = best(lambda o=outline, p=pitches: roof_from_outline(o, form="hip", pitches=p, eave_height=3.0))
        skeleton = best(lambda c=case: straight_skeleton(c.rings, c.speeds))
        other = best(lambda c=case: cgal_faces(c))
        print(f"{name:22} {roof * 1e3:9.2f} {skeleton * 1e3:9.2f} {other * 1e3:9.2f}")
        slow = slow or (name == "star, 40 corners" and roof > GOAL)
    print(f"goal: roof over 40 corners under {GOAL * 1e3:.0f} ms: {'missed' if slow else 'met'}")
    return 1 if slow else 0


if __name__ == "__main__":
    sys.exit(main())
