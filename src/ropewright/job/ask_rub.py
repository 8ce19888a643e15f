"""Where the rope lies against the building between the anchor and the edges that rule: bends, walls and rims."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.findings import Finding, Verdict
from ropewright.job.asking import Question, answer_by_person
from ropewright.job.edge_answer import BY_GEOMETRY, Asked
from ropewright.quantity import Dimension, show
from ropewright.roof.path import TautPath, TautPaths

__all__ = ["Rub", "ask_about_rubbing", "rubs_of"]

Floats = NDArray[np.float64]

#: Rope this near a surface lies on it. [m] A rope's own radius and a little sag.
_TOUCHES = 0.02
#: A leg is looked at in so many places.
_PLACES = 17
#: A rope that turns less at a bend hardly bears there. [deg]
_SLIGHT = 1.0
#: Edges of the roof that are blunt as far as a roof goes; all others count as sharp until someone has looked.
_BLUNT = ("ridge", "hip", "break")
_DECIDE = (
    "A competent person looks at each of these places for what cuts or wears a rope, and pads it; then enter "
    "edge_protection for the line."
)


@dataclass(frozen=True)
class Rub:
    """One place where a taut rope bears on the building."""

    name: str
    turn: float  #: angle it turns there; 0 along a surface [deg]
    length: float  #: along a surface; 0 at a bend [m]
    sharp: bool  #: an eave, a rake, a rim or a wall rather than a ridge, a hip or the roofing


def rubs_of(path: TautPath, kinds: dict[str, str], over: Callable[[Floats], Floats]) -> Iterator[Rub]:
    """Each bend of a taut rope, and each length of it that lies on roofing or along a wall.

    Parameters
    ----------
    path : TautPath
        From the anchor to an edge.
    kinds : dict of str to str
        Type of each edge of the roof by its name.
    over : callable
        Height of the roof under plan points, shape (m, 2); -inf beside it. [m]

    Yields
    ------
    Rub
    """
    for name, turn in zip(path.edges, path.turn_deg.tolist(), strict=True):
        if turn >= _SLIGHT:
            first = (name or "").split(" / ")[0]
            blunt = kinds.get(first) in _BLUNT
            yield Rub(name or "an edge without a name", turn, 0.0, not blunt)
    share = (np.arange(_PLACES) + 0.5) / _PLACES
    roofing, wall = 0.0, 0.0
    for start, end in zip(path.points[:-1], path.points[1:], strict=True):
        at = start + share[:, None] * (end - start)
        length = float(np.linalg.norm(end - start))
        above = at[:, 2] - over(at[:, :2])
        roofing += length * float((np.abs(above) <= _TOUCHES).mean())
        wall += length * float(_along_wall(at, above, over).mean())
    if roofing > _TOUCHES:
        yield Rub("roofing", 0.0, roofing, sharp=False)
    if wall > _TOUCHES:
        yield Rub("a wall", 0.0, wall, sharp=True)


def _along_wall(at: Floats, above: Floats, over: Callable[[Floats], Floats]) -> NDArray[np.bool_]:
    """Places in the air with roof standing higher within a rope's width beside them: a wall goes up there."""
    beside = np.full(len(at), -np.inf)
    for x, y in ((1, 0), (-1, 0), (0, 1), (0, -1)):
        beside = np.maximum(beside, over(at[:, :2] + _TOUCHES * np.array([x, y])))
    return (above > _TOUCHES) & (beside > at[:, 2] + _TOUCHES)


def ask_about_rubbing(asked: Asked, paths: Callable[[], TautPaths], points: tuple[int, ...]) -> Finding | None:
    """Finding about the rope's way to the edge points that rule.

    Parameters
    ----------
    asked : Asked
    paths : callable
        Taut ropes of the rig's anchor.
    points : tuple of int
        Edge points to look at; that with the most sharp turns, then the most turn, is told.

    Returns
    -------
    Finding or None
        None where there is no point. The fall edge itself, which every rope bends over, is among the places.
    """
    if not points:
        return None
    kinds = {edge.name: str(edge.type) for edge in asked.job.roof.edges}
    ropes = paths()
    found = [(i, tuple(rubs_of(ropes.path(asked.edges.points[i]), kinds, ropes.solid.heights))) for i in points]
    i, rubs = max(found, key=lambda one: (sum(rub.sharp for rub in one[1]), sum(rub.turn for rub in one[1])))
    return _finding(asked, i, rubs)


def _finding(asked: Asked, i: int, rubs: tuple[Rub, ...]) -> Finding:
    protected, edge = asked.rig.line.edge_protection, asked.edges.names[asked.edges.edge[i]]
    turn = float(np.degrees(asked.over.turn[i]))
    inputs: dict[str, float | str] = {"edge_turn_deg": turn, "edge": edge}
    for k, rub in enumerate(rubs):
        inputs |= {f"at_{k + 1}": rub.name, f"turn_{k + 1}_deg": rub.turn, f"length_{k + 1}_m": rub.length}
    at = asked.question("rub", i, "", "", "", inputs)
    question = Question(
        at.id,
        "What does the rope bear on between the anchor and this edge?",
        "Rope",
        at.where,
        "taut rope from the anchor: bends with their turn, and lengths on a surface",
        inputs,
        (BY_GEOMETRY,),
    )
    places = [_told(asked, rub) for rub in rubs if rub.turn > 0 or rub.sharp]
    way = f"bears on {', '.join(places)} and " if places else ""
    lead = f"Taut, the rope {way}bends over {edge} by {turn:.0f} degrees as a body hangs there"
    if protected:
        return answer_by_person(question, Verdict.HOLDS, f"{lead}; its edges are told to be protected.")
    if protected is False:
        return answer_by_person(question, Verdict.FAILS, f"{lead}, and its edges are not protected.")
    return answer_by_person(question, Verdict.ASK, f"{lead}; whether they are protected is not told.", decide=_DECIDE)


def _told(asked: Asked, rub: Rub) -> str:
    if rub.turn > 0:
        return f"{rub.name} ({rub.turn:.0f} degrees)"
    return f"{rub.name} for {show(rub.length, Dimension.LENGTH, asked.job.units, toward='high')}"
