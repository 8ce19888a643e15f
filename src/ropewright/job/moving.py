"""Everything that falls followed in three dimensions and the rope's way to them say of one worker."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ropewright.findings import Finding
from ropewright.job.ask_motion import ask_about_motion
from ropewright.job.ask_rub import ask_about_rubbing
from ropewright.job.ask_saw import ask_about_sawing
from ropewright.job.assessment import FollowedFall
from ropewright.job.edge_answer import Asked
from ropewright.job.motions import Followed
from ropewright.job.work import Work

__all__ = ["KINDS", "followed_falls", "moving_findings"]

#: Kinds of the findings made here. They take the longest to work out, and remedies of others are tried without them.
KINDS = ("contact", "rest", "motion-force", "sawing", "rub")


def moving_findings(asked: Asked, work: Work) -> Iterator[Finding]:
    """Findings of `KINDS` for one worker; none where no edge is reached.

    Parameters
    ----------
    asked : Asked
    work : Work
        Keeps what was followed, for as long as rig, roof and site stay the same.

    Yields
    ------
    Finding
    """
    followed = work.followed(asked)
    yield from ask_about_motion(asked, followed)
    points = tuple(dict.fromkeys(int(i) for one in followed for i in one.point))
    for found in (
        ask_about_sawing(asked, followed),
        ask_about_rubbing(asked, lambda: work.paths(asked.job, asked.rig), points),
    ):
        if found is not None:
            yield found


def followed_falls(asked: Asked, followed: tuple[Followed, ...]) -> Iterator[FollowedFall]:
    """What sheets may show of each fall that was followed.

    Parameters
    ----------
    asked : Asked
    followed : tuple of Followed
    """
    for one in followed:
        m = one.motions
        for row, i in enumerate(one.point.tolist()):
            yield FollowedFall(
                worker=asked.rig.worker.name,
                line=asked.rig.line.name,
                edge=asked.edges.names[asked.edges.edge[i]],
                point=asked.edges.points[i],
                asked=one.asked[row],
                outcome=m.outcomes[row].name.lower().replace("_", " "),
                slide_speed=float(one.speed[row]),
                peak_force=float(m.peak_force[row]),
                met=one.met[row] if m.solved[row] else "",
                met_place=m.met_place[row],
                met_speed=float(m.met_speed[row]),
                wall_place=m.wall_place[row],
                wall_speed=float(m.wall_speed[row]),
                hang=m.hang[row],
                rest_time=float(m.rest_time[row]),
                drag=float(m.drag_length[row]),
                drag_tension=float(m.drag_peak_tension[row]),
                solved=bool(np.asarray(m.solved)[row]),
            )
