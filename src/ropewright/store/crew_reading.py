"""What people write about people, as options, cells or fields of a form -> plain data, with all faults told at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from typing import TypeVar

from ropewright.errors import InputError, InputErrors
from ropewright.quantity import Dimension, parse_quantity
from ropewright.store.crew_body import Certificate, Need, Particulars, SignOff, Training
from ropewright.store.crew_words import ROLES, read_line, read_word, read_words, skills, systems, topics, triggers
from ropewright.store.day import read_day, read_past_day

__all__ = [
    "RESULTS",
    "SIGNED_AS",
    "TRAINER_IS",
    "Texts",
    "read_need",
    "read_particulars",
    "read_roles",
    "read_sign_off",
    "read_training",
]

#: What stands for each field: a text, or several where several may be told.
Texts = Mapping[str, "str | Iterable[str] | None"]

TRAINER_IS = ("competent", "qualified")
SIGNED_AS = ("employer", "trainer")
RESULTS = ("can", "not yet")

#: No worker weighs less or more, tools included. [kg]
_MASSES = (30.0, 300.0)

_T = TypeVar("_T")


class _Fields:
    """Reads fields and keeps every fault; `named` says how the user calls a field."""

    def __init__(self, texts: Texts, named: Callable[[str], str]) -> None:
        self._texts = texts
        self._named = named
        self.faults: list[InputError] = []

    def one(self, key: str, read: Callable[[object, str], _T], default: _T) -> _T:
        """Value of a field; the default where nothing stands or it can't be read."""
        text = self._texts.get(key)
        if text is None or (isinstance(text, str) and not text.strip()):
            return default
        return self.read(key, read, text, default)

    def read(self, key: str, read: Callable[[object, str], _T], text: object, default: _T) -> _T:
        """Value of a text of this field."""
        try:
            return read(text, self._named(key))
        except InputError as fault:
            self.faults.append(fault)
            return default

    def needed(self, key: str, read: Callable[[object, str], _T], right: str, default: _T) -> _T:
        """Value of a field that may not be missing."""
        text = self._texts.get(key)
        if text is None or (isinstance(text, str) and not text.strip()):
            self.fault(key, text, right)
            return default
        return self.read(key, read, text, default)

    def several(self, key: str, known: Iterable[str]) -> tuple[str, ...]:
        """Words of a field of which several may be told."""
        texts = self._texts.get(key) or ()
        given = [texts] if isinstance(texts, str) else list(texts)
        return self.read(key, lambda text, field: read_words(text, tuple(known), field), given, ())  # type: ignore[arg-type]

    def fault(self, key: str, value: object, right: str) -> None:
        self.faults.append(InputError(self._named(key), value, right))

    def done(self, value: _T) -> _T:
        """Return the value, or raise all faults."""
        if self.faults:
            raise self.faults[0] if len(self.faults) == 1 else InputErrors(f"{len(self.faults)} faults", self.faults)
        return value


def read_particulars(texts: Texts, named: Callable[[str], str]) -> Particulars:
    """Particulars told by ``name``, ``mass``, ``mass_with_tools`` and ``harness_size``; what is left out is None.

    Parameters
    ----------
    texts : mapping
        Field to what stands there, such as ``{"name": "A. Example", "mass": "82 kg"}``.
    named : callable
        How a field is called in errors, such as ``lambda key: f"--{key}"``.

    Raises
    ------
    InputError, InputErrors
        For every field that can't be read; so do all readers of this module.
    """
    fields = _Fields(texts, named)
    read_text: Callable[[object, str], str | None] = read_line
    told = Particulars(
        name=fields.one("name", read_text, None),
        mass=fields.one("mass", _mass, None),
        mass_with_tools=fields.one("mass_with_tools", _mass, None),
        harness_size=fields.one("harness_size", read_text, None),
    )
    if told.mass is not None and told.mass_with_tools is not None and told.mass_with_tools < told.mass:
        fields.fault("mass_with_tools", texts["mass_with_tools"], "with clothing and tools nobody weighs less")
    return fields.done(told)


def _mass(text: object, field: str) -> float | None:
    value = parse_quantity(text, Dimension.MASS, field)
    low, high = _MASSES
    if not low <= value <= high:
        raise InputError(field, text, f"give a mass from {low:g} kg to {high:g} kg")
    return value


def read_roles(texts: Texts, named: Callable[[str], str]) -> tuple[str, ...]:
    """Roles told by ``role``, one or several."""
    fields = _Fields(texts, named)
    return fields.done(fields.several("role", ROLES))


def read_training(texts: Texts, named: Callable[[str], str], *, today: date, answers: Iterable[int] = ()) -> Training:
    """Training told by the fields of `Training`, and ``signed_by``, ``signed_as`` and ``paper`` of its certificate."""
    fields = _Fields(texts, named)

    def past(text: object, field: str) -> date:
        return read_past_day(text, field, today)

    told = Training(
        on=fields.needed("on", past, "give its last day, such as 2026-05-31", today),
        topics=fields.several("topic", topics()),
        systems=fields.several("system", systems()),
        trainer=fields.needed("trainer", read_line, "say who gave the training", ""),
        trainer_is=fields.several("trainer_is", TRAINER_IS),
        certificate=_certificate(fields, texts),
        employer=fields.one("employer", read_line, ""),
        judged_on=fields.one("judged_on", lambda text, field: _any(past(text, field)), None),
        judged_by=fields.one("judged_by", read_line, ""),
        expires=fields.one("expires", lambda text, field: _any(read_day(text, field)), None),
        expires_by=fields.one("expires_by", read_line, ""),
        answers=tuple(sorted(set(answers))),
    )
    if not told.topics and not any(fault.field == named("topic") for fault in fields.faults):
        fields.fault("topic", None, f"say what the training was on: {', '.join(topics())}, or all")
    if told.employer and (told.judged_on is None or not told.judged_by):
        right = (
            "another employer's training counts from the day on which somebody here judged it adequate: say who, when"
        )
        fields.fault("judged_on" if told.judged_on is None else "judged_by", None, right)
    if told.judged_on is not None and not told.employer:
        fields.fault("employer", None, "say which other employer gave the training that was judged")
    return fields.done(told)


def _certificate(fields: _Fields, texts: Texts) -> Certificate | None:
    signed_by = fields.one("signed_by", read_line, "")
    signed_as = fields.one("signed_as", lambda text, field: read_word(text, SIGNED_AS, field), "")
    paper = fields.one("paper", read_line, "")
    if signed_by and signed_as:
        return Certificate(signed_by, signed_as, paper)
    if signed_by and not texts.get("signed_as"):
        fields.fault("signed_as", None, "say whether the trainer or the employer signed the certificate")
    if not signed_by and (signed_as or paper):
        fields.fault("signed_by", None, "say who signed the certificate; unsigned it is none")
    return None


def _any(day: date) -> date | None:
    """Return the day, as one that might be missing."""
    return day


def read_sign_off(texts: Texts, named: Callable[[str], str], *, today: date) -> SignOff:
    """Sign-off told by ``on`` (today if left out), ``skill``, ``result``, ``assessor`` and ``note``."""
    fields = _Fields(texts, named)
    told = SignOff(
        on=fields.one("on", lambda text, field: read_past_day(text, field, today), today),
        skill=fields.needed(
            "skill", lambda text, field: read_word(text, skills(), field), f"give one of {', '.join(skills())}", ""
        ),
        result=fields.one("result", lambda text, field: read_word(text, RESULTS, field), "can"),
        assessor=fields.needed("assessor", read_line, "say who saw it", ""),
        note=fields.one("note", read_line, ""),
    )
    return fields.done(told)


def read_need(texts: Texts, named: Callable[[str], str], *, today: date) -> Need:
    """Need to train anew told by ``on`` (today if left out), ``trigger``, ``note``, ``topic`` and ``system``."""
    fields = _Fields(texts, named)
    told = Need(
        on=fields.one("on", lambda text, field: read_past_day(text, field, today), today),
        trigger=fields.needed(
            "trigger",
            lambda text, field: read_word(text, triggers(), field),
            f"give one of {', '.join(triggers())}",
            "",
        ),
        note=fields.one("note", read_line, ""),
        topics=fields.several("topic", topics()),
        systems=fields.several("system", systems()),
    )
    return fields.done(told)
