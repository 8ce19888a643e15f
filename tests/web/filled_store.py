"""A store that holds something of everything: a job with its plan and a past state, gear, a person; all invented."""

from __future__ import annotations

import io
import re
from functools import lru_cache
from pathlib import Path
from typing import Any

from PIL import Image

from ropewright import __version__
from ropewright.store.gear_points import points_of
from ropewright.store.gear_words import gear_kinds
from ropewright.store.job_plans import Plan, PlanFiles
from ropewright.web.jobs import tasks

EXAMPLE = (Path(__file__).parents[2] / "examples/l-hip-metric.toml").read_text(encoding="utf-8")
ROPE = {
    "kind": "rope", "tag": "R-001", "fibre": "polyester", "construction": "sheathed core", "stretch": "low-stretch",
    "diameter_m": "11 mm", "length_m": "60 m", "strength_n": "30 kN", "strength_basis": "maker's minimum",
    "end_1": "sewn eye", "made": "2026-01-10", "life_by_age": "10 years", "wear": "new",
}  # fmt: skip
PERSON = {"code": "P-07", "name": "A. Example", "mass": "82 kg", "mass_with_tools": "95 kg", "role": ["authorised"]}
TRAINING = {
    "on": "2026-03-02", "topic": "all", "system": "harness", "trainer": "C. Example", "trainer_is": "competent",
    "signed_by": "C. Example", "signed_as": "trainer", "paper": "T-12",
}  # fmt: skip


@lru_cache(maxsize=4)
def plan_made(text: str, units: str) -> Any:
    """A plan as the process for long work would make it; once, since it takes seconds."""
    return tasks.plan(lambda *_told: None, text, {}, units)


def png(size: tuple[int, int] = (8, 8)) -> bytes:
    picture = io.BytesIO()
    Image.new("RGB", size, "white").save(picture, "PNG")
    return picture.getvalue()


def accepted(answer: Any) -> None:
    assert answer.status_code == 303, re.findall(r"<li>.*</li>", answer.text)


def fill_jobs(
    client: Any,
    text: str,
    *,
    note: str = "named anew",
    planned: str = EXAMPLE,
    units: tuple[str, ...] = ("metric", "us"),
) -> None:
    """Keep a job with two states, and beside both the plan of a text: of its own where that matters."""
    files = {"file": ("barn.toml", text, "application/toml")}
    accepted(client.send("/jobs/upload", files=files))
    changed = f"{text}\n# looked over\n"
    accepted(client.send("/jobs/1/text", {"text": changed, "note": note, "based_on": "1"}))
    store = client.app.state.store
    for one in units:
        made = plan_made(planned, one)
        plan, kept = Plan(made.content, made.map, __version__), PlanFiles(made.findings, made.pdf)
        for version in (1, 2):
            store.plans.keep(1, version, one, plan, kept, made.answer)


def fill_record(client: Any, words: str = "seen in the shop", name: str = "A. Example") -> None:
    """Keep a rope that was inspected and is out, a harness with a fault and its photo, and a person."""
    accepted(client.send("/gear/new", ROPE))
    answers = {f"answer {one.key}": "na" if one.may_not_apply else "ok" for one in points_of(gear_kinds()["rope"])}
    accepted(client.send("/gear/R-001/inspect", {**answers, "wear": "good", "competent": words, "whole": words}))
    accepted(client.send("/gear/R-001/do/start"))
    accepted(client.send("/gear/R-001/do/issue", {"to": "P-07", "job": words}))
    accepted(client.send("/gear/new", {"kind": "harness", "tag": "H-001", "made": "2025-02-01"}))
    points = points_of(gear_kinds()["harness"])
    answers = {f"answer {one.key}": "fault" for one in points} | {f"note {one.key}": words for one in points}
    files = {f"photo {points[0].key}": ("seam.png", png(), "image/png")}
    accepted(client.send("/gear/H-001/inspect", answers, files=files))
    accepted(client.send("/crew/new", {**PERSON, "name": name}))
    accepted(client.send("/crew/P-07/do/train", {**TRAINING, "trainer": f"C. {words}", "paper": words}))
    accepted(client.send("/crew/P-07/do/need", {"trigger": "systems", "note": words}))


def fill(client: Any) -> None:
    fill_jobs(client, EXAMPLE)
    fill_record(client)
