"""Which texts the pages say: found in templates and modules, so that none lacks its Spanish."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import resources
from importlib.resources.abc import Traversable
from typing import TypeAlias

__all__ = ["messages_used"]

Message: TypeAlias = "str | tuple[str, ...]"

_KEYWORDS = {"_": None, "N_": None, "gettext": None, "ngettext": (1, 2)}


def messages_used() -> list[Message]:
    """Texts in templates and modules of the pages, each once, in the order in which they are found."""
    from babel.messages.extract import extract

    found: dict[Message, None] = {}
    for place in _sources(resources.files("ropewright.web")):
        method = "python" if place.name.endswith(".py") else "jinja2.ext:babel_extract"
        options = {} if method == "python" else {"trimmed": "true", "newstyle_gettext": "true"}
        with place.open("rb") as file:
            for _line, message, _comments, _context in extract(method, file, keywords=_KEYWORDS, options=options):
                found[message] = None
    return list(found)


def _sources(folder: Traversable) -> Iterator[Traversable]:
    for place in sorted(folder.iterdir(), key=lambda place: place.name):
        if place.is_dir():
            yield from _sources(place)
        elif place.name.endswith((".py", ".html")):
            yield place
