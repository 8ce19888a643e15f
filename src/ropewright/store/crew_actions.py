"""What can be done with the record of people: each action checks against the record and appends one entry or none."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date

from ropewright.errors import InputError, InputErrors
from ropewright.store.crew_body import Need, Particulars, SignOff, Training
from ropewright.store.crew_state import LEFT, open_needs, rows
from ropewright.store.crew_words import ROLES, crew_subject
from ropewright.store.entry import Draft, Entry, JsonValue, State
from ropewright.store.reading import Decision, Record, View

__all__ = [
    "add_person",
    "change_person",
    "come_back",
    "grant_role",
    "known_person",
    "leave",
    "left_draft",
    "need_training",
    "new_person",
    "sign_off",
    "sign_off_draft",
    "train",
    "training_draft",
    "withdraw",
]

#: Says what is wrong with an action on a person whose state is known; nothing: it may be written.
_Check = Callable[[State], Iterable[InputError]]


def add_person(record: Record, code: str, told: Particulars, *, roles: tuple[str, ...] = (), by: str) -> list[Entry]:
    """Take a person into the record.

    Parameters
    ----------
    record : Record
    code : str
        As `gear_words.read_tag` gives it.
    told : Particulars
    roles : tuple of str
        Names of `crew_words.ROLES`.
    by : str
        Who says so.

    Returns
    -------
    list of Entry
        The one entry that was written; so do all actions of this module.

    Raises
    ------
    InputError
        If the code is taken, or no name is told.
    """

    def decide(view: View) -> list[Draft]:
        return [new_person(view, code, told, roles=roles, by=by)]

    return record.write(decide)


def new_person(view: View, code: str, told: Particulars, *, roles: tuple[str, ...] = (), by: str) -> Draft:
    """Entry that takes a person in; raises as `add_person`."""
    if view.state(crew_subject(code)) is not None:
        raise InputError("code", code, "this code is taken, also by those who left; give another")
    if not told.name:
        raise InputError("name", told.name, "give a name, or another mark that tells the person apart")
    return Draft("crew.added", crew_subject(code), by, {**told.body(), "roles": list(roles)})


def change_person(record: Record, code: str, told: Particulars, *, by: str) -> list[Entry]:
    """Correct or bring up to date what is known of a person; what is None stays as it is."""
    if not told.body():
        raise InputError("change", None, "give at least one of name, mass, mass with tools and harness size")
    return record.write(_about(code, "crew.changed", told.body(), by=by))


def grant_role(record: Record, code: str, role: str, *, grounds: str, held: bool = True, by: str) -> list[Entry]:
    """Say on what grounds a person holds a role, or that they hold it no more (`held` False)."""

    def check(state: State) -> Iterable[InputError]:
        if not held and role not in state.body["roles"]:  # type: ignore[operator]
            yield InputError("role", role, f"{code} does not hold it")

    if role not in ROLES:
        raise ValueError(f"unknown role {role!r}")
    body: Mapping[str, JsonValue] = {"role": role, "held": held, "grounds": grounds}
    return record.write(_about(code, "crew.role", body, by=by, check=check))


def train(record: Record, code: str, training: Training, *, by: str) -> list[Entry]:
    """Record a training; raises InputErrors where it can't have been so.

    Nobody trains or certifies themselves; what another employer gave counts from the day on which this one judged it
    adequate (29 CFR 1926.503(b)(1)); the needs that it is said to meet are open ones, no later than it, and what they
    ask for is among its topics and systems.
    """
    return record.write(lambda view: [training_draft(known_person(view, code), code, training, by=by)])


def training_draft(state: State, code: str, training: Training, *, by: str) -> Draft:
    """Entry of a training of somebody who stands so; raises as `train`."""
    return _draft(state, code, "crew.trained", training.body(), list(_training_faults(code, training, state)), by=by)


def _training_faults(code: str, training: Training, state: State) -> Iterable[InputError]:
    if not training.topics:
        yield InputError("topic", None, "say what the training was on")
    if _is(training.trainer, code, state):
        yield InputError("trainer", training.trainer, "nobody trains themselves; give who did")
    signed = training.certificate
    if signed is not None and signed.signed_as == "trainer" and _is(signed.signed_by, code, state):
        yield InputError("signed-by", signed.signed_by, "nobody certifies their own training")
    if training.judged_on is not None and training.judged_on < training.on:
        yield InputError("judged-on", training.judged_on.isoformat(), "no training is judged before it was given")
    if training.expires is not None and not training.expires_by:
        yield InputError("expires-by", None, "say which rule or whose decision ends it: no US rule read does")
    if training.expires is not None and training.expires < training.on:
        yield InputError("expires", training.expires.isoformat(), f"it was given on {training.on}, so it ends later")
    needs = {need["number"]: need for need in open_needs(state.body)}
    for number in training.answers:
        if number not in needs:
            shown = f"open are {', '.join(map(str, needs))}" if needs else "none is open"
            yield InputError("answers", number, f"{code} has no open need to train anew of this number; {shown}")
            continue
        yield from _unanswered(training, needs[number], number)


def _unanswered(training: Training, need: dict[str, object], number: int) -> Iterable[InputError]:
    if training.on.isoformat() < str(need["on"]):
        yield InputError("answers", number, f"the need came up on {need['on']}, after this training")
    for key, had in (("topics", training.topics), ("systems", training.systems)):
        lacking = sorted(set(need[key]) - set(had))  # type: ignore[call-overload]
        if lacking:
            yield InputError("answers", number, f"the need asks for the {key} {', '.join(lacking)} too")


def sign_off(record: Record, code: str, seen: SignOff, *, by: str) -> list[Entry]:
    """Record that somebody saw what a person can do; nobody signs off themselves."""
    return record.write(lambda view: [sign_off_draft(known_person(view, code), code, seen, by=by)])


def sign_off_draft(state: State, code: str, seen: SignOff, *, by: str) -> Draft:
    """Entry of a skill seen of somebody who stands so; raises as `sign_off`."""
    own = "nobody signs off their own skill; give who saw it"
    faults = [InputError("assessor", seen.assessor, own)] if _is(seen.assessor, code, state) else []
    return _draft(state, code, "crew.signed-off", seen.body(), faults, by=by)


def need_training(record: Record, code: str, need: Need, *, by: str) -> list[Entry]:
    """Record why a person must be trained anew; the need is open until a training answers it by its number."""
    return record.write(_about(code, "crew.triggered", need.body(), by=by))


def leave(record: Record, code: str, on: date, *, by: str) -> list[Entry]:
    """Record that a person is on the crew no more; what is known of them stays."""
    return record.write(lambda view: [left_draft(known_person(view, code), code, on, by=by)])


def left_draft(state: State, code: str, on: date, *, by: str) -> Draft:
    """Entry that somebody who stands so left."""
    return _draft(state, code, "crew.left", {"on": on.isoformat()}, [], by=by)


def come_back(record: Record, code: str, on: date, *, judged_by: str = "", by: str) -> list[Entry]:
    """Record that a person came back.

    Unless somebody stands for it that their training is still adequate (`judged_by`), they must be trained anew.
    """

    def decide(view: View) -> list[Draft]:
        state = known_person(view, code)
        if state.standing != LEFT:
            raise InputError("code", code, "this person has not left")
        if on.isoformat() < str(state.body["left"]):
            raise InputError("on", on.isoformat(), f"{code} left on {state.body['left']}; nobody comes back before")
        return [Draft("crew.returned", crew_subject(code), by, {"on": on.isoformat(), "judged_by": judged_by})]

    return record.write(decide)


def withdraw(record: Record, code: str, number: int, *, why: str, by: str) -> list[Entry]:
    """Say that an entry about a training, a sign-off or a need was wrong; it stays, and counts no more.

    A need that a withdrawn training had met is open again.
    """

    def check(state: State) -> Iterable[InputError]:
        found = [row["number"] for key in ("trainings", "sign_offs", "needs") for row in rows(state.body, key)]
        if number not in found:
            shown = f"those that can be are {', '.join(map(str, sorted(found)))}" if found else "there is none"
            yield InputError("entry", number, f"{code} has no such entry that can be withdrawn; {shown}")

    if not why:
        raise InputError("why", why, "say what was wrong with it")
    body: Mapping[str, JsonValue] = {"entry": number, "why": why}
    # what was wrong about those who left can still be put right
    return record.write(_about(code, "crew.withdrawn", body, by=by, check=check, also_left=True))


def known_person(view: View, code: str) -> State:
    """State of a person; an error with codes that are like it where the record knows none of this one."""
    state = view.state(crew_subject(code))
    if state is not None:
        return state
    import difflib

    codes = [one.subject.partition("/")[2] for one in view.states("crew")]
    near = difflib.get_close_matches(code, codes, n=1)
    hint = f"did you mean {near[0]!r}?" if near else "'ropewright crew list' shows who it knows"
    raise InputError("code", code, f"the record knows nobody of this code; {hint}")


def _about(
    code: str,
    kind: str,
    body: Mapping[str, JsonValue],
    *,
    by: str,
    check: _Check | None = None,
    also_left: bool = False,
) -> Decision:
    """One entry about somebody who is on the crew, unless the check finds fault."""

    def decide(view: View) -> list[Draft]:
        state = known_person(view, code)
        return [_draft(state, code, kind, body, list(check(state)) if check else [], by=by, also_left=also_left)]

    return decide


def _draft(
    state: State,
    code: str,
    kind: str,
    body: Mapping[str, JsonValue],
    faults: Sequence[InputError],
    *,
    by: str,
    also_left: bool = False,
) -> Draft:
    """Entry about a person; refused of those who left, and with any faults told."""
    if state.standing == LEFT and not also_left:
        raise InputError("code", code, f"left on {state.body['left']}; 'ropewright crew return {code}' comes first")
    if faults:
        raise faults[0] if len(faults) == 1 else InputErrors(f"{code}: {len(faults)} faults", faults)
    return Draft(kind, crew_subject(code), by, body)


def _is(told: str, code: str, state: State) -> bool:
    """Return whether a text names the person themselves, by code or by name."""
    return told.strip().casefold() in {code.casefold(), str(state.body["name"]).strip().casefold()}
