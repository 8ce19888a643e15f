"""Inspecting a piece on a phone: one large question a point, a note and a photo where something is wrong."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ropewright.errors import InputError, InputErrors
from ropewright.web.form_error import FormError
from ropewright.web.forms import Faulty, Posted, PostedForm, faults_of
from ropewright.web.gear.pages import act_of
from ropewright.web.security_session import CurrentUser
from ropewright.web.security_upload import Upload, checked_upload
from ropewright.web.store import Store, StoreOf
from ropewright.web.view import render
from ropewright.web.words import _

if TYPE_CHECKING:
    from ropewright.store.gear_piece import Piece
    from ropewright.store.gear_points import Answer, Point

__all__ = ["InspectPage", "router"]

router = APIRouter()

_LOOKS = ("inspect", "check")


@dataclass(frozen=True)
class InspectPage:
    """What the form of an inspection, or of the look before use, shows."""

    piece: Piece
    look: str
    points: tuple[Point, ...]
    texts: dict[str, str]
    faults: Faulty

    @property
    def names(self) -> list[str]:
        """Names of the fields, for faults to lead to."""
        return [f"{what} {point.key}" for point in self.points for what in ("answer", "photo")]


@router.get("/{tag}/{look}", name="gear_inspect")
def form(request: Request, tag: str, look: str, store: StoreOf, user: CurrentUser) -> HTMLResponse:  # noqa: ARG001
    """Show the points to be looked at."""
    return render(request, "gear/inspect.html", _page(store, tag, look, {}, Faulty()))


@router.post("/{tag}/{look}")
def answer(request: Request, tag: str, look: str, form: Posted, store: StoreOf, user: CurrentUser) -> Response:
    """Keep the answers; any fault takes the piece out of service in the same write."""
    from ropewright.store.gear_actions import check, inspect

    page = _page(store, tag, look, form.texts(), Faulty())
    try:
        answers = _answers(store, page, form)
        act = act_of(user.name, form)
        if look == "check":
            check(store.record, page.piece.tag, answers, act, note=form.text("whole"))
        else:
            inspect(
                store.record,
                page.piece.tag,
                answers,
                act,
                wear=form.text("wear") or None,
                competent=form.text("competent"),
                note=form.text("whole"),
            )
    except (InputError, InputErrors) as error:
        return render(request, "gear/inspect.html", _page(store, tag, look, form.texts(), faults_of(error)), status=422)
    return RedirectResponse(str(request.app.url_path_for("gear_item", tag=page.piece.tag)), status_code=303)


def _answers(store: Store, page: InspectPage, form: PostedForm) -> tuple[Answer, ...]:
    """Answers with their notes and photos; a point that was left open counts as not in order."""
    from ropewright.store.gear_points import read_answers

    faults: list[InputError] = []
    photos = {}
    for point in page.points:
        sent = form.files.get(f"photo {point.key}")
        if sent is None or not sent.name:
            continue
        try:
            photos[point.key] = _kept_photo(store, sent, f"photo {point.key}")
        except InputError as error:
            faults.append(error)
    if faults:
        raise InputErrors("photos", faults)
    told = {point.key: form.text(f"answer {point.key}") for point in page.points}
    given = {key: value for key, value in told.items() if value}
    notes = {point.key: form.text(f"note {point.key}") for point in page.points if form.text(f"note {point.key}")}
    before_use = page.look == "check"
    return read_answers(page.piece.kind, given, notes=notes, photos=photos, before_use=before_use)


def _kept_photo(store: Store, sent: Upload, field: str) -> str:
    """Return the hash of a photo that is kept from now on; one that can't be opened must not be lost in silence."""
    from ropewright.store.kept_files import kind_of

    upload = checked_upload(sent, "photo", field)
    kind = kind_of(upload.content)
    if kind is None:
        raise FormError(field, upload.name, _("it can't be opened as a photo; take another"))
    try:
        return store.record.keep_file(upload.content, kind)
    except InputError as error:  # it calls the field by a name of its own
        raise InputError(field, error.value, error.expected) from error


def _page(store: Store, tag: str, look: str, texts: dict[str, str], faults: Faulty) -> InspectPage:
    from ropewright.store.gear_piece import known_piece
    from ropewright.store.gear_points import points_of

    if look not in _LOOKS:
        raise HTTPException(404)
    with store.record.read() as view:
        try:
            piece = known_piece(view, tag)
        except InputError as error:
            raise HTTPException(404) from error
    points = tuple(points_of(piece.kind, before_use=look == "check"))
    return InspectPage(piece, look, points, texts, faults)
