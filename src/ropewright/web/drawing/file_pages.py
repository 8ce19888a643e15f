"""A roof out of a file: sent, a building chosen in it, and a new job made of it or the roof of one replaced."""

from __future__ import annotations

from dataclasses import dataclass, field

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ropewright.errors import InputError, InputErrors
from ropewright.quantity import Dimension, UnitSystem, parse_quantity
from ropewright.store.jobs import Job
from ropewright.web.choices import choices_of
from ropewright.web.drawing.offers import Building, Offer, Offers, read_offer
from ropewright.web.form_error import FormError
from ropewright.web.forms import Faulty, Posted, PostedForm, faults_of
from ropewright.web.jobs.keeping import JobNumber, checked_name, keep_new, keep_version, plan_units
from ropewright.web.security_session import CurrentUser
from ropewright.web.security_upload import checked_upload
from ropewright.web.store import Store, StoreOf
from ropewright.web.view import render
from ropewright.web.words import N_, _

__all__ = ["BuildingsPage", "SendPage", "router"]

router = APIRouter()

#: Units that a file which says none may be in, as the form offers them.
UNITS = (
    ("", N_("as the file says")),
    ("m", N_("metres")),
    ("cm", N_("centimetres")),
    ("mm", N_("millimetres")),
    ("ft", N_("feet")),
    ("in", N_("inches")),
)
#: Buildings that one page shows; the rest is found by their names.
_SHOWN = 40


@dataclass(frozen=True, slots=True)
class SendPage:
    """What the form for a roof file shows; `job` is the one whose roof is replaced, None: a new one."""

    job: Job | None
    faults: Faulty = field(default_factory=Faulty)
    texts: dict[str, str] = field(default_factory=dict)
    units: tuple[tuple[str, str], ...] = UNITS


@dataclass(frozen=True, slots=True)
class BuildingsPage:
    """What the choice of a building shows."""

    job: Job | None
    offer: Offer
    shown: list[Building]
    found: int
    find: str
    action: str
    texts: dict[str, str]
    faults: Faulty = field(default_factory=Faulty)


@router.get("/from-file", name="job_from_roof_file")
def send_form(request: Request) -> HTMLResponse:
    """Show the form for a roof file of a new job."""
    return render(request, "drawing/roof_file.html", SendPage(None))


@router.get("/{number}/roof-file", name="job_roof_file")
def send_form_of_job(request: Request, number: JobNumber, store: StoreOf) -> HTMLResponse:
    """Show the form for a roof file that replaces the roof of a job."""
    return render(request, "drawing/roof_file.html", SendPage(store.jobs.job(number)))


@router.post("/from-file")
def send(request: Request, form: Posted, user: CurrentUser) -> Response:  # noqa: ARG001
    """Read a roof file and show its buildings."""
    return _sent(request, form, None)


@router.post("/{number}/roof-file")
def send_to_job(request: Request, number: JobNumber, form: Posted, store: StoreOf, user: CurrentUser) -> Response:  # noqa: ARG001
    """Read a roof file for a job and show its buildings."""
    return _sent(request, form, store.jobs.job(number))


@router.get("/from-file/{key}")
def buildings(request: Request, key: str, find: str = "") -> Response:
    """Show the buildings of a file that was sent."""
    return _buildings(request, None, key, find, {}, Faulty())


@router.get("/{number}/roof-file/{key}")
def buildings_for_job(request: Request, number: JobNumber, key: str, store: StoreOf, find: str = "") -> Response:
    """Show the buildings of a file that was sent for a job."""
    job = store.jobs.job(number)
    return _buildings(request, job, key, find, {"based_on": str(job.version)}, Faulty())


@router.post("/from-file/{key}")
def choose(request: Request, key: str, form: Posted, store: StoreOf, user: CurrentUser) -> Response:
    """Make a job with the roof of the building that was chosen."""
    try:
        job = _new_job(request, store, _offer(request, key), form, by=user.name)
    except (InputError, InputErrors) as error:
        return _buildings(request, None, key, form.text("find"), form.texts(), faults_of(error))
    return RedirectResponse(str(request.app.url_path_for("job_draw", number=job.number)), status_code=303)


@router.post("/{number}/roof-file/{key}")
def choose_for_job(
    request: Request, number: JobNumber, key: str, form: Posted, store: StoreOf, user: CurrentUser
) -> Response:
    """Replace the roof of a job by that of the building that was chosen."""
    try:
        job = _replaced(request, store, number, _offer(request, key), form, by=user.name)
    except (InputError, InputErrors) as error:
        kept = store.jobs.job(number)
        return _buildings(request, kept, key, form.text("find"), form.texts(), faults_of(error))
    return RedirectResponse(str(request.app.url_path_for("job_draw", number=job.number)), status_code=303)


# sending -----------------------------------------------------------------------------------------------------------


def _sent(request: Request, form: PostedForm, job: Job | None) -> Response:
    try:
        unit = form.text("length_unit")
        if unit not in dict(UNITS):
            raise FormError("length_unit", unit[:20], _("choose one of the units"))
        offer = read_offer(checked_upload(form.files.get("file"), "roof", "file"), unit)
    except (InputError, InputErrors) as error:
        page = SendPage(job, faults_of(error), form.texts())
        return render(request, "drawing/roof_file.html", page, status=422)
    return RedirectResponse(f"{_way(job)}/{_offers(request).keep(offer)}", status_code=303)


def _way(job: Job | None) -> str:
    return "/jobs/from-file" if job is None else f"/jobs/{job.number}/roof-file"


def _offers(request: Request) -> Offers:
    state = request.app.state
    if not hasattr(state, "offers"):
        state.offers = Offers()
    found: Offers = state.offers
    return found


def _offer(request: Request, key: str) -> Offer:
    offer = _offers(request).find(key)
    if offer is None:
        raise HTTPException(404, _("This file is not kept any more: send it again."))
    return offer


# choosing ----------------------------------------------------------------------------------------------------------


def _buildings(
    request: Request, job: Job | None, key: str, find: str, texts: dict[str, str], faults: Faulty
) -> Response:
    offer = _offer(request, key)
    wanted = find.strip().lower()
    found = [one for one in offer.buildings if wanted in one.id.lower()]
    found.sort(key=lambda one: not one.usable)  # those refused last, else in the order of the file
    page = BuildingsPage(job, offer, found[:_SHOWN], len(found), find.strip(), f"{_way(job)}/{key}", texts, faults)
    return render(request, "drawing/buildings.html", page, status=422 if faults.faults else 200)


def _roof(offer: Offer, building: Building, form: PostedForm) -> dict[str, str]:
    """Table of the roof in the job file."""
    roof = {"file": offer.name}
    if len(offer.buildings) > 1:
        roof["building"] = building.id
    ground = form.text("ground")
    if ground:
        parse_quantity(ground, Dimension.LENGTH, "ground")
        roof["ground"] = ground
    elif not building.has_ground:
        raise FormError("ground", None, _("the file says no ground: give its height in the heights of the file"))
    if offer.length_unit:
        roof["length_unit"] = offer.length_unit
    return roof


def _new_job(request: Request, store: Store, offer: Offer, form: PostedForm, *, by: str) -> Job:
    from ropewright.job.roof_text import new_text_of_roof

    building = offer.building(form.fields.get("building", ("",))[0])
    roof = _roof(offer, building, form)
    units = choices_of(request).units or UnitSystem.METRIC
    name = form.text("name")[:200] or building.id[:200]
    text = new_text_of_roof(roof, name, building.place, units=units, north=building.north)
    note = _("roof of %(file)s", file=offer.name)
    return keep_new(store, text, {offer.name: offer.content}, by=by, note=note)


def _replaced(request: Request, store: Store, number: int, offer: Offer, form: PostedForm, *, by: str) -> Job:
    from ropewright.job.roof_text import fitted_text, text_with_roof

    building = offer.building(form.fields.get("building", ("",))[0])
    version = store.jobs.version(number)
    told = form.text("based_on")
    if told != str(version.version):
        raise FormError("based_on", told[:20], _("somebody changed the job meanwhile: load the page again"))
    files = store.jobs.files(number)
    name = _free_name(offer, files)
    text = text_with_roof(version.text, {**_roof(offer, building, form), "file": name})
    files = {**files, name: offer.content}
    if form.flag("fit"):
        units = UnitSystem(plan_units(request, version))
        text = fitted_text(text, building.place, lambda tried: checked_name(tried, files), units=units)
    checked_name(text, files)  # before the file is kept: a job that is refused stays as it was
    store.jobs.keep_file(number, name, offer.content)
    note = _("roof of %(file)s", file=offer.name)
    return keep_version(store, number, text, by=by, note=note, based_on=version.version)


def _free_name(offer: Offer, files: dict[str, bytes]) -> str:
    """Name for the file beside those of the job's past states, which must stay what they were."""
    name, turn = offer.name, 2
    while files.get(name, offer.content) != offer.content:
        stem, dot, ending = offer.name.rpartition(".")
        name, turn = f"{stem}-{turn}{dot}{ending}", turn + 1
    return name
