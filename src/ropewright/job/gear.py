"""Ropes, lanyards, grabs and lines of a job file, and the crew that hangs on them."""

from __future__ import annotations

from collections.abc import Mapping

from ropewright.errors import InputError
from ropewright.job.model import Absorber, CrewMember, Grab, Lanyard, Line, RopeSpec
from ropewright.job.reading import Table
from ropewright.quantity import Dimension, Range
from ropewright.rope.modulus import check_stiffness
from ropewright.rope.names import (
    canonical_basis,
    canonical_construction,
    canonical_fibre,
    canonical_stretch,
    canonical_termination,
    read_condition,
)
from ropewright.store.gear_words import read_tag

__all__ = ["crew_of", "grabs_of", "lanyards_of", "lines_of", "ropes_of"]

#: Ends between which a figure can be meant at all: past them it is a slip of the pen, such as kN for N. [SI]
_STRENGTH = (10.0, 1e6)
_NOTHING = Range.exact(0.0)
#: Most pieces that hold one worker.
_MOST_TAGS = 20
#: How rope beyond the stop may be told to be kept; the last is not kept at all.
_LOOSE_ROPE = ("in a bag", "in a bucket", "laid back and forth", "hung up", "lying out", "unknown")


def ropes_of(tables: Mapping[str, Table]) -> dict[str, RopeSpec]:
    """Ropes by their names; what was faulty is filled in and must not be used."""
    return {name: _rope(table) for name, table in tables.items()}


def _rope(table: Table) -> RopeSpec:
    rope = RopeSpec(
        fibre=table.word("fibre", canonical_fibre),
        construction=table.word("construction", canonical_construction),
        stretch=table.word("stretch", canonical_stretch),
        diameter=table.quantity("diameter", Dimension.LENGTH, (0.003, 0.06), required=True, unsafe="low") or 0.0,
        strength=table.spread("strength", Dimension.FORCE, _STRENGTH, required=True) or _NOTHING,
        strength_basis=table.word("strength_basis", canonical_basis),
        stiffness=table.spread("stiffness", Dimension.FORCE, (1e3, 1e8)),
        uv_inhibitor=table.flag("uv_inhibitor"),
        condition=table.word("condition", _condition),
        length=table.quantity("length", Dimension.LENGTH, (0.5, 1000.0), unsafe="low"),
    )
    _can_be_so_stiff(table, rope)
    table.close()
    return rope


def _can_be_so_stiff(table: Table, rope: RopeSpec) -> None:
    """Refuse a stiffness that no fibre can give at this diameter, a slip of the pen such as kN for N."""
    if rope.stiffness is None or rope.diameter <= 0:
        return
    try:
        check_stiffness(rope.stiffness.high, rope.diameter, table.where("stiffness"))
    except InputError as error:
        table.fault("stiffness", table.raw.get("stiffness"), error.expected)


def _condition(text: object, field: str) -> str:
    """Return the condition as it stands, if it can be read."""
    read_condition(text, field)
    return str(text)


def lanyards_of(tables: Mapping[str, Table]) -> dict[str, Lanyard]:
    """Lanyards by their names."""
    return {name: _lanyard(table) for name, table in tables.items()}


def _lanyard(table: Table) -> Lanyard:
    absorber = table.table("absorber")
    lanyard = Lanyard(
        length=table.quantity("length", Dimension.LENGTH, (0.0, 5.0), required=True, unsafe="high") or 0.0,
        strength=table.spread("strength", Dimension.FORCE, _STRENGTH),
        absorber=_absorber(absorber) if absorber else None,
    )
    table.close()
    return lanyard


def _absorber(table: Table) -> Absorber:
    absorber = Absorber(
        force=table.spread("force", Dimension.FORCE, (500.0, 2e4), required=True) or _NOTHING,
        length=table.spread("length", Dimension.LENGTH, (0.05, 4.0), required=True) or _NOTHING,
    )
    table.close()
    return absorber


def grabs_of(tables: Mapping[str, Table]) -> dict[str, Grab]:
    """Grabs by their names."""
    return {name: _grab(table) for name, table in tables.items()}


def _grab(table: Table) -> Grab:
    grab = Grab(
        lock=table.spread("lock", Dimension.LENGTH, (0.0, 2.0), required=True) or _NOTHING,
        slip=table.spread("slip", Dimension.LENGTH, (0.0, 4.0), required=True) or _NOTHING,
        slip_force=table.spread("slip_force", Dimension.FORCE, (500.0, 3e4)),
        follows=table.flag("follows") or False,
        fits_rope=table.flag("fits_rope"),
    )
    table.close()
    return grab


def lines_of(
    tables: list[Table],
    *,
    anchors: list[str],
    ropes: Mapping[str, RopeSpec],
    lanyards: Mapping[str, Lanyard],
    grabs: Mapping[str, Grab],
) -> list[Line]:
    """Lines with the gear they are made of; what a line names must be there, but for its anchor where there is none.

    Where a job has no anchor yet, neither has a line, and nobody knows how long it will be set.
    """
    return [_line(table, anchors, ropes, lanyards, grabs) for table in tables]


def _line(
    table: Table,
    anchors: list[str],
    ropes: Mapping[str, RopeSpec],
    lanyards: Mapping[str, Lanyard],
    grabs: Mapping[str, Grab],
) -> Line:
    rope = table.reference("rope", ropes, "give the name of a rope, as in [rope.NAME]")
    lanyard = table.reference("lanyard", lanyards, "give the name of a lanyard, as in [lanyard.NAME]")
    grab = table.reference("grab", grabs, "give the name of a grab, as in [grab.NAME]", required=False)
    line = Line(
        name=table.text("name", required="give the line a name"),
        anchor=table.reference("anchor", anchors, "give the name of an anchor", required=bool(anchors)),
        rope=ropes.get(rope, _NO_ROPE),
        length=table.quantity("length", Dimension.LENGTH, (0.0, 500.0), required=bool(anchors), unsafe="high") or 0.0,
        termination=table.word("termination", canonical_termination),
        lanyard=lanyards.get(lanyard, _NO_LANYARD),
        grab=grabs.get(grab),
        connector_strength=table.spread("connector_strength", Dimension.FORCE, _STRENGTH),
        gate_strength=table.spread("gate_strength", Dimension.FORCE, _STRENGTH),
        end_stop=table.flag("end_stop"),
        edge_protection=table.flag("edge_protection"),
        tag=table.word("tag", read_tag, default=""),
        gear=_tags(table),
        loose_rope=table.choice("loose_rope", _LOOSE_ROPE, default="unknown"),
    )
    _fits_on_rope(table, line)
    table.close()
    return line


def _tags(table: Table) -> tuple[str, ...]:
    """Tags of what else holds the worker on this line."""
    value = table.get("gear")
    if value is None:
        return ()
    if not isinstance(value, list) or len(value) > _MOST_TAGS:
        table.fault("gear", value, f"give a list of at most {_MOST_TAGS} tags, such as ['H-001', 'L-004']")
        return ()
    found = []
    for index, tag in enumerate(value):
        try:
            found.append(read_tag(tag, f"{table.where('gear')}[{index}]"))
        except InputError as error:
            table.faults.add(error.field, tag, error.expected)
    return tuple(dict.fromkeys(found))


def _fits_on_rope(table: Table, line: Line) -> None:
    """Refuse a line set longer than its rope is."""
    whole = line.rope.length
    if whole is not None and line.length > whole:
        table.fault("length", table.raw.get("length"), "the line is set longer than its whole rope is")


#: Stand in for gear with faults, so that reading can go on and find the other faults.
_NO_ROPE = RopeSpec("unknown", "unknown", "unknown", 0.0, _NOTHING, "unknown")
_NO_LANYARD = Lanyard(0.0, None)


def crew_of(tables: list[Table], *, lines: list[str]) -> list[CrewMember]:
    """Read the crew; two on one line is no fault of the file but a finding of the plan."""
    return [_member(table, lines) for table in tables]


def _member(table: Table, lines: list[str]) -> CrewMember:
    member = CrewMember(
        name=table.text("name", required="give the worker a name"),
        mass=table.spread("mass", Dimension.MASS, (30.0, 300.0), required=True) or _NOTHING,
        d_ring=table.quantity("d_ring", Dimension.LENGTH, (0.8, 2.0), required=True, unsafe="high") or 0.0,
        line=table.reference("line", lines, "give the name of the line this worker is on"),
        trained_on=table.day("trained_on"),
        person=table.word("person", read_tag, default=""),
    )
    table.close()
    return member
