"""Does the swing saw the rope: how far it is dragged along the edge under load, and under how much tension."""

from __future__ import annotations

import numpy as np

from ropewright.findings import Finding, Place, Source, SourceStatus, Verdict
from ropewright.job.ask_motion import BY_MOTION, unsolved_finding
from ropewright.job.asking import Question, answer_by_person
from ropewright.job.edge_answer import Asked
from ropewright.job.motions import FORCE, Followed
from ropewright.quantity import Dimension, show

__all__ = ["ask_about_sawing"]

#: Rope that moves less along the edge is not sawn. [m] Judgement: less than a rope's own width.
_STILL = 0.01
_NO_LIMIT = Source(
    "no document read gives a length or a tension at which an edge cuts rope", "", SourceStatus.JUDGEMENT
)
_DECIDE = (
    "A competent person looks at this edge over that length: flashing, gutter, tile or metal with a burr, anything "
    "that cuts. Pad it so that the pad stays under the rope, and enter edge_protection for the line."
)


def ask_about_sawing(asked: Asked, followed: tuple[Followed, ...]) -> Finding | None:
    """Finding about the rope that is dragged along the edge by the swing.

    Parameters
    ----------
    asked : Asked
    followed : tuple of Followed

    Returns
    -------
    Finding or None
        None where no fall was followed. It holds where the edges are told to be protected, or the rope hardly moves;
        no document read has a limit.
    """
    swings = next((one for one in followed if FORCE not in one.asked), None)
    if swings is None:
        return None
    m = swings.motions
    row = int(np.where(m.solved, m.drag_work, -1.0).argmax())
    i, rope, line = int(swings.point[row]), asked.rig.line.rope, asked.rig.line
    told: dict[str, float | str] = {
        "drag_m": float(m.drag_length[row]),
        "peak_tension_n": float(m.drag_peak_tension[row]),
        "work_n_m": float(m.drag_work[row]),
        "friction": swings.friction,
        "followed_s": float(m.time[row]),
        "energy_error": float(m.energy_error[row]),
        "rope": f"{rope.fibre} {rope.construction}, {rope.diameter * 1000:.1f} mm",
        "edge_protection": {True: "yes", False: "no", None: "not told"}[line.edge_protection],
    }
    at = asked.question("sawing", i, "", "", "", told)
    question = Question(
        at.id,
        "Is the loaded rope dragged along the edge by the swing?",
        "Rope dragged",
        at.where,
        "drag = way of the bend along the edge while the rope is loaded, at the least friction",
        told,
        (_NO_LIMIT, BY_MOTION),
    )
    return _answered(asked, question) if m.solved[row] else unsolved_finding(question)


def _answered(asked: Asked, question: Question) -> Finding:
    job, protected = asked.job, asked.rig.line.edge_protection
    drag, tension = float(question.inputs["drag_m"]), float(question.inputs["peak_tension_n"])
    where: Place = question.where
    if drag < _STILL:
        summary = f"The rope hardly moves along {where.edge} as the worker swings."
        return answer_by_person(question, Verdict.HOLDS, summary, value=drag)
    length = show(drag, Dimension.LENGTH, job.units, toward="high")
    pull = show(tension, Dimension.FORCE, job.units, toward="high")
    lead = f"Dragged {length} in all along {where.edge} under up to {pull}"
    if protected:
        return answer_by_person(
            question, Verdict.HOLDS, f"{lead}; the edges are told to be protected, over all of that.", value=drag
        )
    if protected is False:
        return answer_by_person(question, Verdict.FAILS, f"{lead}, over an edge that is not protected.", value=drag)
    return answer_by_person(
        question,
        Verdict.ASK,
        f"{lead}; whether the edge is protected is not told, and no limit is published.",
        decide=_DECIDE,
        value=drag,
    )
