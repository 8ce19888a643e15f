"""The bench of knots: how each is tied, what it takes and what it leaves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ropewright.quantity import Dimension, UnitSystem
from ropewright.quantity.told import positive
from ropewright.web.rope.bench import Bench
from ropewright.web.rope.form import Field, FormReader, Option
from ropewright.web.words import N_

if TYPE_CHECKING:
    from ropewright.rope.knots import TiedKnot
    from ropewright.rope.made_ends import MadeEnd

__all__ = ["KNOT", "AtHand"]

_LENGTH = positive(Dimension.LENGTH)


@dataclass(frozen=True)
class AtHand:
    """An end that was asked for: a knot that is drawn, or one that is none."""

    tied: TiedKnot | None
    made: MadeEnd | None
    diameter: float

    @property
    def every(self) -> tuple[TiedKnot, ...]:
        """Every knot that is drawn, in this rope."""
        from ropewright.rope.knots import knots, tie

        return tuple(tie(knot, self.diameter) for knot in knots().values())

    @property
    def notes(self) -> tuple[str, ...]:
        """What is to be said beside the figures."""
        from ropewright.rope.knot_words import HOW_MEASURED, NO_ROPE, tested

        return (NO_ROPE,) if self.tied is None else (HOW_MEASURED, tested(self.tied))


def _ends() -> tuple[Option, ...]:
    from ropewright.rope.knots import knots
    from ropewright.rope.made_ends import made_end_names

    return tuple((name, name) for name in (*knots(), *made_end_names()))


def _knot_fields() -> tuple[Field, ...]:
    return (
        Field("name", N_("Knot or other end"), "figure-eight on a bight", kind="choice", options=_ends),
        Field("diameter", N_("Diameter"), "11 mm", "7/16 in", is_needed=True,
              hint=N_("of the rope; of a sliding hitch, of its cord")),
        Field("loop", N_("Rope round the loop"), hint=N_("empty: as drawn")),
    )  # fmt: skip


def _knot(form: FormReader) -> AtHand:
    from ropewright.rope.knots import find_knot, tie
    from ropewright.rope.made_ends import find_made_end, made_end

    name = form.texts["name"]
    made = find_made_end(name, "name")
    asked = None if made else find_knot(name, "name")
    diameter = form.one("diameter", _LENGTH, 0.011)
    loop = form.one("loop", _LENGTH, None)
    if diameter > 0.2:
        form.refuse("diameter", "give at most 0.2 m", value=form.texts["diameter"])
    if loop is not None and (asked is None or not asked.has_loop):
        form.refuse("loop", f"leave it out: {name!r} has no loop that is drawn", value=form.texts["loop"])
    form.done("the knot can't be worked out")
    if made:
        return AtHand(None, made_end(made, diameter), diameter)
    assert asked is not None, "what is no made end is a knot"
    return AtHand(tie(asked, diameter, loop), None, diameter)


def _knot_drawn(told: AtHand, units: UnitSystem) -> str:
    if told.tied is None:
        from ropewright.sheets.end_drawing import end_svg

        return end_svg(told.made.end.kind) if told.made else ""
    from ropewright.sheets.knot_drawing import knot_svg

    return knot_svg(told.tied, units)


def _knot_title(told: AtHand) -> str:
    if told.tied is None:
        return f"Scheme of a {told.made.end.name}" if told.made else ""
    return f"How to tie: {told.tied.knot.name}"


KNOT = Bench(
    "knot",
    N_("Knots"),
    N_("How each is tied, what rope it takes and what strength it leaves; what rules forbid first."),
    _knot_fields,
    _knot,
    _knot_drawn,
    _knot_title,
)
