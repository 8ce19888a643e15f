"""A layout of anchors as data, in SI units with the unit in each key."""

from __future__ import annotations

from typing import Any

from ropewright import __version__
from ropewright.findings.document import finding_document
from ropewright.job.layout_model import Bare, Cut, Layout, Placed, Setting
from ropewright.sheets.layout_text import STRUCTURE
from ropewright.sheets.layout_words import anchor_place
from ropewright.sheets.words import CAUTION

__all__ = ["FORMAT", "layout_document"]

#: Name and version of the shape; the number grows when a key changes its meaning or goes.
FORMAT = "ropewright-anchors/1"

_DECIMALS = 6


def layout_document(layout: Layout) -> dict[str, Any]:
    """Return a layout as JSON values.

    Parameters
    ----------
    layout : Layout

    Returns
    -------
    dict
        `anchors` are the new ones, `kept` those of the job, which cost nothing; `count` is the number of new ones and
        `bound` the number below which none covers what can be covered. `uncovered` lists every place that is not.
    """
    return {
        "ropewright": __version__,
        "format": FORMAT,
        "job": layout.job.name,
        "units": "SI",
        "verdict": layout.verdict.value,
        "covered": bool(layout.covered.all()),
        "count": layout.count,
        "bound": layout.bound,
        "proven": layout.proven,
        "bound_uncut": layout.bound_uncut,
        "cuts": [_cut(one) for one in layout.cuts],
        "anchors": [_placed(layout, one) for one in layout.anchors],
        "kept": [_placed(layout, one) for one in layout.kept],
        "uncovered": _uncovered(layout),
        "reasons": [_bare(one) for one in layout.bare],
        "places": len(layout.places.points),
        "places_apart_m": layout.places.step,
        "candidates": len(layout.candidates),
        "share": layout.share,
        "draws": layout.wanted.draws if layout.share is not None else None,
        "findings": [finding_document(finding) for finding in layout.findings],
        "notes": list(layout.notes),
        "structure": STRUCTURE,
        "caution": CAUTION,
    }


def _number(value: float) -> float:
    return round(float(value), _DECIMALS) + 0.0


def _point(point: Any) -> dict[str, float]:
    x, y, z = (_number(value) for value in point)
    return {"x_m": x, "y_m": y, "z_m": z}


def _placed(layout: Layout, placed: Placed) -> dict[str, Any]:
    return {
        **_point(placed.point),
        "name": placed.name,
        "on": placed.on,
        "place": anchor_place(layout.job, placed),
        "settings": [_setting(one) for one in placed.settings],
    }


def _setting(one: Setting) -> dict[str, Any]:
    return {
        "worker": one.worker,
        "line": one.line,
        "stop_m": _number(one.stop),
        "longest_m": _number(one.longest),
        "swing_drop_m": _number(one.swing),
        "restrained": one.restrained,
        "verdict": one.verdict.value,
        "reason": one.reason,
        "places": one.places,
    }


def _cut(cut: Cut) -> dict[str, Any]:
    return {
        **_point(cut.point),
        "on": cut.on,
        "workers": list(cut.workers),
        "refused_m": _number(cut.refused),
        "longest_m": None if cut.longest is None else _number(cut.longest),
        "why": cut.why,
        "finding": finding_document(cut.finding),
    }


def _uncovered(layout: Layout) -> list[dict[str, Any]]:
    why: dict[int, list[Bare]] = {}
    for row in layout.bare:
        for place in row.places:
            why.setdefault(place, []).append(row)
    return [
        {
            **_point(layout.places.points[place]),
            "area": layout.places.area_names(place),
            "why": "; ".join(dict.fromkeys(row.why for row in why.get(place, ()))),
        }
        for place in layout.uncovered
    ]


def _bare(row: Bare) -> dict[str, Any]:
    return {"worker": row.worker, "area": row.area, "why": row.why, "places": len(row.places)}
