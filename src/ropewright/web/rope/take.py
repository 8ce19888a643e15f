"""Benches of which rope to take, and how to put it away."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from ropewright.quantity import UnitSystem
from ropewright.web.rope.bench import Bench
from ropewright.web.rope.form import TRI, Field, FormReader, Option, options_of, packs, tri
from ropewright.web.words import N_

if TYPE_CHECKING:
    from ropewright.rope.told_stow import PutAway
    from ropewright.rules.told_rope import Compared

__all__ = ["CHOOSE", "STOW"]

_ANY: Option = ("", N_("any"))


def _choose_fields() -> tuple[Field, ...]:
    from ropewright.rope.harms import CHEMICALS
    from ropewright.rope.names import basis_names, construction_names, fibre_names, stretch_names

    def known(names: tuple[str, ...]) -> tuple[Option, ...]:
        return tuple((name, name) for name in names if name != "unknown")

    uses: tuple[Option, ...] = (("lifeline", N_("lifeline")), ("lanyard", N_("lanyard")))
    return (
        Field("use", N_("It is to be a"), "lifeline", kind="choice", options=lambda: uses, part=N_("What it is for")),
        Field("diameter", N_("Diameter"), "11 mm", "7/16 in", is_needed=True),
        Field("grab_from", N_("Rope grab marked from"), "10 mm", "3/8 in"),
        Field("grab_to", N_("Rope grab marked to"), "12 mm", "1/2 in"),
        Field("length", N_("Mass of this length"), "30 m", "100 ft"),
        Field("rules", N_("Rules"), "us-construction", kind="choice", options=packs),
        Field("temperature", N_("Heat of what it lies on"), "60 degC", "140 degF", part=N_("What it meets")),
        Field("wet", N_("it gets wet"), "yes", kind="tick"),
        Field("sun", N_("it is left in the sun"), kind="tick"),
        Field("bare_edge", N_("it bears on a bare edge"), kind="tick"),
        Field("chemical", N_("Chemicals"), kind="ticks", options=lambda: tuple((one, one) for one in CHEMICALS)),
        Field("fibre", N_("Only these fibres"), kind="ticks", options=lambda: known(fibre_names()),
              part=N_("Which ropes"), hint=N_("none ticked: those that lifelines are or were made of")),
        Field("construction", N_("Construction"), kind="choice",
              options=lambda: (_ANY, *known(construction_names()))),
        Field("stretch", N_("Stretch class"), kind="choice", options=lambda: (_ANY, *known(stretch_names()))),
        Field("strength", N_("Strength of one own rope as new"), hint=N_("may be empty")),
        Field("basis", N_("That figure is"), "unknown", kind="choice", options=options_of(basis_names)),
        Field("uv_inhibitor", N_("Inhibitor against sunlight, if polypropylene"), "unknown", kind="choice",
              options=lambda: TRI),
    )  # fmt: skip


def _choose(form: FormReader) -> Compared:
    from ropewright.rules.told_rope import told_choice

    told = form.texts
    return told_choice(
        form,
        rules=told["rules"],
        use=told["use"],
        wet=told["wet"],
        sun=told["sun"],
        bare_edge=told["bare_edge"],
        uv_inhibitor=tri(told["uv_inhibitor"]),
    )


def _choose_drawn(told: Compared, _: UnitSystem) -> str:
    from ropewright.sheets.choose_drawing import choose_svg

    return choose_svg(told.choices)


CHOOSE = Bench(
    "choose",
    N_("Choose"),
    N_("Ropes side by side: fit, unfit, or to be asked, and why."),
    _choose_fields,
    _choose,
    _choose_drawn,
    lambda _: "Ropes compared",
)


def _stow_fields() -> tuple[Field, ...]:
    from ropewright.rope.names import construction_names, fibre_names, stretch_names

    ways: tuple[Option, ...] = (
        ("straight-in", N_("straight in, hand over hand")),
        ("back-and-forth", N_("laid back and forth")),
        ("coil", N_("coiled")),
        ("coil-turned-back", N_("coiled, every other loop turned back")),
    )
    return (
        Field("length", N_("Length"), "60 m", "200 ft", is_needed=True, part=N_("The rope")),
        Field("diameter", N_("Diameter"), "11 mm", "7/16 in", is_needed=True),
        Field("fibre", N_("Fibre"), "polyester", kind="choice", options=options_of(fibre_names)),
        Field("construction", N_("Construction"), "sheathed core", kind="choice",
              options=options_of(construction_names)),
        Field("stretch", N_("Stretch class"), "static", kind="choice", options=options_of(stretch_names)),
        Field("way", N_("Put away"), "straight-in", kind="choice", options=lambda: ways,
              part=N_("How it is put away")),
        Field("loop", N_("Rope in each loop of a coil"), "0.9 m", "3 ft"),
        Field("overhang", N_("Held out level, to tell how stiff it is"), hint=N_("such as 30 cm; may be empty")),
        Field("drop", N_("Its end droops then by"), hint=N_("at most a third of that; may be empty")),
        Field("container_volume", N_("Room in the bag or bucket"), "20 L", "5 gal",
              part=N_("What it goes into")),
        Field("container_diameter", N_("or, of a round one, its diameter inside")),
        Field("container_height", N_("and its height inside")),
        Field("container_mass", N_("Mass of the container and what else is in it"), "1 kg", "2 lb"),
        Field("hole", N_("Across the hole in its lid"), "20 mm", "3/4 in"),
    )  # fmt: skip


def _stow(form: FormReader) -> PutAway:
    from ropewright.rope.told_stow import told_stow

    return told_stow(form)


def _stow_drawn(told: PutAway, units: UnitSystem) -> str:
    from ropewright.sheets.stow_drawing import stow_svg

    return stow_svg(told.way, told.diameter, units)


def _stow_more(told: PutAway) -> Mapping[str, Any]:
    from ropewright.rope.stow import STEPS
    from ropewright.rope.told_stow import stow_notes

    return {"steps": STEPS[told.way], "notes": tuple(stow_notes(told))}


STOW = Bench(
    "stow",
    N_("Stow"),
    N_("Whether a rope fits its bag or bucket, what it weighs, and what twist it comes out with."),
    _stow_fields,
    _stow,
    _stow_drawn,
    lambda _: "How to put the rope away",
    _stow_more,
)
