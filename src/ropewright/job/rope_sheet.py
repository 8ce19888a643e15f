"""Facts of one line's sheet: what it is, how it is ended, its length, how it is put away, when it goes to the bin."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ropewright.errors import InputError
from ropewright.findings import Source, SourceStatus
from ropewright.job.line_ends import Part, end_parts, stopper_parts, tied_end
from ropewright.job.line_strength import line_strength
from ropewright.job.model import Job, Line
from ropewright.job.reading import nearest_name
from ropewright.rope.knots import TiedKnot
from ropewright.rope.made_ends import Said, made_end
from ropewright.rope.material import suitability
from ropewright.rope.service import FOUND, RETIRE
from ropewright.rope.stow import Stowed, Way, rope_mass, stow
from ropewright.rope.strength import StrengthChain, WorkingLoad
from ropewright.rope.termination import EndKind, terminations
from ropewright.rope.today import Allowed, RuleFigure, allowed_today
from ropewright.rules.line_figures import figures_asked, working_load_by

__all__ = ["RopeSheet", "rope_sheet"]

_REMOVE = Source("29 CFR 1926 Subpart M App C", "II(g)", SourceStatus.READ)
_JUDGED = Source("judgement of this project", "", SourceStatus.JUDGEMENT)

#: What to look for at an end, beside what is looked for along the rope.
_LOOK_AT_END: dict[EndKind, str] = {
    EndKind.KNOT: "dressed, drawn down hard, its tails as long as on this sheet",
    EndKind.SPLICE: "no tuck drawn, no tail shorter than six diameters, thimble tight",
    EndKind.SEWN: "no stitch cut, pulled or worn, thimble tight",
    EndKind.FITTING: "nothing cracked, bent, rusted or loose; its label can be read",
}


@dataclass(frozen=True)
class RopeSheet:
    """What one line's sheet says; lengths in m, forces in N.

    Parameters
    ----------
    job : Job
    line : Line
    workers : tuple of str
        Who is tied to it.
    allowed : Allowed
        Whether it may be a lifeline as it is.
    chain : StrengthChain
    asked : RuleFigure, optional
        What the rules ask of it as it is tied.
    work : WorkingLoad
    parts : tuple of Part
        Of the length that the line needs.
    not_counted : str
        Part whose rope nobody has told; empty: none.
    tied : TiedKnot, optional
        Knot at its end, where it is one that is drawn.
    ending : tuple of (str, Source)
        What to see to at its end.
    way : Way
    stowed : Stowed
        Of the whole rope, or of what the line needs where that is not told.
    look_for : tuple of (str, str, Source)
        What, what it looks like.
    retire : tuple of (str, Source)
    """

    job: Job
    line: Line
    workers: tuple[str, ...]
    allowed: Allowed
    chain: StrengthChain
    asked: RuleFigure | None
    work: WorkingLoad
    parts: tuple[Part, ...]
    not_counted: str
    tied: TiedKnot | None
    ending: tuple[Said, ...]
    way: Way
    stowed: Stowed
    look_for: tuple[tuple[str, str, Source], ...]
    retire: tuple[Said, ...]

    @property
    def length(self) -> float:
        """All parts together. [m]"""
        return sum(part.length for part in self.parts)

    @property
    def stowed_length(self) -> float:
        """Rope that is put away. [m]"""
        return self.line.rope.length or self.length


def rope_sheet(
    job: Job, name: str, *, way: Way | None = None, end: float | None = None, container: float | None = None
) -> RopeSheet:
    """Facts of one line's sheet.

    Parameters
    ----------
    job : Job
    name : str
        Of the line.
    way : Way, optional
        How it is put away; None: as the job tells, else straight into a container.
    end : float, optional
        Rope that its end takes, from its maker; needed to count an end that is no drawn knot. [m]
    container : float, optional
        Inside, above 0. [m3]

    Returns
    -------
    RopeSheet

    Raises
    ------
    InputError
        If the job has no line of this name.
    """
    lines = {line.name: line for line in job.lines}
    if name not in lines:
        raise InputError("--line", name, f"the job has no line of this name, {nearest_name(name, lines)}")
    line, rope = lines[name], lines[name].rope
    chain = line_strength(line, job.pack)
    asked, knotted = figures_asked(job.pack, line.termination)
    suited = suitability(rope.fibre, rope.construction, rope.stretch, uv_inhibitor=rope.uv_inhibitor)
    allowed, work = allowed_today(chain, asked, knotted, suited, working_load_by(job.pack, chain.as_new))
    parts, tied = tuple(_parts(line, end)), tied_end(line)
    way = way or (Way.BACK_AND_FORTH if line.loose_rope == "laid back and forth" else Way.STRAIGHT_IN)
    mass = rope_mass(rope.fibre, rope.construction, rope.stretch, rope.diameter)
    whole = rope.length or sum(part.length for part in parts)
    kind = terminations()[line.termination].kind
    return RopeSheet(
        job=job,
        line=line,
        workers=tuple(member.name for member in job.crew if member.line == name),
        allowed=allowed[0],
        chain=chain,
        asked=knotted or asked,
        work=work,
        parts=parts,
        not_counted="" if end is not None or tied is not None else f"what its {_called(line)} takes",
        tied=tied,
        ending=() if tied is not None else made_end(terminations()[line.termination], rope.diameter).said,
        way=way,
        stowed=stow(whole, rope.diameter, mass, way, container),
        look_for=tuple(_look_for(kind)),
        retire=RETIRE,
    )


def _called(line: Line) -> str:
    return "end, which nobody has named," if line.termination == "unknown" else line.termination


def _parts(line: Line, end: float | None) -> Iterator[Part]:
    yield Part("anchor to stop", line.length)
    known = end is not None or tied_end(line) is not None
    ends = ("end at the anchor",) if line.grab is not None else ("end at the anchor", "end at the lanyard")
    for one in ends if known else ():
        yield from end_parts(one, line, end=end)
    if line.grab is not None:
        yield from stopper_parts(line)


def _look_for(kind: EndKind) -> Iterator[tuple[str, str, Source]]:
    for what, looks in FOUND.items():
        yield what, looks, _REMOVE
    if kind in _LOOK_AT_END:
        yield "its end", _LOOK_AT_END[kind], _JUDGED
