"""The words of the pages, in English and Spanish, from one catalogue that is read at the start.

English stands in the code and the templates; `locale/es/*.po`, one for each group of pages, hold the Spanish for it
and are put together. `tools/catalogue.py` finds what is missing.
"""

from __future__ import annotations

import gettext
from collections.abc import Iterable
from contextvars import ContextVar
from functools import cache
from importlib import resources
from io import BytesIO
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from babel.messages import Catalog

__all__ = [
    "LANGUAGES",
    "N_",
    "_",
    "catalogue",
    "has_text",
    "language",
    "negotiated",
    "ngettext",
    "said_doing",
    "translations",
    "use_language",
]

#: Code -> what speakers call it themselves.
LANGUAGES = {"en": "English", "es": "Español"}

_current: ContextVar[str] = ContextVar("language", default="en")


def use_language(code: str) -> None:
    """Speak a language for the rest of this request; an unknown one is English."""
    _current.set(code if code in LANGUAGES else "en")


def language() -> str:
    """Code of the language that is spoken."""
    return _current.get()


def _(message: str, **values: object) -> str:
    """Text in the language spoken, its ``%(name)s`` filled in."""
    text = translations(language()).gettext(message) if message else ""  # a blank one is the catalogue's head
    return text % values if values else text


def ngettext(one: str, many: str, count: int, **values: object) -> str:
    """Text for a number of things; ``%(num)s`` is that number."""
    return translations(language()).ngettext(one, many, count) % {"num": count, **values}


def N_(message: str) -> str:  # noqa: N802 - the usual name of a mark that a text is translated later
    """Mark a text for the catalogue; it is translated where it is shown."""
    return message


def has_text(message: str) -> bool:
    """Whether a text is there in the language spoken: always in English."""
    return language() == "en" or not message or translations(language()).gettext(message) != message


def negotiated(accepted: str) -> str:
    """Best language for an ``Accept-Language`` header.

    Examples
    --------
    >>> negotiated("fr, es-MX;q=0.9, en;q=0.4"), negotiated("de"), negotiated("")
    ('es', 'en', 'en')
    """
    for code in _by_liking(accepted[:200]):
        if code in LANGUAGES:
            return code
    return "en"


def _by_liking(accepted: str) -> Iterable[str]:
    found = []
    for part in accepted.split(","):
        tag, _semicolon, rest = part.strip().partition(";")
        try:
            weight = float(rest.strip().removeprefix("q=")) if rest else 1.0
        except ValueError:
            weight = 0.0
        if weight > 0:
            found.append((-weight, tag.split("-")[0].lower()))
    return [tag for _weight, tag in sorted(found, key=lambda one: one[0])]


def catalogue(code: str) -> Catalog:
    """All texts of a language, of all groups of pages together.

    Raises
    ------
    ValueError
        If two files say the same text differently.
    """
    from babel.messages import Catalog
    from babel.messages.pofile import read_po

    whole = Catalog(locale=code)
    folder = resources.files("ropewright.web").joinpath(f"locale/{code}")
    for place in sorted(folder.iterdir(), key=lambda place: place.name):
        if not place.name.endswith(".po"):
            continue
        for message in read_po(BytesIO(place.read_bytes()), locale=code):
            known = whole.get(message.id) if message.id else None
            if known is not None and known.string != message.string:
                raise ValueError(f"{place.name} says {message.id!r} otherwise than a file before it")
            if message.id and known is None:
                whole.add(message.id, message.string, flags=message.flags)
    return whole


@cache
def translations(code: str) -> gettext.NullTranslations:
    """Return the texts of a language; those of English are the texts themselves."""
    if code == "en":
        return gettext.NullTranslations()
    from babel.messages.mofile import write_mo

    compiled = BytesIO()
    write_mo(compiled, catalogue(code))
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)


#: What long work says it is doing; "falls of NAME" is put together here, since a name is in it.
_DOING = {
    "falls in three dimensions": N_("falls in three dimensions"),
    "lengths that hold": N_("lengths that hold"),
    "looking for mends": N_("looking for mends"),
    "draws of the inputs": N_("draws of the inputs"),
    "drawing the map": N_("drawing the map"),
    "setting the plan": N_("setting the plan"),
    "choosing anchors": N_("choosing anchors"),
    "taut ropes": N_("taut ropes"),
    "reading": N_("reading"),
}
_FALLS = "falls of "


def said_doing(doing: str) -> str:
    """Return what long work is doing in the language spoken; as it is where there is no text for it."""
    if doing.startswith(_FALLS):
        return _("falls of %(name)s", name=doing.removeprefix(_FALLS))
    return _(_DOING[doing]) if doing in _DOING else doing
