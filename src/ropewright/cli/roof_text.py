"""What roofs a file holds, as data and as text."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence

from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.readers import BuildingRoof
from ropewright.roof import Facet, Roof
from ropewright.roof.facets import facet_area, facet_azimuth, facet_pitch, ring_area

__all__ = ["roofs_document", "roofs_text"]

_STATUS = ("read", "mended", "refused")
#: In text, facets after this many are left off, the largest first: a church has two hundred.
_MOST_FACETS = 40


def roofs_document(file: str, buildings: Sequence[BuildingRoof]) -> dict[str, object]:
    """Document of what was read, for programs.

    Parameters
    ----------
    file : str
        Name of the file.
    buildings : sequence of BuildingRoof

    Returns
    -------
    dict
        ``buildings`` with their facets, edges and openings; SI, lengths to a tenth of a millimetre, null for what
        is not known. Azimuths count from north, as the file tells it. Heights ``z_..._m`` and ``ground_m`` are the
        file's; ``eave_height_m`` is above that ground.
    """
    return {
        "file": file,
        "counts": {kind: sum(one.status == kind for one in buildings) for kind in _STATUS},
        "buildings": [_building(one) for one in buildings],
    }


def _building(building: BuildingRoof) -> dict[str, object]:
    roof = building.roof
    return {
        "id": building.id,
        "status": building.status,
        "notes": list(building.notes),
        "parts": list(building.parts),
        "lod": building.lod,
        "facets": [_facet(facet, roof, building.north) for facet in roof.facets] if roof else [],
        "edges": [
            {"type": edge.type.value, "length_m": _rounded(edge.length), "name": edge.name}
            for edge in (roof.edges if roof else ())
        ],
        "openings": [
            {"name": opening.name, "facet": opening.facet, "area_m2": _rounded(ring_area(opening.ring))}
            for opening in (roof.openings if roof else ())
        ],
        "ground_m": _rounded(building.ground),
        "eave_height_m": _rounded(building.eave_height),
    }


def _facet(facet: Facet, roof: Roof, north: float) -> dict[str, object]:
    azimuth = facet_azimuth(facet) + north
    heights = facet.ring[:, 2]
    return {
        "id": facet.id,
        "pitch_deg": _rounded(facet_pitch(facet)),
        "azimuth_deg": None if math.isnan(azimuth) else round(azimuth, 4) % 360.0,
        "area_m2": _rounded(_net_area(facet, roof)),
        "z_min_m": _rounded(float(heights.min())),
        "z_max_m": _rounded(float(heights.max())),
    }


def _net_area(facet: Facet, roof: Roof) -> float:
    """Area [m2] of a facet without the openings in it."""
    return facet_area(facet) - sum(ring_area(opening.ring) for opening in roof.openings if opening.facet == facet.id)


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 4) + 0.0


def roofs_text(file: str, buildings: Sequence[BuildingRoof], units: UnitSystem) -> str:
    """Text of what was read, for people: facets of each building, and edges by type with their total length.

    Parameters
    ----------
    file : str
        Name of the file.
    buildings : sequence of BuildingRoof
    units : UnitSystem

    Returns
    -------
    str
        A note that every building has stands once, at the end.
    """
    common = _common_notes(buildings)
    number = {kind: sum(one.status == kind for one in buildings) for kind in _STATUS}
    counts = ", ".join(f"{count} {kind}" for kind, count in number.items())
    lines = [_printable(f"{file}: {len(buildings)} {'building' if len(buildings) == 1 else 'buildings'}: {counts}")]
    for building in buildings:
        lines += ["", *map(_printable, _building_lines(building, common, units))]
    if common:
        lines += ["", "For every building:", *(f"  - {note}" for note in common)]
    return "\n".join(lines)


def _printable(line: str) -> str:
    """Line without what a stranger's file may use to write over the terminal."""
    return "".join(letter if letter.isprintable() else "\ufffd" for letter in line)


def _common_notes(buildings: Sequence[BuildingRoof]) -> tuple[str, ...]:
    usable = [one.notes for one in buildings if one.roof is not None]
    if len(usable) < 2:
        return ()
    return tuple(note for note in usable[0] if all(note in notes for notes in usable))


def _building_lines(building: BuildingRoof, common: Sequence[str], units: UnitSystem) -> Iterator[str]:
    yield f"{building.id}: {building.status}"
    if building.roof is not None:
        height = building.eave_height
        if height is not None:
            yield f"  eave {show(height, Dimension.LENGTH, units)} above the ground"
        yield from _facet_lines(building.roof, building.north, units)
        yield from _edge_lines(building.roof, units)
    for note in building.notes:
        if note not in common:
            yield f"  - {note}"


def _facet_lines(roof: Roof, north: float, units: UnitSystem) -> Iterator[str]:
    facets = sorted(roof.facets, key=lambda facet: -facet_area(facet))
    yield f"  {len(facets)} facets:"
    for facet in facets[:_MOST_FACETS]:
        pitch, azimuth = facet_pitch(facet), facet_azimuth(facet) + north
        rise = 12.0 * math.tan(math.radians(pitch))
        facing = "level" if math.isnan(azimuth) else f"facing {round(azimuth) % 360:3d} deg"
        area = show(_net_area(facet, roof), Dimension.AREA, units)
        yield f"    {pitch:5.1f} deg ({rise:.1f} in 12)  {facing:<14}  {area:>10}  {facet.id}"
    if len(facets) > _MOST_FACETS:
        rest = sum(_net_area(facet, roof) for facet in facets[_MOST_FACETS:])
        yield f"    and {len(facets) - _MOST_FACETS} smaller ones, together {show(rest, Dimension.AREA, units)}"


def _edge_lines(roof: Roof, units: UnitSystem) -> Iterator[str]:
    lengths: defaultdict[str, list[float]] = defaultdict(list)
    for edge in roof.edges:
        lengths[edge.type.value].append(edge.length)
    yield "  edges:"
    for kind, some in lengths.items():
        yield f"    {kind:<10} {len(some):4d}  together {show(sum(some), Dimension.LENGTH, units)}"
    for opening in roof.openings:
        yield f"  {opening.name}: unguarded, {show(ring_area(opening.ring), Dimension.AREA, units)}"
