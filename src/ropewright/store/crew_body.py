"""What the entries about people say, as plain data and as the body of an entry; SI throughout."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from ropewright.store.entry import JsonValue

__all__ = ["Certificate", "Need", "Particulars", "SignOff", "Training"]

Body = dict[str, JsonValue]


@dataclass(frozen=True, slots=True)
class Particulars:
    """What must be known of a person, and no more; None where it is not known.

    Attributes
    ----------
    name : str
        Or another mark that tells them apart: 29 CFR 1926.503(b)(1) takes either.
    mass, mass_with_tools : float or None
        Of the body, and with clothing and all that is carried. [kg]
    harness_size : str
        As the maker marks it; empty: not known.
    """

    name: str | None = None
    mass: float | None = None
    mass_with_tools: float | None = None
    harness_size: str | None = None

    def body(self) -> Body:
        """Return what is told, as JSON; what is None is left out."""
        told: Mapping[str, JsonValue] = {
            "name": self.name,
            "mass_kg": self.mass,
            "mass_with_tools_kg": self.mass_with_tools,
            "harness_size": self.harness_size,
        }
        return {key: value for key, value in told.items() if value is not None}


@dataclass(frozen=True, slots=True)
class Certificate:
    """The written certification of a training, as 29 CFR 1926.503(b)(1) asks for it beside name and date.

    Attributes
    ----------
    signed_by : str
        Whose signature stands on it.
    signed_as : str
        ``trainer`` or ``employer``.
    paper : str
        Number of the paper or where it is kept.
    """

    signed_by: str
    signed_as: str
    paper: str = ""


@dataclass(frozen=True, slots=True)
class Training:
    """A training that a person had.

    Attributes
    ----------
    on : date
        Its last day.
    topics, systems : tuple of str
        Keys of `crew_words.topics` and `crew_words.systems`.
    trainer : str
    trainer_is : tuple of str
        ``competent``, ``qualified``, both or none of them.
    certificate : Certificate or None
    employer : str
        Another employer who gave it; empty: this one.
    judged_on, judged_by
        Day on which this employer judged such training adequate, and who did.
    expires : date or None
        Last day on which it counts; None: no rule and no employer sets one.
    expires_by : str
        Who or what sets it.
    answers : tuple of int
        Entries that opened a need to train anew which this training meets.
    """

    on: date
    topics: tuple[str, ...]
    systems: tuple[str, ...]
    trainer: str
    trainer_is: tuple[str, ...] = ()
    certificate: Certificate | None = None
    employer: str = ""
    judged_on: date | None = None
    judged_by: str = ""
    expires: date | None = None
    expires_by: str = ""
    answers: tuple[int, ...] = ()

    def body(self) -> Body:
        """Return it as JSON."""
        signed = self.certificate
        told: Body = {
            "on": self.on.isoformat(),
            "topics": list(self.topics),
            "systems": list(self.systems),
            "trainer": self.trainer,
            "trainer_is": list(self.trainer_is),
        }
        if signed is not None:
            told["certificate"] = {"signed_by": signed.signed_by, "signed_as": signed.signed_as, "paper": signed.paper}
        if self.employer:
            judged = self.judged_on.isoformat() if self.judged_on else None
            told |= {"employer": self.employer, "judged_on": judged, "judged_by": self.judged_by}
        if self.expires is not None:
            told |= {"expires": self.expires.isoformat(), "expires_by": self.expires_by}
        if self.answers:
            told["answers"] = list(self.answers)
        return told


@dataclass(frozen=True, slots=True)
class SignOff:
    """A skill that somebody looked at: `result` is ``can`` or ``not yet``."""

    on: date
    skill: str
    result: str
    assessor: str
    note: str = ""

    def body(self) -> Body:
        """Return it as JSON."""
        return {
            "on": self.on.isoformat(),
            "skill": self.skill,
            "result": self.result,
            "assessor": self.assessor,
            "note": self.note,
        }


@dataclass(frozen=True, slots=True)
class Need:
    """Why a person must be trained anew; `topics` and `systems` are what it must be on, empty: not told."""

    on: date
    trigger: str
    note: str = ""
    topics: tuple[str, ...] = field(default=())
    systems: tuple[str, ...] = field(default=())

    def body(self) -> Body:
        """Return it as JSON."""
        return {
            "on": self.on.isoformat(),
            "trigger": self.trigger,
            "note": self.note,
            "topics": list(self.topics),
            "systems": list(self.systems),
        }
