"""What refuses a setting of a line: findings that fail and figures that are missed, nothing that a person decides."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from plain_jobs import plain

from ropewright.findings import Finding, Verdict
from ropewright.job import job_from_mapping, setting
from ropewright.job.edge_answer import Asked
from ropewright.job.rig import rigs_of
from ropewright.job.setting import moving_refusal, refusal
from ropewright.job.work import Work


def told(kind: str, verdict: Verdict, high: float | None = None) -> Finding:
    """A finding about the plain worker; with `high`, of a force up to so much. [N]"""
    low, likely = (None, None) if high is None else (0.8 * high, 0.9 * high)
    return Finding(f"{kind}/w", "?", verdict, "", value=likely, low=low, high=high)


@pytest.mark.parametrize(
    ("finding", "refuses"),
    [
        (told("contact", Verdict.HOLDS), False),
        (told("contact", Verdict.ASK), False),
        (told("contact", Verdict.DOUBTFUL), True),
        (told("contact", Verdict.FAILS), True),
        (told("motion-force", Verdict.ASK, high=5.9e3), False),
        (told("motion-force", Verdict.ASK, high=6.1e3), True),
        (told("rest", Verdict.ASK), False),
    ],
    ids=lambda one: f"{one.id} {one.verdict} {one.high or ''}" if isinstance(one, Finding) else "",
)
def test_what_a_person_decides_refuses_nothing_but_a_missed_figure_does(
    finding: Finding, refuses: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The figure is 6 kN: EN 363, arrest force on the body, as the pack for Europe and the United Kingdom has it."""

    def found(_asked: Asked, _work: Work) -> Iterator[Finding]:
        yield finding

    monkeypatch.setattr(setting, "moving_findings", found)
    raw = plain()
    job = job_from_mapping({**raw, "job": {**raw["job"], "rules": "eu-uk"}})  # type: ignore[dict-item]
    (rig,) = rigs_of(job)
    assert (moving_refusal(job, Work(), rig) is not None) == refuses


def test_a_line_that_ends_inside_the_margin_of_an_edge_is_refused() -> None:
    """The edge is 3 m away; 2.2 m and a lanyard of 0.5 m end 0.3 m short of it, where 0.6 m are kept."""
    for length, kind in (("1.9 m", None), ("2.2 m", "reach")):
        job = job_from_mapping(plain(line_0__length=length))
        (rig,) = rigs_of(job)
        found = refusal(job, Work(), rig)
        assert (found.id.split("/")[0] if found else None) == kind


def test_a_weak_anchor_refuses_a_setting_unless_it_is_excused() -> None:
    job = job_from_mapping(plain(line_0__length="1.9 m", anchor_0__strength="5 kN"))
    (rig,) = rigs_of(job)
    found = refusal(job, Work(), rig)
    assert found is not None
    assert found.id == "anchor-strength/a"
    assert refusal(job, Work(), rig, excused=frozenset({"anchor-strength"})) is None


def test_a_fall_along_the_edge_that_misses_a_figure_is_told_first() -> None:
    """Falls over the south eave on 3.5 m of line are free for too long."""
    job = job_from_mapping(plain(line_0__length="6 m"))
    (rig,) = rigs_of(job)
    found = refusal(job, Work(), rig)
    assert found is not None
    assert found.id == "free-fall/w"
