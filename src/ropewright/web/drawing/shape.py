"""What the drawing is sent: the roof, the falls along its edges and the zones, in SI, as plain JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import QuantityError
from ropewright.findings import Verdict
from ropewright.quantity import Dimension, parse_quantity

if TYPE_CHECKING:
    from ropewright.arrest.motion_history import MotionHistory
    from ropewright.job.assess import Worked
    from ropewright.job.assessment import EdgeField, ZoneField
    from ropewright.job.model import Job
    from ropewright.roof.surface import Roof

__all__ = ["TABLES", "fall_shape", "lengths_in", "live_shape", "tables_of"]

#: Tables of a job file that the drawing shows and changes.
TABLES = ("roof", "anchor", "site", "area", "no_anchor", "framing", "line", "crew")

#: One letter a verdict, so that a field of a thousand points stays small.
_LETTERS = {None: "n", Verdict.HOLDS: "h", Verdict.DOUBTFUL: "d", Verdict.ASK: "a", Verdict.FAILS: "f"}
_ZONES = {"restrained": "r", "caught": "c", "not held": "x", "out of reach": "o"}

#: A fall that ends before this with more than this speed has met something. [s], [m/s]
_LONGEST, _STILL = 7.9, 0.3

#: Moments of a fall that are sent at most; a picture shows no more.
_MOMENTS = 700


def tables_of(raw: Mapping[str, Any]) -> dict[str, Any]:
    """Tables that the drawing changes, as JSON can hold them: days as text."""
    return {name: _plain(raw[name]) for name in TABLES if name in raw}


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_plain(one) for one in value]
    return value if isinstance(value, (str, int, float, bool)) else str(value)


def lengths_in(tables: Mapping[str, Any]) -> dict[str, float]:
    """Every length in these tables by its path, in metres.

    Examples
    --------
    >>> lengths_in({"anchor": [{"name": "west", "at": ["2 m", "1 ft"]}]})
    {'anchor[0].at[0]': 2.0, 'anchor[0].at[1]': 0.3048}
    """
    return dict(_lengths(tables, ""))


def _lengths(value: Any, path: str) -> Iterator[tuple[str, float]]:
    if isinstance(value, Mapping):
        for key, one in value.items():
            yield from _lengths(one, f"{path}.{key}" if path else str(key))
    elif isinstance(value, list):
        for number, one in enumerate(value):
            yield from _lengths(one, f"{path}[{number}]")
    elif isinstance(value, str):
        try:
            yield path, parse_quantity(value, Dimension.LENGTH, path)
        except QuantityError:
            return


def live_shape(job: Job, worked: tuple[Worked, ...]) -> dict[str, Any]:
    """Roof, things round it, and what each worker's falls come to."""
    return {
        "roof": _roof(job.roof),
        "site": {
            "levels": [_thing(one.name, one.outline, one.height) for one in job.site.levels],
            "north_deg": job.site.north,
            "obstacles": [_thing(one.name, one.outline, one.top) for one in job.site.obstacles],
            "power": [{"name": one.name, "points": _rounded(one.points)} for one in job.site.power_lines],
        },
        "anchors": [{"name": one.name, "at": _rounded(one.point)} for one in job.anchors],
        "areas": [{"name": one.name, "rings": [_rounded(ring) for ring in one.rings]} for one in job.areas],
        "workers": [_worker(one) for one in worked],
    }


def _rounded(values: NDArray[np.float64], digits: int = 4) -> Any:
    return np.round(np.asarray(values, np.float64), digits).tolist()


def _numbers(values: NDArray[np.float64]) -> list[float | None]:
    """Numbers to a millimetre; what is no number is null."""
    rounded: list[float | None] = np.round(values, 3).tolist()
    for place in np.flatnonzero(~np.isfinite(values)):
        rounded[place] = None
    return rounded


def _thing(name: str, outline: NDArray[np.float64] | None, height: float) -> dict[str, Any]:
    return {"name": name, "outline": None if outline is None else _rounded(outline), "height": height}


def _roof(roof: Roof) -> dict[str, Any]:
    from ropewright.roof.facets import facet_azimuth, facet_pitch

    facets = []
    for facet in roof.facets:
        shown = {"id": facet.id, "ring": _rounded(facet.ring), "holes": [_rounded(hole) for hole in facet.holes]}
        [azimuth] = _numbers(np.array([facet_azimuth(facet)]))  # a flat facet faces nowhere
        facets.append({**shown, "pitch_deg": facet_pitch(facet), "azimuth_deg": azimuth})
    edges = [
        {"name": edge.name, "type": edge.type.value, "a": _rounded(edge.start), "b": _rounded(edge.end)}
        for edge in roof.edges
    ]
    openings = [{"name": one.name, "ring": _rounded(one.ring)} for one in roof.openings]
    return {"facets": facets, "edges": edges, "openings": openings}


def _worker(one: Worked) -> dict[str, Any]:
    field = one.field
    return {
        "worker": field.worker,
        "line": field.line,
        "anchor": one.rig.anchor.name,
        "edges": _edges(field),
        "zones": _zones(one.zones),
    }


def _edges(field: EdgeField) -> dict[str, Any]:
    return {
        "edge": _coded(field.edge),
        "points": _rounded(field.points, 3),
        "verdict": "".join(_LETTERS[verdict] for verdict in field.verdict),
        "reason": _coded(field.reason),
        "taut_m": _numbers(field.taut),
        "free_fall_m": _numbers(field.free_fall),
        "needed_m": _numbers(np.maximum(field.needed_book, field.needed_high)),
        "available_m": _numbers(field.available),
        "force_high_n": _numbers(np.round(field.force_high)),
        "swing_drop_m": _numbers(field.swing_drop),
        "below": _coded(field.below),
    }


def _coded(words: Sequence[str]) -> dict[str, Any]:
    """Words that repeat, each once, with the number of the word at every place."""
    known = {word: number for number, word in enumerate(dict.fromkeys(words))}
    return {"words": list(known), "at": [known[word] for word in words]}


def _zones(zones: ZoneField) -> dict[str, Any]:
    return {
        "step_m": zones.step,
        "points": _rounded(zones.points[:, :2], 2),
        "zone": "".join(_ZONES[zone] for zone in zones.zone),
    }


def fall_shape(fall: MotionHistory, edge: str) -> dict[str, Any]:
    """One fall in time, thinned to what a picture shows; its greatest force and lowest place stay."""
    count = len(fall.time)
    step = max(-(-count // _MOMENTS), 1)
    kept = np.unique([*range(0, count, step), count - 1, int(fall.force.argmax()), int(fall.place[:, 2].argmin())])
    return {
        "edge": edge,
        # it is followed until it hangs nearly still, for so long, or until it meets something
        "met": bool(fall.time[-1] < _LONGEST and fall.speed[-1] > _STILL),
        "time_s": _numbers(fall.time[kept]),
        "place_m": _rounded(fall.place[kept], 3),
        "speed_m_s": _numbers(fall.speed[kept]),
        "force_n": _numbers(np.round(fall.force[kept])),
        "anchor_force_n": _numbers(np.round(fall.anchor_force[kept])),
        "absorber_m": _numbers(fall.absorber[kept]),
        "phase": [fall.phase[i].value for i in kept.tolist()],
    }
