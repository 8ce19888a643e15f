"""Benches of what a rope is worth: strength today, stretch, break tests."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from ropewright.errors import InputError
from ropewright.quantity import UnitSystem
from ropewright.web.rope.bench import Bench
from ropewright.web.rope.form import TRI, Field, FormReader, Option, options_of, packs, tri
from ropewright.web.words import N_

if TYPE_CHECKING:
    from ropewright.rope.batch import BatchTest
    from ropewright.rope.stretch import StretchTable
    from ropewright.rules.told_rope import Judged

__all__ = ["BATCH", "JUDGE", "STRETCH"]

_WATER: tuple[Option, ...] = (("unknown", N_("not known")), ("dry", N_("dry")), ("wet", N_("wet")))


def _kind(*, fibre: str, construction: str, stretch: str) -> tuple[Field, ...]:
    """Fields that say what a rope is made of."""
    from ropewright.rope.names import construction_names, fibre_names, stretch_names

    return (
        Field("fibre", N_("Fibre"), fibre, kind="choice", options=options_of(fibre_names), part=N_("The rope")),
        Field("construction", N_("Construction"), construction, kind="choice", options=options_of(construction_names)),
        Field("stretch", N_("Stretch class"), stretch, kind="choice", options=options_of(stretch_names)),
    )


def _state(condition: str) -> tuple[Field, ...]:
    from ropewright.rope.names import condition_names

    return (
        Field("condition", N_("Condition"), condition, kind="choice", options=options_of(condition_names)),
        Field("water", N_("Wet or dry"), "dry", kind="choice", options=lambda: _WATER),
    )


def _join_state(form: FormReader) -> None:
    """Put condition and water together, as the engine reads them."""
    texts = dict(form.texts)
    if texts["water"] != "unknown":
        texts["condition"] = f"{texts['condition']}, {texts['water']}"
    form.texts = texts


def _judge_fields() -> tuple[Field, ...]:
    from ropewright.rope.names import basis_names, termination_names
    from ropewright.rope.service import FOUND

    def found() -> tuple[Option, ...]:
        return tuple((name, name) for name in FOUND)

    basis, ends = options_of(basis_names), options_of(termination_names)
    return (
        *_kind(fibre="polyester", construction="sheathed core", stretch="static"),
        Field("strength", N_("Strength as new"), "30 kN", "6,700 lbf", is_needed=True,
              hint=N_("as on its label or data sheet")),
        Field("basis", N_("That figure is"), "maker's minimum", kind="choice", options=basis),
        Field("uv_inhibitor", N_("Inhibitor against sunlight, if polypropylene"), "unknown", kind="choice",
              options=lambda: TRI),
        *_state("good"),
        Field("end", N_("It is ended with"), "figure-eight loop", kind="choice", options=ends, part=N_("As rigged")),
        Field("edge", N_("It bears on a bare edge"), "no", kind="choice", options=lambda: TRI),
        Field("bend_ratio", N_("What it is bent round, over its own diameter"), hint=N_("such as 3; empty: no bend")),
        Field("rules", N_("Rules"), "us-construction", kind="choice", options=packs),
        Field("age", N_("Age"), "3 years", part=N_("What it has been through")),
        Field("life", N_("Life that its maker gives it"), "10 years"),
        Field("outdoors", N_("Left out in the weather, in all"), "3 months"),
        Field("days_used", N_("Days of use"), "40"),
        Field("catches", N_("Falls it has caught"), "0"),
        Field("found", N_("Found on it"), kind="ticks", options=found),
    )  # fmt: skip


def _judge(form: FormReader) -> Judged:
    from ropewright.rules.told_rope import told_judge

    _join_state(form)
    return told_judge(
        form, rules=form.texts["rules"], edge=tri(form.texts["edge"]), uv_inhibitor=tri(form.texts["uv_inhibitor"])
    )


def _judge_drawn(told: Judged, units: UnitSystem) -> str:
    from ropewright.sheets.judge_drawing import judge_svg

    return judge_svg(told.chain, told.allowed[0], told.asked, units)


def _judge_more(_: Judged) -> Mapping[str, Any]:
    from ropewright.rope.service import FOUND, RETIRE

    return {"found": FOUND, "retire": RETIRE}


JUDGE = Bench(
    "judge",
    N_("Strength today"),
    N_("What is left of a rope, step by step, and what it may and may not do today."),
    _judge_fields,
    _judge,
    _judge_drawn,
    lambda _: "What is left of a rope",
    _judge_more,
)


def _stretch_fields() -> tuple[Field, ...]:
    return (
        *_kind(fibre="polyester", construction="sheathed core", stretch="static"),
        Field("diameter", N_("Diameter"), "11 mm", "7/16 in", is_needed=True),
        *_state("good"),
        Field("strength", N_("Strength as new"), hint=N_("scales laid and braided rope; may be empty")),
        Field("stiffness", N_("Force per unit of strain"), hint=N_("if its maker gives it; may be empty")),
        Field("length", N_("Rope out at most"), "15 m", "50 ft", is_needed=True, part=N_("The load")),
        Field("mass", N_("Person with tools"), "100 kg", "220 lb", is_needed=True),
        Field("force", N_("Force in the catch"), "6 kN", "1,800 lbf",
              hint=N_("empty: 1,800 lbf (8 kN), the most that US rules allow on a person")),
    )  # fmt: skip


def _stretch(form: FormReader) -> StretchTable:
    from ropewright.rope.told_pull import told_stretch

    _join_state(form)
    return told_stretch(form)


def _stretch_drawn(table: StretchTable, units: UnitSystem) -> str:
    from ropewright.sheets.stretch_drawing import stretch_svg

    return stretch_svg(table, units)


STRETCH = Bench(
    "stretch",
    N_("Stretch"),
    N_("How far a rope gives under a person and in a catch, and the clearance that takes."),
    _stretch_fields,
    _stretch,
    _stretch_drawn,
    lambda _: "Stretch against rope out",
)

_METRIC_BREAKS = "28.9 kN\n30.0 kN\n29.7 kN\n31.2 kN\n30.8 kN"
_US_BREAKS = "6500 lbf\n6750 lbf\n6675 lbf\n7005 lbf\n6925 lbf"


def _batch_fields() -> tuple[Field, ...]:
    return (
        Field("break", N_("Loads at which the pieces broke"), _METRIC_BREAKS, _US_BREAKS, kind="area", is_needed=True,
              hint=N_("one a line, with its unit; leave none out, not even one far from the rest")),
        Field("coverage", N_("Share of the batch that is to be as strong"), "99 %"),
        Field("confidence", N_("How sure that must be"), "95 %"),
    )  # fmt: skip


def _batch(form: FormReader) -> BatchTest:
    from ropewright.rope.told_pull import told_batch

    if not form.texts["break"]:
        raise InputError("break", None, "give each load with its unit, such as '31.2 kN', one a line")
    return told_batch(form)


def _batch_drawn(test: BatchTest, units: UnitSystem) -> str:
    from ropewright.sheets.batch_drawing import batch_svg

    return batch_svg(test, units)


def _batch_more(test: BatchTest) -> Mapping[str, Any]:
    from ropewright.rope.told_pull import BATCH_SOURCES, why_they_differ

    return {"why": tuple(why_they_differ(test)), "sources": BATCH_SOURCES}


BATCH = Bench(
    "batch",
    N_("Break tests"),
    N_("What break tests of one batch tell of the rope that was not broken."),
    _batch_fields,
    _batch,
    _batch_drawn,
    lambda _: "Break tests of one batch",
    _batch_more,
)
