"""The job file: TOML text with units -> `Job` in SI, with every fault of the file told at once."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ropewright.errors import InputError, InputErrors
from ropewright.job.areas import areas_of
from ropewright.job.building import roof_of
from ropewright.job.gear import crew_of, grabs_of, lanyards_of, lines_of, ropes_of
from ropewright.job.model import Anchor, Answer, CrewMember, Job, Line, Rescue
from ropewright.job.openings import roof_with_openings
from ropewright.job.reading import Faults, Table
from ropewright.job.site import anchors_of, site_of
from ropewright.job.toml_file import read_toml
from ropewright.quantity import Dimension, Range, UnitSystem, parse_range
from ropewright.roof.surface import Roof
from ropewright.rules import Pack, find_fact, load_pack, read_fact
from ropewright.rules.facts import Told
from ropewright.store.gear_words import read_tag

__all__ = ["job_from_mapping", "read_job", "read_job_to_anchor"]

_HINT = "'ropewright new' writes one to start from"
#: What a job must have one of, with what to say where it has none: to find anchors for its lines, and to plan them.
_TO_ANCHOR = {key: f"a plan needs at least one; give it under a heading [[{key}]]" for key in ("line", "crew")}
_TO_PLAN = {
    "anchor": "this job has none to tie a line to; 'ropewright anchors' says where they must go and writes them into a "
    "job file, or give each under a heading [[anchor]]",
    **_TO_ANCHOR,
}
#: Most draws of the inputs; more would fill the memory of a small machine.
MOST_DRAWS = 100_000


def read_job(path: Path) -> Job:
    """Job described by a file.

    Parameters
    ----------
    path : Path
        A TOML file of at most 1 MiB; docs/job-file.md describes its fields.

    Returns
    -------
    Job
        SI throughout; `raw` holds the file as read.

    Raises
    ------
    FileError
        If the file is missing, no regular file, too large, not UTF-8, or broken; then with line and column.
    InputErrors
        All faults of the fields at once.
    """
    return job_from_mapping(read_toml(path, "a job file", hint=_HINT), path=path)


def read_job_to_anchor(path: Path) -> Job:
    """Job described by a file, which may have no anchors yet; see `read_job`.

    Parameters
    ----------
    path : Path

    Returns
    -------
    Job
        Where it has no anchors its lines name none, and have no length unless the file tells one.
    """
    return _job(read_toml(path, "a job file", hint=_HINT), path, needed=_TO_ANCHOR)


def job_from_mapping(raw: Mapping[str, object], *, path: Path | None = None) -> Job:
    """Job described by the tables of a job file.

    Parameters
    ----------
    raw : mapping
        As `tomllib` reads the file.
    path : Path, optional
        The file; names of files in it start at its folder, and errors name it.

    Returns
    -------
    Job

    Raises
    ------
    InputErrors
        All faults at once.
    """
    return _job(raw, path, needed=_TO_PLAN)


def _job(raw: Mapping[str, object], path: Path | None, *, needed: Mapping[str, str]) -> Job:
    faults = Faults()
    job = _read(raw, faults, path, needed)
    if job is not None and not faults.found:
        return job
    found = [error if error.source or path is None else error.located(str(path)) for error in faults.found]
    count = f"{len(found)} faults" if len(found) > 1 else "1 fault"
    raise InputErrors(f"{path}: {count}" if path else count, found)


def _read(raw: Mapping[str, object], faults: Faults, path: Path | None, needed: Mapping[str, str]) -> Job | None:
    """Read all there is, whatever is wrong with one part, so that every fault is found."""
    folder = path.parent if path else Path()
    top = Table(raw, "", faults)
    head = _section(top, "job", "give a heading [job] with name, units and rules")
    about, pack = _about(head), _pack(head, folder)
    head.close()
    settings, judged, facts = _settings(_section(top, "plan")), _judged(top), _facts(_section(top, "facts"))
    roof, slide_friction = _roof(top, folder)
    site = site_of(_section(top, "site"))
    anchors, lines, crew = _rigging(top, roof, needed)
    names = [anchor.name for anchor in anchors], [member.name for member in crew]
    areas = areas_of(top, roof, anchors=names[0], crew=names[1])
    top.close()
    if faults.found or roof is None or pack is None:
        return None
    fixed: dict[str, Any] = {"path": path, "raw": dict(raw), "notes": tuple(faults.notes), "facts": facts}
    fixed["slide_friction"] = slide_friction
    return Job(
        **about,
        **settings,
        **judged,
        **areas,
        **fixed,
        pack=pack,
        roof=roof,
        site=site,
        anchors=anchors,
        lines=lines,
        crew=crew,
    )


def _section(top: Table, key: str, required: str = "") -> Table:
    """Return a table of the file; an empty one where it is missing."""
    if required:
        top.require(key, required)
    return top.table(key) or Table({}, key, top.faults)


def _about(head: Table) -> dict[str, Any]:
    return {
        "name": head.text("name", required="give the job a name, such as 'Mill Lane house, re-roofing'"),
        "units": UnitSystem(head.choice("units", [units.value for units in UnitSystem])),
        "address": head.text("address"),
        "prepared_by": head.text("prepared_by"),
        "date": head.day("date"),
        "invented": head.flag("invented") or False,
    }


def _pack(head: Table, folder: Path) -> Pack | None:
    """Rules that the job goes by; a name of a pack, or a file of the user's own."""
    name = head.text("rules", required="give the name of a rules pack, such as 'us-construction', or a file")
    overlay = head.file("local_rules", folder) if head.get("local_rules") is not None else None
    if not name:
        return None
    own = folder / name
    try:
        return load_pack(own if name.endswith(".toml") else name, overlay=overlay)
    except InputErrors as errors:
        head.faults.found.extend(error for error in errors.exceptions if isinstance(error, InputError))
    except InputError as error:
        head.faults.found.append(error if error.source else type(error)(head.where("rules"), name, error.expected))
    return None


def _settings(plan: Table) -> dict[str, Any]:
    """How the plan is worked out; what is not given keeps the default of `Job`."""
    ends = {
        "spacing": (0.05, 2.0),
        "restraint_margin": (0.0, 3.0),
        "clearance_margin": (0.0, 3.0),
        "swing_drop_limit": (0.0, 20.0),
        "person_reach": (0.0, 3.0),
    }
    read: dict[str, Any] = {key: plan.quantity(key, Dimension.LENGTH, between) for key, between in ends.items()}
    read["d_ring_shift"] = plan.spread("d_ring_shift", Dimension.LENGTH, (0.0, 1.0))
    draws = plan.quantity("draws", Dimension.COUNT, (0.0, MOST_DRAWS))
    read["draws"] = None if draws is None else int(draws)
    plan.close()
    return {key: value for key, value in read.items() if value is not None}


def _judged(top: Table) -> dict[str, Any]:
    """Read what only people can say: is the roof sound, who brings down a hanging worker and how fast."""
    answers, rescue = _section(top, "answers"), _section(top, "rescue")
    sound = answers.table("roof_sound")
    answers.close()
    time = rescue.quantity("minutes", Dimension.TIME, (0.0, 86400.0), unsafe="high")
    minutes = None if time is None else time / 60
    plan = Rescue(rescue.text("method"), rescue.text("by"), minutes, rescue.word("person", read_tag, default=""))
    rescue.close()
    answer = Answer(sound.flag("yes"), sound.text("by"), sound.day("on")) if sound else Answer()
    if sound:
        sound.close()
    return {"roof_sound": answer, "rescue": plan}


def _roof(top: Table, folder: Path) -> tuple[Roof | None, Range | None]:
    """Roof with its openings, and how a body that slides on it rubs."""
    if not top.require("roof", "give a heading [roof] with the roof's form and outline"):
        return None, None
    table = top.table("roof")
    if table is None:
        return None, None
    openings, friction = table.tables("opening"), table.spread("slide_friction", Dimension.RATIO, (0.0, 2.0))
    roof = roof_with_openings(roof_of(table, folder), openings)
    table.close()
    return roof, friction


def _rigging(
    top: Table, roof: Roof | None, needed: Mapping[str, str]
) -> tuple[tuple[Anchor, ...], tuple[Line, ...], tuple[CrewMember, ...]]:
    anchor_tables, line_tables, crew_tables = (_some(top, key, needed) for key in ("anchor", "line", "crew"))
    anchors = anchors_of(anchor_tables, roof)
    lines = lines_of(
        line_tables,
        anchors=_names(anchor_tables),
        ropes=ropes_of(top.named_tables("rope")),
        lanyards=lanyards_of(top.named_tables("lanyard")),
        grabs=grabs_of(top.named_tables("grab")),
    )
    crew = crew_of(crew_tables, lines=_names(line_tables))
    _names(crew_tables)
    return tuple(anchors), tuple(lines), tuple(crew)


def _some(top: Table, key: str, needed: Mapping[str, str]) -> list[Table]:
    """Tables of a kind, at least one where they are needed."""
    tables = top.tables(key)
    if not tables and top.raw.get(key) in (None, []):
        if key in needed:
            top.fault(key, None, needed[key])
        top.faults.unread.add(key)
    return tables


def _names(tables: list[Table]) -> list[str]:
    """Names of tables; a name that is given twice is a fault of the later one."""
    names: list[str] = []
    for table in tables:
        name = table.raw.get("name")
        if isinstance(name, str) and name.strip():
            if name.strip() in names:
                table.fault("name", name, "this name is taken; give each one its own")
            names.append(name.strip())
    return names


def _facts(table: Table) -> dict[str, Told]:
    """Facts for the rules, each as the catalogue of facts takes it."""
    facts: dict[str, Told] = {}
    for key in table.raw:
        value, where = table.get(key), table.where(key)
        try:
            facts[key] = _fact(key, value, where)
        except InputError as error:
            table.faults.add(where, value, error.expected)
    return facts


def _fact(name: str, value: object, where: str) -> Told:
    dimension = find_fact(name).dimension
    # a figure needs its unit here, while between the layers a bare float is SI
    return read_fact(name, value if dimension is None else parse_range(value, dimension, where))
