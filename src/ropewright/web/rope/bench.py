"""One bench: a form whose address keeps the set-up, what follows from it, its drawing, and that on paper."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from ropewright.errors import InputError, InputErrors
from ropewright.quantity import UnitSystem
from ropewright.web.forms import Faulty, faults_of
from ropewright.web.rope.form import Field, FormReader, texts_of
from ropewright.web.view import Ui, render
from ropewright.web.words import _

__all__ = ["Bench", "BenchPage", "add_bench", "paper"]

T = TypeVar("T")


def _nothing_more(_: object) -> Mapping[str, Any]:
    return {}


@dataclass(frozen=True)
class Bench(Generic[T]):
    """One page of the rope bench.

    Parameters
    ----------
    name : str
        Of its address and its template.
    title, about : str
    fields : callable
        Gives its form.
    work : callable
        Works out what a form tells; it raises every fault.
    draw : callable
        Draws it as SVG; empty where there is no drawing.
    on_paper : callable
        Title on paper.
    more : callable
        What else its template shows, by name.
    """

    name: str
    title: str
    about: str
    fields: Callable[[], tuple[Field, ...]]
    work: Callable[[FormReader], T]
    draw: Callable[[T, UnitSystem], str]
    on_paper: Callable[[T], str]
    more: Callable[[T], Mapping[str, Any]] = _nothing_more


@dataclass(frozen=True)
class BenchPage(Generic[T]):
    """What a bench shows.

    Parameters
    ----------
    bench : Bench
    fields : tuple of Field
    texts : dict
    answer : T or None
        None where the form can't be worked out.
    drawing : Markup
    faults : Faulty
    query : str
        Of the address, for the same on paper.
    more : mapping
        What else the template shows, by name.
    """

    bench: Bench[T]
    fields: tuple[Field, ...]
    texts: dict[str, str]
    answer: T | None = None
    drawing: Markup = field(default_factory=Markup)
    faults: Faulty = field(default_factory=Faulty)
    query: str = ""
    more: Mapping[str, Any] = field(default_factory=dict)

    @property
    def labels(self) -> dict[str, str]:
        """Labels of the fields in sight, for faults to lead to."""
        return {one.name: _(one.label) for one in self.fields if one.kind != "ticks"}

    @property
    def parts(self) -> list[tuple[str, list[Field]]]:
        """Fields under the headings of the form's parts."""
        found: list[tuple[str, list[Field]]] = []
        for one in self.fields:
            if one.part or not found:
                found.append((one.part, []))
            found[-1][1].append(one)
        return found


def add_bench(router: APIRouter, bench: Bench[Any]) -> None:
    """Add a bench and its paper to the pages."""

    def shown(request: Request) -> HTMLResponse:
        page = _page(request, bench)
        return render(request, f"rope/{bench.name}.html", page, status=422 if page.faults.faults else 200)

    def printed(request: Request) -> Response:
        units, fields = Ui(request).units(), bench.fields()
        answer = bench.work(FormReader(fields, texts_of(fields, request.query_params, units)))
        drawn = bench.draw(answer, units)
        if not drawn:
            raise InputError(bench.name, None, "there is no drawing of this to print")
        return paper([drawn], bench.on_paper(answer), units, bench.name)

    router.add_api_route(f"/{bench.name}", shown, name=f"rope_{bench.name}", include_in_schema=False)
    router.add_api_route(f"/{bench.name}.pdf", printed, name=f"rope_{bench.name}_pdf", include_in_schema=False)


def _page(request: Request, bench: Bench[Any]) -> BenchPage[Any]:
    units, fields = Ui(request).units(), bench.fields()
    texts = texts_of(fields, request.query_params, units)
    try:
        answer = bench.work(FormReader(fields, texts))
    except (InputError, InputErrors) as error:
        return BenchPage(bench, fields, texts, faults=faults_of(error))
    drawing = Markup(bench.draw(answer, units))  # noqa: S704 - the drawings escape every text that they hold
    return BenchPage(bench, fields, texts, answer, drawing, query=request.url.query, more=bench.more(answer))


def paper(pages: Sequence[str], title: str, units: UnitSystem, name: str) -> Response:
    """Drawings on paper of the country whose units are chosen."""
    from ropewright.sheets.drawing_pdf import drawing_pdf

    return Response(
        drawing_pdf(pages, title, units),
        media_type="application/pdf",
        headers={"content-disposition": f'inline; filename="{name}.pdf"'},
    )
