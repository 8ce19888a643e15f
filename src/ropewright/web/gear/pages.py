"""Pages of gear: the list, what is due, one piece with its life, taking one in."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Annotated, Any

from fastapi import APIRouter, Path, Query
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ropewright.errors import InputError, InputErrors
from ropewright.web.forms import Faulty, Posted, PostedForm, faults_of
from ropewright.web.gear.acts import DOINGS, Doing, doings_for
from ropewright.web.gear.words import Told, entry_words, told_words
from ropewright.web.security_session import CurrentUser
from ropewright.web.store import Store, StoreOf
from ropewright.web.view import Ui, render

if TYPE_CHECKING:
    from ropewright.rope.strength import StrengthChain
    from ropewright.store.entry import Head
    from ropewright.store.gear_fields import Field
    from ropewright.store.gear_fitness import Fitness
    from ropewright.store.gear_piece import Act, Piece
    from ropewright.store.gear_words import GearKind

__all__ = ["DuePage", "ListPage", "NewPage", "PiecePage", "act_of", "router"]

router = APIRouter()

#: Most pieces on one page. [-]
_MOST = 200


@dataclass(frozen=True)
class ListPage:
    """What the list shows."""

    pieces: list[tuple[Piece, str]]
    search: str
    standing: str
    kind: str
    more: bool
    kinds: list[str]
    standings: tuple[str, ...]
    head: Head


@dataclass(frozen=True)
class DuePage:
    """What is due within some time, the first first."""

    rows: list[tuple[Piece, dict[str, Any], int]]
    within: str
    until: date
    more: bool
    head: Head


@dataclass(frozen=True)
class PiecePage:
    """One piece with all that counts of it."""

    piece: Piece
    fitness: Fitness
    strength: StrengthChain | None
    told: tuple[Told, ...]
    history: list[Told]
    doings: tuple[Doing, ...]
    today: date
    head: Head
    open: str = ""
    texts: dict[str, str] = field(default_factory=dict)
    faults: Faulty = field(default_factory=Faulty)
    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class NewPage:
    """What the form for a new piece shows; without a kind, the kinds to choose from."""

    kinds: list[GearKind]
    kind: GearKind | None
    fields: tuple[Field, ...]
    texts: dict[str, str]
    faults: Faulty
    free_tag: str


@router.get("", name="gear_list")
def gear_list(
    request: Request,
    store: StoreOf,
    search: Annotated[str, Query(max_length=100)] = "",
    standing: Annotated[str, Query(max_length=20)] = "",
    kind: Annotated[str, Query(max_length=20)] = "",
) -> HTMLResponse:
    """List gear by tag, cut by words, standing and kind."""
    from ropewright.store.gear_piece import Piece
    from ropewright.store.gear_words import FAMILY, STANDINGS, gear_kinds

    chosen = standing if standing in STANDINGS else None
    wanted = kind if kind in gear_kinds() else ""
    with store.record.read() as view:
        states = view.states(FAMILY, standing=chosen, search=f"{search} {wanted}".strip() or None, limit=_MOST + 1)
        head = view.head()
    pieces = [Piece(state) for state in states[:_MOST]]
    units = Ui(request).units()
    shown = [
        (piece, ", ".join(one.value for one in told_words(piece, units, brief=True)))
        for piece in pieces
        if not wanted or piece.kind.name == wanted
    ]
    page = ListPage(shown, search, chosen or "", wanted, len(states) > _MOST, list(gear_kinds()), STANDINGS, head)
    return render(request, "gear/list.html", page)


@router.get("/due", name="gear_due")
def due(request: Request, store: StoreOf, within: Annotated[str, Query(max_length=40)] = "30 days") -> HTMLResponse:
    """List what must be done soon, overdue first."""
    from ropewright.store.day import today
    from ropewright.store.gear_days import after, read_span
    from ropewright.store.gear_piece import Piece
    from ropewright.store.gear_words import FAMILY

    now = today()
    until = after(now, read_span(within, "within"))
    with store.record.read() as view:
        states = view.states(FAMILY, due_by=until.isoformat(), limit=_MOST + 1)
        head = view.head()
    rows = [
        (piece, row, (now - date.fromisoformat(row["day"])).days)
        for piece in map(Piece, states[:_MOST])
        for row in piece.due
        if row["day"] <= until.isoformat()
    ]
    rows.sort(key=lambda one: (one[1]["day"], one[0].tag))
    return render(request, "gear/due.html", DuePage(rows, within, until, len(states) > _MOST, head))


@router.get("/new", name="gear_new")
def new_form(request: Request, store: StoreOf, user: CurrentUser, kind: str = "") -> HTMLResponse:  # noqa: ARG001
    """Show the form for a new piece of a kind."""
    return render(request, "gear/new.html", _new_page(store, kind, {}, Faulty()))


@router.post("/new")
def take_in(request: Request, form: Posted, store: StoreOf, user: CurrentUser) -> Response:
    """Take a piece into the record."""
    from ropewright.rules import load_pack
    from ropewright.rules.intervals import intervals_in_force
    from ropewright.store.gear_actions import receive
    from ropewright.store.gear_fields import fields_of, read_told
    from ropewright.store.gear_words import read_kind, tag_of

    try:
        kind = read_kind(form.text("kind"), "kind")
        texts = {field.key: form.text(field.key) for field in fields_of(kind) if form.text(field.key)}
        told = read_told(kind, texts, {field.key: field.key for field in fields_of(kind)})
        rules = form.text("rules") or "us-construction"
        intervals = intervals_in_force(load_pack(rules), kind.name) if kind.in_chain else None
        tag = form.text("tag") or None
        entries = receive(store.record, kind, tag, told, act_of(user.name), intervals=intervals)
    except (InputError, InputErrors) as error:
        page = _new_page(store, form.text("kind"), form.texts(), faults_of(error))
        return render(request, "gear/new.html", page, status=422)
    return _to_piece(request, tag_of(entries[0].subject))


def _new_page(store: Store, name: str, texts: dict[str, str], faults: Faulty) -> NewPage:
    from ropewright.store.gear_fields import fields_of
    from ropewright.store.gear_words import gear_kinds, next_tag

    kind = gear_kinds().get(name)
    free = ""
    if kind is not None:
        with store.record.read() as view:
            free = next_tag(view, kind)
    return NewPage(list(gear_kinds().values()), kind, fields_of(kind) if kind else (), texts, faults, free)


@router.get("/photo/{digest}", name="gear_photo")
def photo(digest: Annotated[str, Path(pattern="^[0-9a-f]{64}$")], store: StoreOf) -> Response:
    """Give a photo that an entry names."""
    try:
        file = store.record.file(digest)
    except InputError as error:
        raise HTTPException(404) from error
    return Response(
        file.content, media_type=file.kind, headers={"cache-control": "private, max-age=31536000, immutable"}
    )


@router.get("/{tag}", name="gear_item")
def item(request: Request, tag: str, store: StoreOf) -> HTMLResponse:
    """Show one piece: standing and why, strength as it is, what is due, what can be done, history."""
    return render(request, "gear/item.html", piece_page(request, store, tag))


@router.post("/{tag}/do/{doing}")
def do(request: Request, tag: str, doing: str, form: Posted, store: StoreOf, user: CurrentUser) -> Response:
    """Do something with a piece; what it doesn't allow as it stands is told on its page."""
    chosen = next((one for one in DOINGS if one.key == doing), None)
    if chosen is None:
        raise HTTPException(404)
    try:
        chosen.act(store.record, tag, form, act_of(user.name, form))
    except (InputError, InputErrors) as error:
        page = piece_page(request, store, tag, opened=doing, form=form, faults=faults_of(error))
        return render(request, "gear/item.html", page, status=422)
    return _to_piece(request, tag)


def piece_page(
    request: Request,
    store: Store,
    tag: str,
    *,
    opened: str = "",
    form: PostedForm | None = None,
    faults: Faulty | None = None,
) -> PiecePage:
    """What the page of a piece shows.

    Raises
    ------
    HTTPException
        404 if the record has no such piece.
    """
    from ropewright.store.day import today
    from ropewright.store.gear_fitness import fitness, kit_fitness
    from ropewright.store.gear_history import history
    from ropewright.store.gear_piece import known_piece

    now = today()
    units = Ui(request).units()
    with store.record.read() as view:
        try:
            piece = known_piece(view, tag)
        except InputError as error:
            raise HTTPException(404) from error
        parts = [known_piece(view, part).state for part in piece.body["parts"]]
        entries, head = history(view, piece.tag), view.head()
    found = kit_fitness(piece.state, parts, now) if piece.kind.name == "kit" else fitness(piece.state, now)
    names = tuple(name for one in DOINGS if one.key == opened for name, _label, _hint in one.fields)
    return PiecePage(
        piece,
        found,
        _strength(piece, now),
        told_words(piece, units),
        [entry_words(entry, piece.tag) for entry in reversed(entries)],
        doings_for(piece),
        now,
        head,
        opened,
        form.texts() if form else {},
        faults or Faulty(),
        names,
    )


def _strength(piece: Piece, now: date) -> StrengthChain | None:
    from ropewright.store.gear_strength import rope_today
    from ropewright.store.gear_words import ENDED

    if piece.kind.name != "rope" or piece.standing in ENDED:
        return None  # what is out for good has no strength to count on
    return rope_today(piece, now)


def act_of(by: str, form: PostedForm | None = None) -> Act:
    """Who does it, on the day that the form tells; today if it tells none."""
    from ropewright.store.day import read_past_day, today
    from ropewright.store.gear_piece import Act

    now = today()
    day = form.text("on") if form else ""
    return Act(by, read_past_day(day, "on", now) if day else now, now)


def _to_piece(request: Request, tag: str) -> Response:
    return RedirectResponse(str(request.app.url_path_for("gear_item", tag=tag)), status_code=303)
