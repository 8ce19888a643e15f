"""The bench of cutting: lines with their ends, spools in stock, the cutting list with its bound, paper and labels."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from ropewright.errors import InputError, InputErrors
from ropewright.quantity import UnitSystem
from ropewright.web.forms import Faulty, faults_of
from ropewright.web.rope.bench import paper
from ropewright.web.rope.form import Option
from ropewright.web.view import Ui, render
from ropewright.web.words import N_, _

if TYPE_CHECKING:
    from ropewright.job.bench_cut import BenchCut

__all__ = ["COUNTED", "CutPage", "router"]

router = APIRouter()

#: Most rows of lines, and of spools; an address holds no more.
_MOST = 40
#: Longest text of a field that is looked at. [characters]
_LONGEST = 100
#: Words of an end that takes no rope of its own.
COUNTED = N_("none, or counted in")

_COMMON = ("rope", "diameter", "per_cut", "keep", "spare")
_ROW = {"piece": ("name", "length", "count", "end", "far"), "spool": ("name", "length", "count")}
_CELL = re.compile(r"(piece|spool)\[(\d{1,3})\]\.(\w+)")

_STOPPED = {"end": "figure-eight on a bight", "far": "double overhand stopper"}
_START: Mapping[UnitSystem, Mapping[str, object]] = {
    UnitSystem.METRIC: {
        "rope": "polyester 11 mm", "diameter": "11 mm", "per_cut": "2 cm", "keep": "5 m", "spare": "0.5 m",
        "piece": [
            {"name": "main line", "length": "12 m", "count": "4", **_STOPPED},
            {"name": "hip line", "length": "8 m", "count": "3", **_STOPPED},
        ],
        "spool": [{"name": "A", "length": "60 m", "count": "1"}, {"name": "B, opened", "length": "38 m", "count": "1"}],
    },
    UnitSystem.US: {
        "rope": "polyester 7/16 in", "diameter": "7/16 in", "per_cut": "1 in", "keep": "15 ft", "spare": "2 ft",
        "piece": [
            {"name": "main line", "length": "40 ft", "count": "4", **_STOPPED},
            {"name": "hip line", "length": "26 ft", "count": "3", **_STOPPED},
        ],
        "spool": [
            {"name": "A", "length": "200 ft", "count": "1"},
            {"name": "B, opened", "length": "121 ft", "count": "1"},
        ],
    },
}  # fmt: skip


@dataclass(frozen=True)
class CutPage:
    """What the bench of cutting shows.

    Parameters
    ----------
    texts : dict
        Of every field.
    pieces, spools : int
        Rows of each.
    ends : tuple of Option
        How a line may be ended.
    answer : BenchCut or None
    drawing : Markup
    faults : Faulty
    query : str
        Of the address, for the same on paper.
    """

    texts: dict[str, str]
    pieces: int
    spools: int
    ends: tuple[Option, ...]
    answer: BenchCut | None = None
    drawing: Markup = field(default_factory=Markup)
    faults: Faulty = field(default_factory=Faulty)
    query: str = ""

    @property
    def labels(self) -> dict[str, str]:
        """Labels of the fields in sight, for faults to lead to."""
        words = {
            "rope": _("The rope is called"), "diameter": _("Diameter"), "per_cut": _("Rope that each cut takes"),
            "keep": _("Rests this long go back into stock"), "spare": _("Spare on each line"),
            "name": _("name"), "length": _("length"), "count": _("how many"), "end": _("first end"),
            "far": _("other end"),
        }  # fmt: skip
        found = {name: words[name] for name in _COMMON}
        found |= {"piece": _("Lines that are needed"), "spool": _("Spools in stock")}
        for kind, rows in (("piece", self.pieces), ("spool", self.spools)):
            said = _("Line %(number)s") if kind == "piece" else _("Spool %(number)s")
            for row in range(rows):
                number = said % {"number": row + 1}
                found |= {f"{kind}[{row}].{cell}": f"{number}, {words[cell]}" for cell in _ROW[kind]}
        return found


@router.get("/cut", name="rope_cut", include_in_schema=False)
def cut(request: Request) -> HTMLResponse:
    """Show the cutting list that the address tells."""
    units = Ui(request).units()
    told = _told(request.query_params, units)
    page = _page(told)
    try:
        answer = _cut(told, units)
    except (InputError, InputErrors) as error:
        faulty = CutPage(*page, faults=faults_of(error))
        return render(request, "rope/cut.html", faulty, status=422)
    from ropewright.sheets.cut_drawing import cuts_svg

    drawing = Markup(cuts_svg(answer.asked, answer.plans))  # noqa: S704 - the drawings escape every text
    return render(request, "rope/cut.html", CutPage(*page, answer=answer, drawing=drawing, query=request.url.query))


@router.get("/cut.pdf", name="rope_cut_pdf", include_in_schema=False)
def cut_pdf(request: Request) -> Response:
    """Return the cutting list on paper."""
    from ropewright.sheets.cut_drawing import cuts_pages

    units = Ui(request).units()
    answer = _cut(_told(request.query_params, units), units)
    return paper(cuts_pages(answer.asked, answer.plans), "Cutting list", units, "cut")


@router.get("/labels.pdf", name="rope_labels_pdf", include_in_schema=False)
def labels_pdf(request: Request) -> Response:
    """Return a label for each piece."""
    from ropewright.sheets import cut_labels

    units = Ui(request).units()
    answer = _cut(_told(request.query_params, units), units)
    made = cut_labels.labels_pdf(answer.asked, answer.plans)
    headers = {"content-disposition": 'inline; filename="labels.pdf"'}
    return Response(made, media_type="application/pdf", headers=headers)


def _told(query: Mapping[str, str], units: UnitSystem) -> dict[str, object]:
    """Cutting list as the address tells it, without its empty rows; the example where it tells none."""
    start = _START[units]
    cells: dict[str, dict[int, dict[str, str]]] = {"piece": {}, "spool": {}}
    for name, text in query.items():
        if (match := _CELL.fullmatch(name)) and match[3] in _ROW[match[1]] and int(match[2]) < _MOST:
            cells[match[1]].setdefault(int(match[2]), {})[match[3]] = text[:_LONGEST].strip()
    was_sent = any(cells.values())
    told: dict[str, object] = {}
    for name in _COMMON:
        text = query.get(name, "" if was_sent else str(start[name]))[:_LONGEST].strip()
        told |= {name: text} if text else {}
    for kind, rows in cells.items():
        full = [_filled(row) for _number, row in sorted(rows.items())]
        found = [row for row in full if row.keys() - {"end", "far"}] if was_sent else start[kind]
        told |= {kind: found} if found else {}
    return told


def _filled(row: Mapping[str, str]) -> dict[str, str]:
    return {cell: text for cell, text in row.items() if text}


def _cut(told: Mapping[str, object], units: UnitSystem) -> BenchCut:
    from ropewright.job.bench_cut import cut_bench

    return cut_bench({**told, "units": units.value})


def _page(told: Mapping[str, object]) -> tuple[dict[str, str], int, int, tuple[Option, ...]]:
    """Texts of the form, with two empty rows at the end of each list, and how a line may be ended."""
    from ropewright.job.bench_cut import NO_KNOT, end_knots

    texts = {name: str(told.get(name, "")) for name in _COMMON}
    counts: list[int] = []
    for kind, more in (("piece", 2), ("spool", 1)):
        rows: list[dict[str, str]] = list(told.get(kind, ()))  # type: ignore[call-overload]
        texts |= {f"{kind}[{n}].{cell}": text for n, row in enumerate(rows) for cell, text in row.items()}
        counts.append(min(len(rows) + more, _MOST))
    ends = ((NO_KNOT, COUNTED), *((name, name) for name in end_knots()))
    return texts, counts[0], counts[1], ends
