"""What can be done with a piece from its page: the fields of each doing, and doing it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ropewright.quantity import Dimension, parse_quantity
from ropewright.web.forms import PostedForm
from ropewright.web.words import N_

if TYPE_CHECKING:
    from ropewright.store.entry import Entry
    from ropewright.store.gear_piece import Act, Piece
    from ropewright.store.reading import Record

__all__ = ["DOINGS", "Doing", "doings_for"]


@dataclass(frozen=True, slots=True)
class Doing:
    """One thing that can be done.

    Parameters
    ----------
    key : str
        In addresses.
    step : str
        Kind of entry that says whether it can be done now; `store.gear_steps`.
    label : str
    fields : tuple of (name, label, hint)
    act : callable
        Takes the record, the piece's tag, the form and who does it when.
    rope_only, kit_only : bool
    note : str
        What to know before it is done.
    """

    key: str
    step: str
    label: str
    fields: tuple[tuple[str, str, str], ...]
    act: Callable[[Record, str, PostedForm, Act], list[Entry]]
    rope_only: bool = False
    kit_only: bool = False
    note: str = ""


def doings_for(piece: Piece) -> tuple[Doing, ...]:
    """What can be done with a piece as it stands."""
    from ropewright.store.gear_steps import NotAllowedError

    def can(doing: Doing) -> bool:
        if (doing.rope_only and piece.kind.name != "rope") or (doing.kit_only and piece.kind.name != "kit"):
            return False
        try:
            piece.may(doing.step)
        except NotAllowedError:
            return False
        return True

    return tuple(doing for doing in DOINGS if can(doing))


def _start(record: Record, tag: str, _form: PostedForm, act: Act) -> list[Entry]:
    from ropewright.store.gear_actions import start_use

    return start_use(record, [tag], act)


def _issue(record: Record, tag: str, form: PostedForm, act: Act) -> list[Entry]:
    from ropewright.store.gear_actions import give_out
    from ropewright.store.gear_use import Override

    who, why = form.text("override_by"), form.text("override_reason")
    override = Override(who, why) if who or why else None
    return give_out(record, [tag], form.text("to"), form.text("job"), act, override=override)


def _take_back(record: Record, tag: str, form: PostedForm, act: Act) -> list[Entry]:
    from ropewright.store.gear_actions import return_gear
    from ropewright.store.gear_fields import gear_fields, read_field
    from ropewright.store.gear_use import Use

    uses, sun = form.text("uses"), form.text("sun")
    use = Use(
        read_field(gear_fields()["uses"], uses, "uses") if uses else None,
        read_field(gear_fields()["sun_s"], sun, "sun") if sun else None,
    )
    return return_gear(record, [tag], use, act, fault=form.text("fault"), note=form.text("note"))


def _wash(record: Record, tag: str, form: PostedForm, act: Act) -> list[Entry]:
    from ropewright.store.gear_actions import wash

    return wash(record, [tag], act, note=form.text("note"))


def _fall(record: Record, tag: str, form: PostedForm, act: Act) -> list[Entry]:
    from ropewright.store.gear_actions import record_fall

    person = form.text("person")
    return record_fall(record, act, tags=[tag], person=person, note=form.text("note"))


def _quarantine(record: Record, tag: str, form: PostedForm, act: Act) -> list[Entry]:
    from ropewright.store.gear_actions import quarantine_gear

    return quarantine_gear(record, [tag], form.text("reason"), act)


def _release(record: Record, tag: str, form: PostedForm, act: Act) -> list[Entry]:
    from ropewright.store.gear_actions import release_gear

    texts = {name: form.text(name) for name in ("finding", "reason", "competent", "signed")}
    return release_gear(record, tag, act, **texts)


def _retire(record: Record, tag: str, form: PostedForm, act: Act) -> list[Entry]:
    from ropewright.store.gear_actions import retire

    return retire(record, [tag], form.text("reason"), act)


def _destroy(record: Record, tag: str, form: PostedForm, act: Act) -> list[Entry]:
    from ropewright.store.gear_actions import destroy

    return destroy(record, [tag], form.text("how"), act)


def _re_end(record: Record, tag: str, form: PostedForm, act: Act) -> list[Entry]:
    from ropewright.rope.names import canonical_termination
    from ropewright.store.gear_actions import re_end

    end = canonical_termination(form.text("end"), "end")
    taken = form.text("taken")
    off = parse_quantity(taken, Dimension.LENGTH, "taken") if taken else 0.0
    return re_end(record, tag, 1, end, act, taken=off, note=form.text("note"))


def _cut(record: Record, tag: str, form: PostedForm, act: Act) -> list[Entry]:
    from ropewright.store.gear_actions import cut
    from ropewright.store.gear_rope import CutPiece

    at = parse_quantity(form.text("at") or None, Dimension.LENGTH, "at")
    return cut(record, tag, [CutPiece(None, at), CutPiece(None, None)], act)


def _put_in(record: Record, tag: str, form: PostedForm, act: Act) -> list[Entry]:
    from ropewright.store.gear_actions import put_in_kit

    return put_in_kit(record, tag, form.text("part").replace(",", " ").split(), act)


def _take_out(record: Record, tag: str, form: PostedForm, act: Act) -> list[Entry]:
    from ropewright.store.gear_actions import take_out_of_kit

    return take_out_of_kit(record, tag, form.text("part").replace(",", " ").split(), act)


_NOTE = ("note", N_("Note"), "")
_WHY = ("reason", N_("Why"), "")

DOINGS: tuple[Doing, ...] = (
    Doing("start", "started", N_("Put into use"), (), _start),
    Doing(
        "issue",
        "issued",
        N_("Hand out"),
        (
            ("to", N_("To whom"), N_("A name or a code of the crew.")),
            ("job", N_("For which job"), ""),
            ("override_by", N_("Who lets it out although it is late"), N_("Leave empty where nothing is late.")),
            ("override_reason", N_("Why it is let out all the same"), ""),
        ),
        _issue,
    ),
    Doing(
        "return",
        "returned",
        N_("Take back"),
        (
            ("uses", N_("Days it was used"), N_("Left empty, every day it was out counts.")),
            ("sun", N_("Hours in the sun"), N_("Such as 14 h; left empty, it counts as outdoors all the time.")),
            ("fault", N_("What is wrong with it"), N_("It then goes to quarantine.")),
            _NOTE,
        ),
        _take_back,
    ),
    Doing("wash", "washed", N_("Washed"), (_NOTE,), _wash),
    Doing(
        "re-end",
        "re-ended",
        N_("New end"),
        (
            ("end", N_("How it is made"), N_("A knot, eye splice, sewn eye ...")),
            ("taken", N_("Length cut off for it"), ""),
            _NOTE,
        ),
        _re_end,
        rope_only=True,
    ),
    Doing(
        "cut",
        "cut",
        N_("Cut in two"),
        (("at", N_("At which length"), N_("Each piece gets the next free tag, and the history of the whole.")),),
        _cut,
        rope_only=True,
    ),
    Doing("put-in", "put-in", N_("Put into this kit"), (("part", N_("Tags"), ""),), _put_in, kit_only=True),
    Doing("take-out", "taken-out", N_("Take out of this kit"), (("part", N_("Tags"), ""),), _take_out, kit_only=True),
    Doing(
        "fall",
        "fell",
        N_("It took a fall"),
        (
            ("person", N_("Who fell"), N_("All that was handed out to them goes to quarantine as well.")),
            ("note", N_("What happened"), ""),
        ),
        _fall,
        note=N_("Everything in the chain goes out of service at once."),
    ),
    Doing("quarantine", "quarantined", N_("Quarantine"), (_WHY,), _quarantine),
    Doing(
        "release",
        "released",
        N_("Release from quarantine"),
        (
            ("finding", N_("What the competent person found"), ""),
            ("reason", N_("Why that is enough"), ""),
            ("competent", N_("What makes you a competent person"), N_("Where the crew's record doesn't say.")),
            ("signed", N_("Your name again, for textile gear that arrested a fall"), ""),
        ),
        _release,
        note=N_("29 CFR 1926.104(a) never lets textile gear that arrested a fall be used for people again."),
    ),
    Doing("retire", "retired", N_("Retire"), (_WHY,), _retire),
    Doing(
        "destroy",
        "destroyed",
        N_("Destroyed"),
        (("how", N_("How, so that nobody takes it out of the bin and uses it"), ""),),
        _destroy,
        note=N_("Nothing comes back from that."),
    ),
)
