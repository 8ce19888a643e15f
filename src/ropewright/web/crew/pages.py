"""Pages of people: the list, one person with what is missing, and what can be written about them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Annotated, Any

from fastapi import APIRouter, Query
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ropewright.errors import InputError, InputErrors
from ropewright.web.forms import Faulty, Posted, PostedForm, faults_of
from ropewright.web.security_session import CurrentUser
from ropewright.web.store import Store, StoreOf
from ropewright.web.view import Ui, render

if TYPE_CHECKING:
    from ropewright.job.crew_missing import Missing
    from ropewright.store.crew_words import Word
    from ropewright.store.entry import Entry, Head, State
    from ropewright.store.ledger import Ledger

__all__ = ["CrewPage", "NewPersonPage", "PersonPage", "router"]

router = APIRouter()

_MOST = 300


@dataclass(frozen=True)
class CrewPage:
    """What the list shows."""

    people: list[State]
    search: str
    standing: str
    standings: tuple[str, ...]
    head: Head


@dataclass(frozen=True)
class NewPersonPage:
    """What the form for a new person shows."""

    texts: dict[str, str]
    roles: tuple[str, ...]
    chosen: tuple[str, ...]
    faults: Faulty
    free_code: str


@dataclass(frozen=True)
class PersonPage:
    """One person, with all that counts of them."""

    state: State
    code: str
    missing: tuple[Missing, ...]
    rules: str
    packs: tuple[tuple[str, str], ...]
    history: list[Entry]
    topics: Mapping[str, Word]
    systems: Mapping[str, Word]
    skills: Mapping[str, Word]
    triggers: Mapping[str, Word]
    roles: Mapping[str, str]
    today: date
    head: Head
    open: str = ""
    texts: dict[str, str] = field(default_factory=dict)
    ticked: frozenset[str] = frozenset()
    faults: Faulty = field(default_factory=Faulty)

    @property
    def body(self) -> Mapping[str, Any]:
        """What follows from the entries."""
        return self.state.body

    @property
    def open_needs(self) -> list[dict[str, Any]]:
        """Needs to train anew that nothing has met."""
        return [dict(need) for need in self.body["needs"] if need["answered_by"] is None]


@router.get("", name="crew_list")
def crew_list(
    request: Request,
    store: StoreOf,
    search: Annotated[str, Query(max_length=100)] = "",
    standing: Annotated[str, Query(max_length=20)] = "",
) -> HTMLResponse:
    """List people by their codes."""
    from ropewright.store.crew_state import LEFT, ON_CREW, TO_TRAIN

    standings = (ON_CREW, TO_TRAIN, LEFT)
    chosen = standing if standing in standings else None
    with store.record.read() as view:
        people = view.states("crew", standing=chosen, search=search or None, limit=_MOST)
        head = view.head()
    return render(request, "crew/list.html", CrewPage(people, search, chosen or "", standings, head))


@router.get("/new", name="crew_new")
def new_form(request: Request, store: StoreOf, user: CurrentUser) -> HTMLResponse:  # noqa: ARG001
    """Show the form for a new person."""
    return render(request, "crew/new.html", _new_page(store, {}, (), Faulty()))


@router.post("/new")
def add(request: Request, form: Posted, store: StoreOf, user: CurrentUser) -> Response:
    """Take a person into the record."""
    from ropewright.store.crew_actions import add_person
    from ropewright.store.crew_reading import read_particulars, read_roles
    from ropewright.store.gear_words import read_tag

    roles = form.fields.get("role", ())
    try:
        code = read_tag(form.text("code") or _free_code(store), "code")
        told, held = read_particulars(form.texts(), _same), read_roles({"role": roles}, _same)
        add_person(store.record, code, told, roles=held, by=user.name)
    except (InputError, InputErrors) as error:
        return render(request, "crew/new.html", _new_page(store, form.texts(), roles, faults_of(error)), status=422)
    return _to_person(request, code)


def _new_page(store: Store, texts: dict[str, str], chosen: tuple[str, ...], faults: Faulty) -> NewPersonPage:
    from ropewright.store.crew_words import ROLES

    return NewPersonPage(texts, tuple(ROLES), chosen, faults, _free_code(store))


def _free_code(store: Store) -> str:
    """Return the next code that nobody has."""
    from ropewright.store.crew_words import crew_subject

    with store.record.read() as view:
        number = 1
        while view.state(crew_subject(f"P-{number:02d}")) is not None:
            number += 1
    return f"P-{number:02d}"


@router.get("/{code}", name="crew_person")
def person(
    request: Request, code: str, store: StoreOf, rules: Annotated[str, Query(max_length=40)] = "us-construction"
) -> HTMLResponse:
    """Show one person: what is missing, training, skills, needs, history."""
    return render(request, "crew/person.html", _person_page(request, store, code, rules))


@router.post("/{code}/do/{doing}")
def do(request: Request, code: str, doing: str, form: Posted, store: StoreOf, user: CurrentUser) -> Response:
    """Write something about a person."""
    act = _DOINGS.get(doing)
    if act is None:
        raise HTTPException(404)
    try:
        act(store.record, code, form, user.name)
    except (InputError, InputErrors) as error:
        ticked = frozenset(f"{name}={value}" for name, values in form.fields.items() for value in values)
        page = _person_page(request, store, code, "us-construction", doing, form.texts(), ticked, faults_of(error))
        return render(request, "crew/person.html", page, status=422)
    return _to_person(request, code)


def _train(record: Ledger, code: str, form: PostedForm, by: str) -> object:
    from ropewright.store.crew_actions import train
    from ropewright.store.crew_reading import read_training
    from ropewright.store.day import today

    several = {name: form.fields.get(name, ()) for name in ("topic", "system", "trainer_is")}
    answers = [int(text) for text in form.fields.get("answers", ()) if text.isdecimal() and len(text) < 13]
    told = read_training({**form.texts(), **several}, _same, today=today(), answers=answers)
    return train(record, code, told, by=by)


def _sign_off(record: Ledger, code: str, form: PostedForm, by: str) -> object:
    from ropewright.store.crew_actions import sign_off
    from ropewright.store.crew_reading import read_sign_off
    from ropewright.store.day import today

    return sign_off(record, code, read_sign_off(form.texts(), _same, today=today()), by=by)


def _need(record: Ledger, code: str, form: PostedForm, by: str) -> object:
    from ropewright.store.crew_actions import need_training
    from ropewright.store.crew_reading import read_need
    from ropewright.store.day import today

    several = {name: form.fields.get(name, ()) for name in ("topic", "system")}
    return need_training(record, code, read_need({**form.texts(), **several}, _same, today=today()), by=by)


def _change(record: Ledger, code: str, form: PostedForm, by: str) -> object:
    from ropewright.store.crew_actions import change_person
    from ropewright.store.crew_reading import read_particulars

    return change_person(record, code, read_particulars(form.texts(), _same), by=by)


def _role(record: Ledger, code: str, form: PostedForm, by: str) -> object:
    from ropewright.store.crew_actions import grant_role
    from ropewright.store.crew_words import ROLES, read_line, read_word

    role = read_word(form.text("role"), ROLES, "role")
    grounds = read_line(form.text("grounds"), "grounds")
    return grant_role(record, code, role, grounds=grounds, held=not form.flag("ended"), by=by)


def _leave(record: Ledger, code: str, form: PostedForm, by: str) -> object:
    from ropewright.store.crew_actions import leave

    return leave(record, code, _day(form), by=by)


def _come_back(record: Ledger, code: str, form: PostedForm, by: str) -> object:
    from ropewright.store.crew_actions import come_back
    from ropewright.store.crew_words import read_line

    return come_back(record, code, _day(form), judged_by=read_line(form.text("judged_by"), "judged_by"), by=by)


def _withdraw(record: Ledger, code: str, form: PostedForm, by: str) -> object:
    from ropewright.store.crew_actions import withdraw
    from ropewright.store.crew_words import read_line
    from ropewright.web.form_error import FormError
    from ropewright.web.words import _

    number = form.text("entry")
    if not number.isdecimal() or len(number) > 12:
        raise FormError("entry", number, _("give the number of the entry, as the history has it"))
    why = read_line(form.text("why"), "why", needed="say what was wrong with it")
    return withdraw(record, code, int(number), why=why, by=by)


_Act = Callable[["Ledger", str, PostedForm, str], object]
_DOINGS: Mapping[str, _Act] = {
    "train": _train,
    "sign-off": _sign_off,
    "need": _need,
    "change": _change,
    "role": _role,
    "leave": _leave,
    "return": _come_back,
    "withdraw": _withdraw,
}


def _day(form: PostedForm) -> date:
    from ropewright.store.day import read_past_day, today

    return read_past_day(form.text("on"), "on", today()) if form.text("on") else today()


def _same(name: str) -> str:
    return name


def _person_page(
    request: Request,
    store: Store,
    code: str,
    rules: str,
    opened: str = "",
    texts: dict[str, str] | None = None,
    ticked: frozenset[str] = frozenset(),
    faults: Faulty | None = None,
) -> PersonPage:
    from ropewright.job.crew_gear import with_gear
    from ropewright.job.crew_missing import Task, missing_of
    from ropewright.rules import load_pack, pack_names
    from ropewright.store import crew_words
    from ropewright.store.crew_actions import known_person
    from ropewright.store.day import today
    from ropewright.store.gear_out import held_by

    chosen = rules if rules in pack_names() else "us-construction"
    with store.record.read() as view:
        try:
            state = known_person(view, code)
        except InputError as error:
            raise HTTPException(404) from error
        task = with_gear(Task(), held_by(view, state.subject.partition("/")[2]))
        history, head = list(view.entries(subject=state.subject)), view.head()
    now, units = today(), Ui(request).units()
    return PersonPage(
        state,
        state.subject.partition("/")[2],
        missing_of(state, load_pack(chosen), task, today=now, units=units),
        chosen,
        tuple((name, load_pack(name).title) for name in pack_names()),
        history[::-1],
        crew_words.topics(),
        crew_words.systems(),
        crew_words.skills(),
        crew_words.triggers(),
        crew_words.ROLES,
        now,
        head,
        opened,
        texts or {},
        ticked,
        faults or Faulty(),
    )


def _to_person(request: Request, code: str) -> Response:
    from ropewright.store.gear_words import read_tag

    return RedirectResponse(str(request.app.url_path_for("crew_person", code=read_tag(code, "code"))), status_code=303)
