"""The fall bench: a page that works by its form alone, and the part of it that a script fetches anew."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse

from ropewright.errors import InputError, InputErrors
from ropewright.quantity import UnitSystem
from ropewright.web.fall.form import CHOICES, FIELDS, defaults, read_setup
from ropewright.web.form_error import FormError
from ropewright.web.forms import Faulty, faults_of
from ropewright.web.view import Ui, render
from ropewright.web.words import N_, _

if TYPE_CHECKING:
    from ropewright.job.bench_fall import BenchAnswer

__all__ = ["BenchPage", "Row", "Shown", "router"]

router = APIRouter()

#: Longest text of a field that is looked at. [characters]
_LONGEST = 100

#: Words of the drawings, which are drawn in the language of the page.
DRAWN = (
    *(N_("free fall"), N_("stretching"), N_("grab sliding"), N_("absorber opening"), N_("absorber spent")),
    *(N_("rebound"), N_("slack"), N_("peak force"), N_("whole fall of the D-ring"), N_("D-ring, height")),
    *(N_("speed down"), N_("force"), N_("gives"), N_("time from release, s"), N_("rope"), N_("absorber"), N_("grab")),
    *(N_("swing counted"), N_("feet touch"), N_("limit"), N_("grab travels"), N_("absorber opens")),
    *(N_("rope stretches"), N_("lanyard, anchor give"), N_("sinks further"), N_("harness, D-ring"), N_("swing")),
    *(N_("margin"), N_("by the book"), N_("simulated, likely"), N_("surface stood on"), N_("at its worst")),
    N_("what is free"),
)


@dataclass(frozen=True)
class Shown:
    """One fall as it is shown.

    Parameters
    ----------
    side : str
        ``a`` or ``b``.
    answer : BenchAnswer
    strips, ladder : Markup
        Drawings.
    """

    side: str
    answer: BenchAnswer
    strips: Markup
    ladder: Markup


@dataclass(frozen=True)
class Row:
    """One figure of both falls, SI."""

    label: str
    dimension: str
    values: tuple[float, ...]


@dataclass(frozen=True)
class BenchPage:
    """What the fall bench shows.

    Parameters
    ----------
    texts : dict
        Of every field.
    sides : tuple of str
    is_large : bool
        For a screen that a class looks at.
    faults : Faulty
    shown : tuple of Shown
    rows : tuple of Row
    fields, choices
        As `fall.form` has them.
    """

    texts: dict[str, str]
    sides: tuple[str, ...]
    is_large: bool
    faults: Faulty = field(default_factory=Faulty)
    shown: tuple[Shown, ...] = ()
    rows: tuple[Row, ...] = ()
    fields = FIELDS
    choices = CHOICES

    @property
    def names(self) -> list[str]:
        """Names of the fields in sight, for faults to lead to."""
        one = [*(field.name for field in FIELDS), *CHOICES]
        return [f"{side}.{name}" for side in self.sides for name in one]


@router.get("", include_in_schema=False)
def bench(request: Request) -> HTMLResponse:
    """Show the bench with the set-ups that the address tells."""
    page = _page(request)
    return render(request, "fall/bench.html", page, status=422 if page.faults.faults else 200)


@router.get("/shown", include_in_schema=False)
def shown(request: Request) -> HTMLResponse:
    """Show only what follows from the set-ups; a fault is told in its place."""
    return render(request, "fall/_shown.html", _page(request))


def _page(request: Request) -> BenchPage:
    query = {name: value[:_LONGEST] for name, value in request.query_params.items()}
    units = Ui(request).units()
    sides = ("a", "b") if query.get("two") == "yes" else ("a",)
    texts = _texts(query, units)
    is_large = query.get("large") == "yes"
    try:
        answers = _answers(texts, sides)
    except (InputError, InputErrors) as error:
        return BenchPage(texts, sides, is_large, faults_of(error))
    return BenchPage(texts, sides, is_large, Faulty(), _drawn(answers, sides, units), _rows(answers))


def _texts(query: Mapping[str, str], units: UnitSystem) -> dict[str, str]:
    """Text of every field: as the address tells it, else as it starts; the second set-up starts as the first."""
    start = defaults(units)
    texts = {f"a.{name}": query.get(f"a.{name}", value) for name, value in start.items()}
    return texts | {f"b.{name}": query.get(f"b.{name}", texts[f"a.{name}"]) for name in start}


def _answers(texts: Mapping[str, str], sides: tuple[str, ...]) -> tuple[BenchAnswer, ...]:
    from ropewright.arrest.catch import CatchError
    from ropewright.job.bench_fall import answer_bench_fall

    found: list[BenchAnswer] = []
    faults: list[InputError] = []
    for side in sides:
        try:
            found.append(answer_bench_fall(read_setup(texts, side)))
        except CatchError:
            told = _("change the rope, the absorber or the grab: nothing in this chain stops the fall")
            faults.append(FormError(f"{side}.rope", texts[f"{side}.rope"], told))
        except InputErrors as error:
            faults.extend(fault for fault in error.exceptions if isinstance(fault, InputError))
        except InputError as error:  # names its field without the side
            at = error.field if error.field.startswith(f"{side}.") else f"{side}.{error.field}"
            faults.append(type(error)(at, error.value, error.expected))
    if faults:
        raise InputErrors("a set-up can't be worked out", faults)
    return tuple(found)


def _drawn(answers: tuple[BenchAnswer, ...], sides: tuple[str, ...], units: UnitSystem) -> tuple[Shown, ...]:
    from ropewright.job.bench_fall import shared_span
    from ropewright.sheets.fall_ladder import ladder_svg
    from ropewright.sheets.fall_strips import Span, strips_svg

    span = Span(*shared_span(answers))
    deepest = max(max(one.needed, one.setup.clearance or 0.0) for one in answers)

    def drawn(side: str, one: BenchAnswer) -> Shown:
        # the drawings escape every text that they hold
        strips = Markup(strips_svg(one, span, units, title=_("The fall against time"), say=_))  # noqa: S704
        title = _("Where the clearance goes")
        ladder = Markup(ladder_svg(one, deepest, units, title=title, say=_))  # noqa: S704
        return Shown(side, one, strips, ladder)

    return tuple(drawn(side, one) for side, one in zip(sides, answers, strict=True))


def _rows(answers: tuple[BenchAnswer, ...]) -> tuple[Row, ...]:
    return (
        Row(N_("Peak force, likely"), "force", tuple(one.fall.one.number("peak_force") for one in answers)),
        Row(N_("Peak force, at its worst"), "force", tuple(one.force_high for one in answers)),
        Row(N_("Clearance needed, by the book"), "length", tuple(float(one.book.total) for one in answers)),
        Row(N_("Clearance needed, simulated, likely"), "length", tuple(one.needed_likely for one in answers)),
        Row(N_("Clearance needed, simulated, at its worst"), "length", tuple(one.needed_high for one in answers)),
        Row(N_("Lost in the swing"), "length", tuple(one.setup.swing_drop for one in answers)),
        Row(N_("Speed that the swing can give"), "speed", tuple(one.swing_speed for one in answers)),
    )
