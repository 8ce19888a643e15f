"""The least single change that mends a finding: solved for, then assessed again to prove it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from ropewright.errors import InputError, InputErrors
from ropewright.findings import Finding, Remedy, Verdict
from ropewright.job.assessment import Assessment
from ropewright.job.changes import changed
from ropewright.job.model import Job
from ropewright.quantity import Dimension, show

__all__ = ["Change", "changes_for", "with_remedies"]


@dataclass(frozen=True, slots=True)
class Change:
    """One thing to do, and the fields of the job file that say it has been done."""

    text: str
    fields: tuple[tuple[str, object], ...]

    def made_in(self, raw: Mapping[str, object]) -> dict[str, object]:
        """Return a copy of the job file's tables with the change made."""
        result = dict(raw)
        for name, value in self.fields:
            result = changed(result, name, value)
        return result


def with_remedies(assessment: Assessment, again: Callable[[Mapping[str, object]], Assessment]) -> Assessment:
    """Attach to each finding that does not hold the first change that makes it hold.

    Parameters
    ----------
    assessment : Assessment
    again : callable
        Reads and assesses a job from its tables.

    Returns
    -------
    Assessment
        A finding without a remedy is one that no change tried here mends, or that only a person can answer.
    """
    job = assessment.job
    tried: dict[tuple[tuple[str, object], ...], Assessment | None] = {}

    def after(change: Change) -> Assessment | None:
        key = tuple((name, repr(value)) for name, value in change.fields)
        if key not in tried:
            try:
                tried[key] = again(change.made_in(job.raw))
            except (InputError, InputErrors):
                tried[key] = None  # the changed job can't be built: no remedy
        return tried[key]

    mended = tuple(_mended(finding, changes_for(assessment, finding), after) for finding in assessment.findings)
    return replace(assessment, findings=mended)


def _mended(finding: Finding, changes: Sequence[Change], after: Callable[[Change], Assessment | None]) -> Finding:
    for change in changes:
        result = after(change)
        if result is None:
            continue
        now = next((other for other in result.findings if other.id == finding.id), None)
        # A question that is not asked any more (an edge no longer reached) has nothing left to fail.
        verdict = Verdict.HOLDS if now is None else now.verdict
        if verdict is Verdict.HOLDS:
            fields = {name: value if isinstance(value, str) else _toml(value) for name, value in change.fields}
            return replace(
                finding,
                remedy=Remedy(change.text, fields, proven=True, verdict_after=verdict, job_after=result.verdict),
            )
    return finding


def _toml(value: object) -> str:
    """Value as it would stand in a job file."""
    return {True: "true", False: "false"}.get(value, str(value)) if isinstance(value, bool) else str(value)


def changes_for(assessment: Assessment, finding: Finding) -> tuple[Change, ...]:
    """Changes worth trying for a finding, the least first.

    Parameters
    ----------
    assessment : Assessment
    finding : Finding

    Returns
    -------
    tuple of Change
        Empty where the finding holds or where only a person can know.
    """
    within = finding.margin is not None and finding.margin >= 0
    if finding.verdict is Verdict.HOLDS or (finding.verdict is Verdict.ASK and within):
        return ()  # a met limit that must still be confirmed needs a person, not a change
    kind = finding.id.split("/")[0]
    offers = _OFFERS.get(kind)
    return tuple(offers(assessment, finding)) if offers else ()


Offers = Iterator[Change]


def _line_index(job: Job, name: str | None) -> int | None:
    return next((i for i, line in enumerate(job.lines) if line.name == name), None)


def _gear_key(job: Job, line: int, kind: str) -> str | None:
    """Path of the table of a line's rope, lanyard or grab."""
    lines = job.raw.get("line")
    if not isinstance(lines, list):
        return None
    name = lines[line].get(kind)
    return f'{kind}."{name}"' if isinstance(name, str) else f"line[{line}].{kind}" if name else None


def _at_edges(assessment: Assessment, finding: Finding) -> Offers:
    """Shorten the line; else let the grab trail; else both."""
    job, at = assessment.job, _line_index(assessment.job, finding.where.line)
    if at is None:
        return
    row = next((row for row in assessment.rig if row.worker == finding.where.worker), None)
    if row is not None and row.length_holds is not None and row.length_holds < row.length_set:
        stop = show(row.length_holds, Dimension.LENGTH, job.units, toward="low")
        yield Change(f"Tie the stopper of line {row.line} at {stop} from the anchor.", ((f"line[{at}].length", stop),))
    grab = _gear_key(job, at, "grab")
    if grab is not None and job.lines[at].grab is not None and not job.lines[at].grab.follows:  # type: ignore[union-attr]
        yield Change(
            f"On line {job.lines[at].name} use a rope grab that trails the worker, so that slack stays short.",
            ((f"{grab}.follows", True),),
        )


def _stronger(kind: str, field: str, text: str) -> Callable[[Assessment, Finding], Offers]:
    """Gear whose marked strength must rise to the limit."""

    def offers(assessment: Assessment, finding: Finding) -> Offers:
        job, at = assessment.job, _line_index(assessment.job, finding.where.line)
        if at is None or finding.limit is None:
            return
        need = show(finding.limit, Dimension.FORCE, job.units, toward="high")
        table = f"line[{at}]" if kind == "line" else _gear_key(job, at, kind)
        if table is not None:
            yield Change(text.format(need=need, line=job.lines[at].name), ((f"{table}.{field}", need),))

    return offers


def _rigged(assessment: Assessment, finding: Finding) -> Offers:
    """A made-up end instead of a knot; else a rope that is so much stronger."""
    job, at = assessment.job, _line_index(assessment.job, finding.where.line)
    if at is None:
        return
    line = job.lines[at]
    yield Change(
        f"Have line {line.name} ended by its maker, with a data sheet that states the strength of the whole assembly.",
        ((f"line[{at}].termination", "rated assembly"),),
    )
    rope = _gear_key(job, at, "rope")
    if rope is None or not finding.limit or not finding.low:
        return
    least = show(finding.limit, Dimension.FORCE, job.units, toward="high")
    as_new = show(max(finding.limit, line.rope.strength.low), Dimension.FORCE, job.units, toward="high")
    yield Change(
        f"Replace line {line.name} by a new one, ended by its maker, rated {least} or more as an assembly.",
        (
            (f"line[{at}].termination", "rated assembly"),
            (f"{rope}.condition", "new, dry"),
            (f"{rope}.strength", as_new),
            (f"{rope}.strength_basis", "maker's minimum"),
        ),
    )
    need = show(
        line.rope.strength.low * finding.limit / finding.low * (1 + 1e-9), Dimension.FORCE, job.units, toward="high"
    )
    yield Change(
        f"With this end, line {line.name} needs a rope of at least {need} minimum breaking strength.",
        ((f"{rope}.strength", need),),
    )


def _anchor(assessment: Assessment, finding: Finding) -> Offers:
    """An anchor that carries what is asked for, for as many as are tied to it."""
    job = assessment.job
    at = next((i for i, anchor in enumerate(job.anchors) if anchor.name == finding.where.anchor), None)
    if at is None or finding.limit is None or finding.dimension is not Dimension.FORCE:
        return
    users = sum(
        1
        for member in job.crew
        for line in job.lines
        if member.line == line.name and line.anchor == finding.where.anchor
    )
    need = show(
        finding.limit * (users if finding.id.startswith("anchor-strength") else 1),
        Dimension.FORCE,
        job.units,
        toward="high",
    )
    yield Change(
        f"Replace or strengthen anchor {job.anchors[at].name}: {need} ultimate, and have it confirmed.",
        ((f"anchor[{at}].strength", need), (f"anchor[{at}].basis", "ultimate")),
    )


def _told_of_line(field: str, text: str) -> Callable[[Assessment, Finding], Offers]:
    """Something to do to a line that the job file answers with true."""

    def offers(assessment: Assessment, finding: Finding) -> Offers:
        at = _line_index(assessment.job, finding.where.line)
        if at is not None:
            yield Change(text.format(line=assessment.job.lines[at].name), ((f"line[{at}].{field}", True),))

    return offers


def _grab_for_rope(assessment: Assessment, finding: Finding) -> Offers:
    at = _line_index(assessment.job, finding.where.line)
    grab = None if at is None else _gear_key(assessment.job, at, "grab")
    if grab is not None:
        text = f"Use a grab that its maker marks for the rope of line {finding.where.line}."
        yield Change(text, ((f"{grab}.fits_rope", True),))


def _synthetic(assessment: Assessment, finding: Finding) -> Offers:
    at = _line_index(assessment.job, finding.where.line)
    rope = None if at is None else _gear_key(assessment.job, at, "rope")
    if rope is not None:
        text = f"Use a polyester sheathed-core static rope for line {finding.where.line}."
        fields = (
            (f"{rope}.fibre", "polyester"),
            (f"{rope}.construction", "sheathed core"),
            (f"{rope}.stretch", "static"),
        )
        yield Change(text, fields)


def _opening(assessment: Assessment, finding: Finding) -> Offers:
    """Cover the opening so that it carries twice the heaviest worker, is fixed and is marked."""
    job = assessment.job
    at = next((i for i, opening in enumerate(job.roof.openings) if opening.name == finding.where.opening), None)
    if at is None:
        return
    need = show(2 * 9.80665 * max(worker.mass.high for worker in job.crew), Dimension.FORCE, job.units, toward="high")
    table = f"roof.opening[{at}]"
    fields = (
        (f"{table}.guard", "cover"),
        (f"{table}.cover_capacity", need),
        (f"{table}.cover_fixed", True),
        (f"{table}.cover_marked", True),
    )
    yield Change(
        f"Put a cover on {finding.where.opening} that carries {need} with what stands on it, fix it and mark it.",
        fields,
    )


def _own_line(assessment: Assessment, finding: Finding) -> Offers:
    """A line of their own for the second worker, like the one shared."""
    job, at = assessment.job, _line_index(assessment.job, finding.where.line)
    sharing = [i for i, member in enumerate(job.crew) if at is not None and member.line == job.lines[at].name]
    lines = job.raw.get("line")
    if at is None or len(sharing) != 2 or not isinstance(lines, list):
        return
    name = f"{job.lines[at].name}-2"
    yield Change(
        f"Give {job.crew[sharing[1]].name} a line of their own.",
        (("line", [*lines, {**lines[at], "name": name}]), (f"crew[{sharing[1]}].line", name)),
    )


_OFFERS: Mapping[str, Callable[[Assessment, Finding], Offers]] = {
    **dict.fromkeys(
        ("free-fall", "arrest-force", "deceleration", "clearance-book", "clearance-simulated", "swing", "power-line"),
        _at_edges,
    ),
    "line-strength": _stronger(
        "rope", "strength", "Use a rope of at least {need} minimum breaking strength for line {line}."
    ),
    "lanyard-strength": _stronger("lanyard", "strength", "Use a lanyard of at least {need} on line {line}."),
    "connector-strength": _stronger("line", "connector_strength", "Use connectors of at least {need} on line {line}."),
    "gate-strength": _stronger("line", "gate_strength", "Use connectors with gates of at least {need} on line {line}."),
    "rigged-strength": _rigged,
    "anchor-strength": _anchor,
    "anchor-force": _anchor,
    "users-per-line": _own_line,
    "line-protected": _told_of_line("edge_protection", "Pad every edge that line {line} runs over, and enter it."),
    "end-stop": _told_of_line("end_stop", "Tie a stopper in the end of line {line}."),
    "grab-for-line": _grab_for_rope,
    "synthetic": _synthetic,
    "opening-guard": _opening,
    "cover-factor": _opening,
    "cover-fixed": _opening,
    "cover-marked": _opening,
}
