"""Changes that may mend a finding, each put into words and into fields of the job file; none is proven here."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from ropewright.findings import Finding, Verdict
from ropewright.job.ask_site import opening_of
from ropewright.job.longest import Stops
from ropewright.job.model import Job, Line
from ropewright.quantity import Dimension, show

__all__ = ["Case", "Change", "offers_for"]

#: Standard gravity. [m/s2] (CGPM 1901, exact by convention)
_G = 9.80665
#: An absorber that opens at less than this many times the weight stops nobody within a length to be had. [-]
_LEAST_EXCESS = 1.5


@dataclass(frozen=True, slots=True)
class Change:
    """One thing to do, and the fields of the job file that say it has been done."""

    text: str
    fields: tuple[tuple[str, object], ...]


Offers = Iterator[Change]


@dataclass(frozen=True)
class Case:
    """A finding to mend, in its job."""

    job: Job
    finding: Finding
    stops: Mapping[str, Stops]

    @property
    def at(self) -> int | None:
        """Number of the line it is about."""
        return next((i for i, line in enumerate(self.job.lines) if line.name == self.finding.where.line), None)

    @property
    def line(self) -> Line | None:
        """The line it is about."""
        return None if self.at is None else self.job.lines[self.at]

    def gear(self, kind: str) -> str | None:
        """Path of the table of the line's rope, lanyard or grab."""
        lines = self.job.raw.get("line")
        if not isinstance(lines, list) or self.at is None:
            return None
        name = lines[self.at].get(kind)
        return f'{kind}."{name}"' if isinstance(name, str) else f"line[{self.at}].{kind}" if name else None

    def force(self, value: float) -> str:
        """Text of a force that must be had at least, as it would stand in the file."""
        return show(value, Dimension.FORCE, self.job.units, toward="high")


def offers_for(case: Case) -> Offers:
    """Changes worth trying for a finding, the least first.

    Parameters
    ----------
    case : Case

    Yields
    ------
    Change
    """
    finding = case.finding
    within = finding.margin is not None and finding.margin >= 0
    if finding.verdict is Verdict.ASK and within:  # a met limit that must still be confirmed needs a person, no change
        yield from _rim(case)  # but nobody need know the floor under an opening that is closed
        return
    kind = finding.id.split("/")[0]
    fact = finding.formula.split(" is ")[0]
    by_rope = (offers for start, offers in _BY_ROPE.items() if kind.startswith(start))
    offers = _BY_KIND.get(kind) or _BY_FACT.get(fact) or next(by_rope, None)
    if offers is not None:
        yield from offers(case)


# falls ---------------------------------------------------------------------------------------------------------------


def _at_edges(case: Case) -> Offers:
    """Cover the opening; shorten the line; let the grab trail; take an absorber."""
    yield from _rim(case)
    yield from _shorter(case)
    line, grab = case.line, case.gear("grab")
    if line is None:
        return
    if grab is not None and line.grab is not None and not line.grab.follows:
        yield Change(
            f"On line {line.name} use a rope grab that trails the worker, so that slack stays short.",
            ((f"{grab}.follows", True),),
        )
    if case.finding.id.startswith(("arrest-force/", "motion-force/")):
        yield from _absorber(case, line)


def _shorter(case: Case) -> Offers:
    kind, worker = case.finding.id.split("/")[0], case.finding.where.worker or ""
    if case.line is None or worker not in case.stops:
        return
    stops = case.stops[worker]
    for stop in dict.fromkeys((stops.by_kind.get(kind), stops.all)):
        if stop is not None and stop < case.line.length:
            shown = show(stop, Dimension.LENGTH, case.job.units, toward="low")
            yield Change(
                f"Tie the stopper of line {case.line.name} at {shown} from the anchor.",
                ((f"line[{case.at}].length", shown),),
            )


def _absorber(case: Case, line: Line) -> Offers:
    """An absorber that takes up the whole fall: a longer one, or one at half the force allowed where there is none."""
    lanyard, limit, had = case.gear("lanyard"), case.finding.limit, line.lanyard.absorber
    fall, mass = case.finding.inputs.get("fall_m"), case.finding.inputs.get("m_kg")
    if lanyard is None or limit is None or not isinstance(fall, float) or not isinstance(mass, float):
        return
    weight, force = mass * _G, had.force.low if had else limit / 2
    if force <= _LEAST_EXCESS * weight:  # such an absorber would open for ever
        return
    # m g (h + d) = F d, with a tenth more length than that
    opens = show(1.1 * weight * fall / (force - weight), Dimension.LENGTH, case.job.units, toward="high")
    if had:
        yield Change(
            f"Use a lanyard on line {line.name} whose energy absorber can open by at least {opens} at the same force.",
            ((f"{lanyard}.absorber.length", opens),),
        )
        return
    at = show(force, Dimension.FORCE, case.job.units, toward="low")
    yield Change(
        f"Use a lanyard on line {line.name} with an energy absorber that opens at {at} and by at least {opens}.",
        ((f"{lanyard}.absorber", {"force": at, "length": opens}),),
    )


def _rim(case: Case) -> Offers:
    if case.finding.where.edge and opening_of(case.job, case.finding.where.edge):
        yield from _opening(case)


def _restrained(case: Case) -> Offers:
    """Shorten the line until the margin to the edge is kept."""
    line, margin = case.line, case.finding.margin
    if line is None or margin is None or line.length + margin < 0:
        return
    stop = show(line.length + margin, Dimension.LENGTH, case.job.units, toward="low")
    yield Change(
        f"Tie the stopper of line {line.name} at {stop} from the anchor, so that no edge is reached.",
        ((f"line[{case.at}].length", stop),),
    )


# gear ----------------------------------------------------------------------------------------------------------------


def _stronger(kind: str, field: str, text: str) -> Callable[[Case], Offers]:
    """Gear whose marked strength must rise until what is left of it meets the limit."""

    def offers(case: Case) -> Offers:
        finding, line = case.finding, case.line
        table = f"line[{case.at}]" if kind == "line" else case.gear(kind)
        if line is None or table is None or finding.limit is None:
            return
        need = finding.limit
        if finding.id.startswith("line-strength/") and finding.low:
            # an average is taken down to a minimum first
            need = max(need, need * line.rope.strength.low / finding.low * (1 + 1e-9))
        shown = case.force(need)
        yield Change(text.format(need=shown, line=line.name), ((f"{table}.{field}", shown),))

    return offers


def _working_load(case: Case) -> Offers:
    """A rope of which a worker's weight is a small enough share."""
    finding, line, rope = case.finding, case.line, case.gear("rope")
    if line is None or rope is None or not finding.limit or finding.high is None:
        return
    need = case.force(line.rope.strength.low * finding.high / finding.limit * (1 + 1e-9))
    yield Change(
        f"Use a rope of at least {need} minimum breaking strength for line {line.name}.",
        ((f"{rope}.strength", need),),
    )


def _rigged(case: Case) -> Offers:
    """A made-up end instead of a knot; else a new line of enough strength as an assembly; else a stronger rope."""
    finding, line, rope = case.finding, case.line, case.gear("rope")
    if line is None:
        return
    yield Change(
        f"Have line {line.name} ended by its maker, with a data sheet that states the strength of the whole assembly.",
        ((f"line[{case.at}].termination", "rated assembly"),),
    )
    if rope is None or not finding.limit:
        return
    least, as_new = case.force(finding.limit), case.force(max(finding.limit, line.rope.strength.low))
    yield Change(
        f"Replace line {line.name} by a new one, ended by its maker, rated {least} or more as an assembly.",
        (
            (f"line[{case.at}].termination", "rated assembly"),
            (f"{rope}.condition", "new, dry"),
            (f"{rope}.strength", as_new),
            (f"{rope}.strength_basis", "maker's minimum"),
        ),
    )
    if finding.low:
        need = case.force(line.rope.strength.low * finding.limit / finding.low * (1 + 1e-9))
        yield Change(
            f"With this end, line {line.name} needs a rope of at least {need} minimum breaking strength.",
            ((f"{rope}.strength", need),),
        )


def _other_rope(field: str, value: str, text: str) -> Callable[[Case], Offers]:
    """A rope of another kind, at least as strong; not where the stretch of the one in use was measured."""

    def offers(case: Case) -> Offers:
        rope, line = case.gear("rope"), case.line
        if rope is not None and line is not None and line.rope.stiffness is None:
            yield Change(text.format(line=line.name), ((f"{rope}.{field}", value),))

    return offers


def _new_rope(case: Case) -> Offers:
    rope, line = case.gear("rope"), case.line
    if rope is not None and line is not None:
        yield Change(f"Replace the rope of line {line.name} by a new one.", ((f"{rope}.condition", "new, dry"),))


def _told_of_line(field: str, text: str, value: object = True) -> Callable[[Case], Offers]:
    """Something to do to a line that the job file answers with true, or another value."""

    def offers(case: Case) -> Offers:
        if case.line is not None:
            yield Change(text.format(line=case.line.name), ((f"line[{case.at}].{field}", value),))

    return offers


def _grab_for_rope(case: Case) -> Offers:
    grab = case.gear("grab")
    if grab is not None and case.line is not None:
        text = f"Use a grab that its maker marks for the rope of line {case.line.name}."
        yield Change(text, ((f"{grab}.fits_rope", True),))


def _own_line(case: Case) -> Offers:
    """A line of their own, like the one shared, for everybody on it but the first."""
    job, line, lines = case.job, case.line, case.job.raw.get("line")
    if line is None or case.at is None or not isinstance(lines, list):
        return
    second = [i for i, member in enumerate(job.crew) if member.line == line.name][1:]
    taken = {one.name for one in job.lines}
    names = [name for number in range(2, 100) if (name := f"{line.name}-{number}") not in taken][: len(second)]
    who = " and ".join(job.crew[i].name for i in second)
    more = [{**lines[case.at], "name": name} for name in names]
    fields = ((f"crew[{i}].line", name) for i, name in zip(second, names, strict=True))
    yield Change(f"Give {who} a line of their own.", (("line", [*lines, *more]), *fields))


# anchors and openings ------------------------------------------------------------------------------------------------


def _anchor(case: Case) -> Offers:
    """An anchor that carries what is asked for, for as many as are tied to it."""
    job, finding = case.job, case.finding
    at = next((i for i, anchor in enumerate(job.anchors) if anchor.name == finding.where.anchor), None)
    if at is None or finding.limit is None or finding.dimension is not Dimension.FORCE or not finding.low:
        return
    if not math.isfinite(finding.limit):
        return
    # the finding's value may be one worker's share of the anchor's strength
    need = case.force(finding.limit * job.anchors[at].strength.low / finding.low)
    yield Change(
        f"Replace or strengthen anchor {job.anchors[at].name}: {need} {job.anchors[at].basis}, and have it confirmed.",
        ((f"anchor[{at}].strength", need),),
    )


def _opening(case: Case) -> Offers:
    """Cover the opening so that it carries twice the heaviest worker, is fixed and is marked."""
    job, where = case.job, case.finding.where
    rim = opening_of(job, where.edge) if where.edge else None
    name = rim.name if rim else where.opening
    at = next((i for i, opening in enumerate(job.roof.openings) if opening.name == name), None)
    if at is None:
        return
    need = case.force(2 * _G * max(worker.mass.high for worker in job.crew))
    table = f"roof.opening[{at}]"
    yield Change(
        f"Put a cover on {name} that carries {need} with what stands on it, fix it and mark it.",
        (
            (f"{table}.guard", "cover"),
            (f"{table}.cover_capacity", need),
            (f"{table}.cover_fixed", True),
            (f"{table}.cover_marked", True),
        ),
    )


_FALLS = (
    "free-fall", "arrest-force", "deceleration", "clearance-book", "clearance-simulated", "swing", "power-line", "step"
)  # fmt: skip
_POLYESTER = _other_rope("fibre", "polyester", "Use a rope of polyester, at least as strong, for line {line}.")
_CORED = _other_rope("construction", "sheathed core", "Use a sheathed-core rope, at least as strong, for line {line}.")
_STATIC = _other_rope("stretch", "static", "Use a static rope, at least as strong, for line {line}.")

#: By the first part of a finding's id.
_PADDED = _told_of_line("edge_protection", "Pad every edge that line {line} runs over, and enter it.")

_BY_KIND: Mapping[str, Callable[[Case], Offers]] = {
    "loose-rope": _told_of_line("loose_rope", "Keep the rope of line {line} beyond its stop in a bag.", "in a bag"),
    **dict.fromkeys((*_FALLS, "contact", "motion-force"), _at_edges),
    **dict.fromkeys(("sawing", "rub"), _PADDED),
    "reach": _restrained,
    "line-strength": _stronger(
        "rope", "strength", "Use a rope of at least {need} minimum breaking strength for line {line}."
    ),
    "lanyard-strength": _stronger("lanyard", "strength", "Use a lanyard of at least {need} on line {line}."),
    "connector-strength": _stronger("line", "connector_strength", "Use connectors of at least {need} on line {line}."),
    "gate-strength": _stronger("line", "gate_strength", "Use connectors with gates of at least {need} on line {line}."),
    "working-load": _working_load,
    "rigged-strength": _rigged,
    "anchor-strength": _anchor,
    "anchor-force": _anchor,
    "users-per-line": _own_line,
    "opening-guard": _opening,
    "cover-factor": _opening,
}

#: What a rope is and has been through, by how the id begins.
_BY_ROPE: Mapping[str, Callable[[Case], Offers]] = {
    "rope-fibre": _POLYESTER,
    "rope-sunlight": _POLYESTER,
    "rope-construction": _CORED,
    "rope-stretch": _STATIC,
    "rope-condition": _new_rope,
    "rope-edge": _PADDED,
}

#: By the fact that a yes-or-no question of the pack is about; packs give these questions ids of their own.
_BY_FACT: Mapping[str, Callable[[Case], Offers]] = {
    "line_padded": _PADDED,
    "end_stop": _told_of_line("end_stop", "Tie a stopper in the end of line {line}."),
    "grab_marked_for_line": _grab_for_rope,
    "took_fall": _new_rope,
    "cover_fixed": _opening,
    "cover_marked": _opening,
}
