"""A new job by a guided form, which works without scripts and forgets nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ropewright.errors import InputError, InputErrors
from ropewright.web.choices import choices_of
from ropewright.web.drafts import drop_typed, typed
from ropewright.web.forms import Fault, Faulty, Posted, faults_of
from ropewright.web.jobs.guided_fields import ANCHOR, HEAD, KIT, ROOF, SAYS, SHAPE, WORKER, Section
from ropewright.web.jobs.keeping import keep_new
from ropewright.web.security_session import CurrentUser
from ropewright.web.store import StoreOf
from ropewright.web.view import render
from ropewright.web.words import _

__all__ = ["GuidedPage", "router"]

router = APIRouter()

_FORM = "job-new"


@dataclass(frozen=True)
class GuidedPage:
    """What the guided form shows."""

    texts: dict[str, str]
    faults: Faulty
    since: str
    anchors: int
    workers: int
    packs: tuple[tuple[str, str], ...]

    head: Section = HEAD
    shape: Section = SHAPE
    roof: Section = ROOF
    anchor: Section = ANCHOR
    kit: Section = KIT
    worker: Section = WORKER
    says: Section = SAYS

    @property
    def labels(self) -> dict[str, str]:
        """Labels of all fields that are there, by their names."""
        return dict(self._labels())

    def _labels(self) -> Iterator[tuple[str, str]]:
        for section in (self.head, self.shape, self.roof, self.kit, self.says):
            yield from ((field.name, _(field.label)) for field in section.fields)
        for section, rows in ((self.anchor, self.anchors), (self.worker, self.workers)):
            for row in range(rows):
                title = f"{_(section.title)} {row + 1}"
                yield from ((field.of(row), f"{title}, {_(field.label)}") for field in section.fields)


@router.get("/new", name="job_new")
def new(request: Request, user: CurrentUser) -> HTMLResponse:  # noqa: ARG001
    """Show the form, as it was left if it was begun."""
    units = choices_of(request).units
    known = typed(request, _FORM, _beginning(units.value if units else "metric"))
    since = known.since.astimezone().strftime("%Y-%m-%d %H:%M") if known.since else ""
    return render(request, "jobs/guided.html", _page(known.texts, Faulty(), since))


@router.post("/new")
def make(request: Request, form: Posted, store: StoreOf, user: CurrentUser) -> Response:
    """Make the job, or show the form again: with its faults, or with a row more or less."""
    from ropewright.web.jobs.guided import guided_text, rows_of

    texts, do = form.texts(), form.text("do")
    if do:
        for kind in ("anchors", "workers"):
            change = {f"more-{kind}": 1, f"less-{kind}": -1}.get(do, 0)
            texts[kind] = str(rows_of({kind: str(max(1, rows_of(texts, kind) + change))}, kind))
        store.drafts.keep(user.name, _FORM, {name: text for name, text in texts.items() if name != "do"})
        return RedirectResponse(f"/jobs/new#{do.partition('-')[2]}", status_code=303)
    try:
        job = keep_new(store, guided_text(texts, by=user.name), {}, by=user.name, note=_("guided form"))
    except (InputError, InputErrors) as error:
        return render(request, "jobs/guided.html", _page(texts, _in_form(faults_of(error)), ""), status=422)
    drop_typed(request, _FORM)
    return RedirectResponse(str(request.app.url_path_for("job", number=job.number)), status_code=303)


@router.post("/new/again")
def again(request: Request, user: CurrentUser) -> Response:  # noqa: ARG001
    """Forget what was typed."""
    drop_typed(request, _FORM)
    return RedirectResponse("/jobs/new", status_code=303)


def _beginning(units: str) -> dict[str, str]:
    """Only what nobody's safety hangs on; a figure that is not typed is not known."""
    return {
        "job.units": units,
        "job.rules": "us-construction" if units == "us" else "eu-uk",
        "shape": "rectangle",
        "roof.form": "gable",
        "anchor[0].name": "A1",
        "line[0].anchor": "A1",
        "anchors": "1",
        "workers": "1",
    }


def _page(texts: dict[str, str], faults: Faulty, since: str) -> GuidedPage:
    from ropewright.web.jobs.guided import rows_of

    return GuidedPage(texts, faults, since, rows_of(texts, "anchors"), rows_of(texts, "workers"), _packs())


@cache
def _packs() -> tuple[tuple[str, str], ...]:
    from ropewright.rules import load_pack, pack_names

    return tuple((name, load_pack(name).title) for name in pack_names())


def _in_form(faults: Faulty) -> Faulty:
    """Faults of a whole place or of every line go to the field where it was typed."""
    moved = []
    for fault in faults.faults:
        name = fault.field
        if name.endswith(".at"):
            both = _("give both lengths with their units, such as 5 m and 4 m")
            moved.append(Fault(f"{name}[0]", fault.value, both, is_said=True))
            continue
        for key in ("connector_strength", "gate_strength"):
            if name.startswith("line[") and name.endswith(f".{key}"):
                name = f"kit.{key}"
        moved.append(Fault(name, fault.value, fault.expected, fault.is_said))
    return Faulty(tuple(dict.fromkeys(moved)))
