"""What a person chose for themselves: name, units, language and look; kept in cookies of their browser."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Mapping
from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import Response

from ropewright.errors import InputError
from ropewright.quantity import UnitSystem
from ropewright.web.form_error import FormError
from ropewright.web.words import LANGUAGES, _, negotiated

__all__ = ["LONGEST_NAME", "THEMES", "Choices", "choices_of", "keep_choices", "read_name"]

THEMES = ("auto", "light", "dark")
#: Longest name of a person. [characters]
LONGEST_NAME = 80
_YEAR = 365 * 24 * 3600


@dataclass(frozen=True, slots=True)
class Choices:
    """What a person chose.

    Parameters
    ----------
    person : str
        Their name, which goes into what they write; empty until it was asked for.
    units : UnitSystem or None
        None: those of each job.
    language : str
        Code of the language.
    theme : str
        One of `THEMES`.
    """

    person: str
    units: UnitSystem | None
    language: str
    theme: str


def choices_of(request: Request) -> Choices:
    """Choices that a request carries; whatever is no choice counts as none."""
    cookies = request.cookies
    units = cookies.get("ropewright_units", "")
    code = cookies.get("ropewright_language", "")
    theme = cookies.get("ropewright_theme", "")
    return Choices(
        person=_person(cookies),
        units=UnitSystem(units) if units in set(UnitSystem) else None,
        language=code if code in LANGUAGES else negotiated(request.headers.get("accept-language", "")),
        theme=theme if theme in THEMES else "auto",
    )


def keep_choices(response: Response, choices: Choices) -> None:
    """Let the browser keep the choices for a year."""
    kept = {
        "person": base64.urlsafe_b64encode(choices.person.encode()).decode(),
        "units": choices.units.value if choices.units else "job",
        "language": choices.language,
        "theme": choices.theme,
    }
    for name, value in kept.items():
        response.set_cookie(f"ropewright_{name}", value, max_age=_YEAR, httponly=True, samesite="strict")


def read_name(text: str, field: str = "person") -> str:
    """Name of a person as it goes into the record.

    Raises
    ------
    FormError
        If it is blank, too long, or holds signs that can't be seen.

    Examples
    --------
    >>> read_name("  A.  Roofer ")
    'A. Roofer'
    """
    name = " ".join(text.split())
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise FormError(field, text[:LONGEST_NAME] or None, _("give your name, up to 80 characters"))
    return name


def _person(cookies: Mapping[str, str]) -> str:
    try:
        return read_name(base64.urlsafe_b64decode(cookies.get("ropewright_person", "")).decode())
    except (InputError, binascii.Error, ValueError):
        return ""
