"""Time of a layout of anchors to its proven least number, beside a greedy cover and another solver, in one run.

Run: python benchmarks/bench_layout.py

A hip roof of 20 m by 15 m, about 200 places for anchors on ridge and hips, about 2,000 places to cover, one worker.
``to the optimum`` goes from the job to the anchors chosen and their lines set, as the answers along the edges let them;
the rows under it are its parts. ``held by the whole plan`` goes on until nothing that a plan finds of them fails: falls
followed in three dimensions, for each line as it is set and at the longest that is told. It grows with the anchors
chosen, and with what is refused and chosen anew. ``assessed as well`` ends with the findings to print. Number and time
of the choice alone are held beside a greedy cover and `scipy.optimize.milp`, on the same table of which place covers
what. Processor time and time on the clock, best of some runs: what else the machine does only ever adds. Machine code
is made once before anything is timed.
"""

from __future__ import annotations

import time
import tomllib
from collections.abc import Callable
from contextlib import suppress
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp

from ropewright.field.cover import greedy_cover
from ropewright.field.cover_program import least_cover
from ropewright.job import job_from_mapping, new_job_text
from ropewright.job.layout import plan_anchors
from ropewright.job.layout_model import Wanted
from ropewright.job.layout_reach import gears_of, reach_of_gear
from ropewright.job.layout_site import candidates_of, places_of
from ropewright.job.model import Job
from ropewright.job.work import Work
from ropewright.roof.path import TautPaths

#: What it may take to the optimum. [s]
GOAL = 5.0
WANTED = Wanted(keep=False, spacing=0.24, places=0.39)
RUNS = 2

Bools = NDArray[np.bool_]


def hip_job(pitch: str) -> Job:
    """The job file to start from, on a hip roof of 300 m2 in plan."""
    raw: dict[str, Any] = tomllib.loads(new_job_text("metric"))
    for key in ("area", "no_anchor", "framing"):
        del raw[key]
    raw["site"] = {"ground": "0 m"}
    raw["roof"] = {"form": "hip", "size": ["20 m", "15 m"], "eave_height": "7 m", "pitch": pitch}
    raw["anchor"][0]["at"] = ["10 m", "7.5 m"]
    raw["line"][0]["length"] = "5 m"
    return job_from_mapping(raw)


def best(work: Callable[[], Any]) -> tuple[float, float, Any]:
    """Shortest processor time and time on the clock of some runs, and what the last one gave."""
    spent, clock = [], []
    for _ in range(RUNS):
        start, began = time.process_time(), time.perf_counter()
        result = work()
        spent.append(time.process_time() - start)
        clock.append(time.perf_counter() - began)
    return min(spent), min(clock), result


def by_milp(covers: Bools) -> int:
    """Least number of columns by scipy's program, over the whole table."""
    m = covers.shape[1]
    found = milp(
        np.ones(m),
        integrality=np.ones(m, int),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(covers.astype(float), 1),
    )
    return round(float(found.fun or np.nan))


def up_to(job: Job, next_part: str) -> None:
    """Go as far as some part begins, told by what is then reported."""

    class Reached(Exception):  # noqa: N818 - no error
        pass

    def report(doing: str, _share: float) -> None:
        if doing.startswith(next_part):
            raise Reached

    with suppress(Reached):
        plan_anchors(job, WANTED, progress=report)


def row(name: str, times: tuple[float, float, Any], note: str) -> None:
    """Print one line of the table."""
    print(f"{name:<34}{1e3 * times[0]:>12.0f}{1e3 * times[1]:>12.0f}   {note}")


def measure(pitch: str) -> None:
    """Measure one roof."""
    job = hip_job(pitch)
    optimum = best(lambda: up_to(job, "falls in three dimensions"))
    held = best(lambda: up_to(job, "assessing the layout"))
    whole = best(lambda: plan_anchors(job, WANTED))
    layout = whole[2]
    print(
        f"\nhip, {pitch}: {len(layout.candidates)} places for anchors, {len(layout.places.points)} places to cover, "
        f"{len(layout.uncovered)} of them out of every line's reach"
    )
    print(f"{'':<34}{'cpu / ms':>12}{'clock / ms':>12}")
    proof = "proven least" if layout.proven else f"bound {layout.bound}"
    verdict = "met" if optimum[1] < GOAL else "missed"
    row("to the optimum", optimum, f"{layout.count} anchors, {proof}; goal {GOAL:g} s: {verdict}")
    work, places = Work(), places_of(job, WANTED.places or 0.0)
    points = candidates_of(job, WANTED.spacing).points
    work.floors(job), work.below(job), work.slide_lines(job)
    ropes = best(lambda: [TautPaths(work.solid(job), point) for point in points])
    row("  taut ropes from each place", ropes, "")
    (gear,) = gears_of(job, places)
    reach = best(lambda: reach_of_gear(job, work, gear, ropes[2], places))
    row("  longest settings and cover", reach, "every fall on every line judged")
    covers = reach[2].covers()
    covers = covers[covers.any(axis=1)]
    least = best(lambda: least_cover(covers))
    row("  fewest anchors", least, f"{least[2].value:.0f}, {'proven' if least[2].proven else 'not proven'}")
    greedy = best(lambda: greedy_cover(covers))
    row("held by the whole plan", held, f"{len(layout.cuts)} lines refused and chosen anew")
    row("assessed as well", whole, f"{len(layout.findings)} findings that don't hold")
    row("greedy cover", greedy, f"{len(greedy[2])}, no proof")
    other = best(lambda: by_milp(covers))
    row("scipy.optimize.milp", other, f"{other[2]}")


def main() -> None:
    """Measure a steep roof, where only a restraint holds, and a shallow one, where falls are caught."""
    plan_anchors(hip_job("30 deg"), Wanted(keep=False, spacing=4.0, places=2.0))
    for pitch in ("30 deg", "5 deg"):
        measure(pitch)


if __name__ == "__main__":
    main()
