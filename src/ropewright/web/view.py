"""Pages made of templates: what every template can say, whatever it shows."""

from __future__ import annotations

import re
import secrets
from collections import OrderedDict
from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from threading import Lock
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse

from ropewright import __version__
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.quantity.show import Toward
from ropewright.sheets.ink import CAUTION
from ropewright.web import words
from ropewright.web.choices import Choices, choices_of
from ropewright.web.groups import GROUPS, PageGroup

__all__ = ["Parts", "Ui", "environment", "is_api", "render"]


def is_api(request: Request) -> bool:
    """Whether a request goes to the JSON interface."""
    return request.url.path.startswith("/api/") or request.url.path == "/api"


@dataclass(frozen=True)
class Ui:
    """What a template knows besides its own page: who looks, how they want it, where they are."""

    request: Request

    @cached_property
    def choices(self) -> Choices:
        """Name, units, language and look of whoever looks."""
        return choices_of(self.request)

    @property
    def language(self) -> str:
        """Code of the language spoken."""
        return words.language()

    @cached_property
    def csrf_token(self) -> str:
        """Token that every form carries."""
        token: str = self.request.app.state.sessions.form_token(self.request)
        return token

    @property
    def is_admitted(self) -> bool:
        """Whether whoever looks has a session."""
        return bool(self.csrf_token)

    @property
    def groups(self) -> tuple[PageGroup, ...]:
        """Groups in the navigation."""
        return tuple(group for group in GROUPS if group.name)

    def is_in(self, group: PageGroup) -> bool:
        """Whether the page shown belongs to a group."""
        path = self.request.url.path
        return path == group.prefix or path.startswith(f"{group.prefix}/")

    def static(self, name: str) -> str:
        """Address of a style or script."""
        url: str = self.request.app.state.statics.url(name)
        return url

    def has(self, name: str) -> bool:
        """Whether there is a page under a route's name."""
        names: frozenset[str] = self.request.app.state.routes
        return name in names

    def units(self, job_units: UnitSystem | None = None) -> UnitSystem:
        """Units to show: those chosen, else those of the job, else metric."""
        return self.choices.units or job_units or UnitSystem.METRIC

    def quantity(
        self, value: float | None, dimension: str, *, toward: Toward = "nearest", units: UnitSystem | None = None
    ) -> str:
        """Text of an SI number in the units chosen; ``not known`` where there is none."""
        if value is None:
            return words._("not known")
        return show(value, Dimension(dimension), self.units(units), toward=toward)


def _ident(name: str) -> str:
    """Return a name of a field as an id that addresses can hold."""
    return re.sub(r"[^A-Za-z0-9_-]+", "-", name).strip("-")


#: As `sheets.look` has them, which would be slow to import for a word.
_VERDICTS = {
    "holds": words.N_("holds"),
    "doubtful": words.N_("doubtful"),
    "ask": words.N_("ask"),
    "fails": words.N_("fails"),
}


def _verdict_word(verdict: str | None) -> str:
    return words._(_VERDICTS[verdict]) if verdict else words._("not reached")


def _said_options(options: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return the options of a choice with their words in the language spoken."""
    return [(value, words._(text)) for value, text in options]


def _when(moment: datetime) -> str:
    """Return a moment by the clock of this machine, the day as it is written everywhere."""
    return moment.astimezone().strftime("%Y-%m-%d %H:%M")


def environment() -> Environment:
    """Templates of the package; everything is escaped, and an unknown variable is an error."""
    env = Environment(
        loader=PackageLoader("ropewright.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
    )
    env.install_gettext_callables(  # type: ignore[attr-defined]
        lambda text: words.translations(words.language()).gettext(text),
        lambda one, many, count: words.translations(words.language()).ngettext(one, many, count),
        newstyle=True,
    )
    env.filters["ident"] = _ident
    # a text that comes from elsewhere goes through `said`: `_` in a template takes only what stands there
    env.globals.update(
        LANGUAGES=words.LANGUAGES,
        caution=CAUTION,
        has_text=words.has_text,
        said=words._,
        said_options=_said_options,
        verdict_word=_verdict_word,
        when=_when,
        version=__version__,
    )
    return env


#: Stands for the token in parts that are kept for all who look; by chance, so that nobody can type it.
_TOKEN = secrets.token_hex(16)
#: Most parts that are kept.
_KEPT = 64


class Parts:
    """Parts of pages that take long to set and are the same for everybody, but for the token of their forms."""

    def __init__(self) -> None:
        self._kept: OrderedDict[Hashable, str] = OrderedDict()
        self._lock = Lock()

    def part(self, request: Request, template: str, page: Any, key: Hashable) -> Markup:
        """Part of a page as it was set before, or set now.

        Parameters
        ----------
        request : Request
        template : str
            It gets ``page`` and ``ui`` as pages do, but may show nothing of whoever looks but their language.
        page : dataclass
        key : hashable
            What the part hangs on, besides template and language.
        """
        whole = (template, words.language(), key)
        with self._lock:
            text = self._kept.get(whole)
        if text is None:
            ui = Ui(request)
            ui.__dict__["csrf_token"] = _TOKEN
            env: Environment = request.app.state.templates
            text = env.get_template(template).render(page=page, ui=ui)
            with self._lock:
                self._kept[whole] = text
                while len(self._kept) > _KEPT:
                    self._kept.popitem(last=False)
        return Markup(text.replace(_TOKEN, Ui(request).csrf_token))  # noqa: S704 - set by a template, which escapes


def render(request: Request, template: str, page: Any = None, *, status: int = 200) -> HTMLResponse:
    """Return a page.

    Parameters
    ----------
    request : Request
    template : str
        Its file.
    page : dataclass, optional
        What it shows, as ``page`` in the template.
    status : int
    """
    env: Environment = request.app.state.templates
    text = env.get_template(template).render(page=page, ui=Ui(request))
    return HTMLResponse(text, status_code=status)
