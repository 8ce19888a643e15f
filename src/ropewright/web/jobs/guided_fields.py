"""The fields of the guided form, in the order in which one would be asked; named as their faults name them."""

from __future__ import annotations

from dataclasses import dataclass

from ropewright.web.words import N_

__all__ = ["ANCHOR", "HEAD", "KIT", "ROOF", "SAYS", "SHAPE", "WORKER", "Field", "Section"]

#: What a length's hint says.
_LENGTH = N_("a length with its unit, such as 10 m or 33 ft")
_FORCE = N_("a force with its unit, such as 22 kN or 5000 lbf")


@dataclass(frozen=True, slots=True)
class Field:
    """One question of the form.

    Parameters
    ----------
    name : str
        Path of the field in the job file; ``{i}`` stands for the number of an anchor or a worker, from 0.
    label : str
    kind : str
        ``text``, ``tick``, ``choice``, ``day`` or ``lines``.
    hint : str
    options : tuple of (value, words)
        Of a choice; a blank value is what is not said.
    needed : bool
    """

    name: str
    label: str
    kind: str = "text"
    hint: str = ""
    options: tuple[tuple[str, str], ...] = ()
    needed: bool = False

    def of(self, number: int) -> str:
        """Return its name for one anchor or worker."""
        return self.name.replace("{i}", str(number))


@dataclass(frozen=True, slots=True)
class Section:
    """Questions that belong together."""

    title: str
    fields: tuple[Field, ...]
    about: str = ""


HEAD = Section(
    N_("The job"),
    (
        Field("job.name", N_("Name of the job"), needed=True),
        Field("job.address", N_("Address")),
        Field("job.units", N_("Units of the plan"), "choice", "", (("metric", N_("Metric")), ("us", N_("US"))), True),
        Field("job.rules", N_("Rules it goes by"), "choice", needed=True),
    ),
)

SHAPE = Section(
    N_("Outline of the walls"),
    (
        Field(
            "shape",
            N_("Plan"),
            "choice",
            "",
            (
                ("rectangle", N_("Rectangle")),
                ("L", "L"),
                ("T", "T"),
                ("U", "U"),
                ("sides", N_("Another, by its sides")),
            ),
        ),
        Field("width", N_("Width, along x"), hint=_LENGTH),
        Field("depth", N_("Depth, along y"), hint=_LENGTH),
        Field("inner_width", N_("L, T, U: width of the corner cut out, of the stem, of the court"), hint=_LENGTH),
        Field("inner_depth", N_("L, T, U: its depth"), hint=_LENGTH),
        Field(
            "sides",
            N_("By its sides, walking round with the building on the left: one wall a line"),
            "lines",
            N_("Length, then which way the next wall turns: 12 m left, 4 m right, 6 m left 45 deg."),
        ),
    ),
)

ROOF = Section(
    N_("The roof"),
    (
        Field(
            "roof.form",
            N_("Form"),
            "choice",
            "",
            (("gable", N_("Gable")), ("hip", N_("Hip")), ("shed", N_("Shed")), ("flat", N_("Flat"))),
            True,
        ),
        Field("roof.pitch", N_("Pitch of all sides"), hint=N_("such as 35 deg or 8:12; none for a flat roof")),
        Field("roof.eave_height", N_("Height of the eave over the ground"), hint=_LENGTH, needed=True),
        Field("roof.overhang", N_("Overhang, level"), hint=_LENGTH),
        Field("roof.high_side", N_("Shed: number of the side it rises to"), hint=N_("side 1 is the first along x")),
    ),
)

ANCHOR = Section(
    N_("Anchor"),
    (
        Field("anchor[{i}].name", N_("Name"), needed=True),
        Field("anchor[{i}].at[0]", N_("Place along x"), hint=_LENGTH, needed=True),
        Field("anchor[{i}].at[1]", N_("Place along y"), hint=_LENGTH, needed=True),
        Field("anchor[{i}].strength", N_("Strength"), hint=_FORCE, needed=True),
        Field(
            "anchor[{i}].basis",
            N_("That strength is where"),
            "choice",
            "",
            (("ultimate", N_("it breaks (ultimate)")), ("allowable", N_("it may work (allowable)"))),
            True,
        ),
        Field("anchor[{i}].on", N_("Fixed to"), hint=N_("such as ridge board and both rafters")),
        Field("anchor[{i}].installed", N_("How it was installed")),
        Field("anchor[{i}].independent", N_("Holds nothing else and nobody else"), "tick"),
    ),
    N_("Places count from the low left corner of the walls."),
)

KIT = Section(
    N_("Gear, the same for every line"),
    (
        Field("rope.main.fibre", N_("Fibre of the rope"), hint=N_("such as polyester or polyamide")),
        Field("rope.main.construction", N_("Construction"), hint=N_("such as sheathed core or 3-strand")),
        Field(
            "rope.main.stretch",
            N_("Stretch"),
            "choice",
            "",
            (
                ("", N_("not known")),
                ("static", N_("static")),
                ("low-stretch", N_("low-stretch")),
                ("dynamic", N_("dynamic")),
            ),
        ),
        Field("rope.main.diameter", N_("Diameter"), hint=N_("such as 11 mm or 7/16 in"), needed=True),
        Field("rope.main.strength", N_("Minimum breaking strength as new"), hint=_FORCE, needed=True),
        Field(
            "rope.main.strength_basis",
            N_("Who says so"),
            "choice",
            "",
            (
                ("", N_("not known")),
                ("maker's minimum", N_("the maker's minimum")),
                ("batch minimum", N_("least of a tested batch")),
                ("mean less 3 sd", N_("mean of a tested batch less three standard deviations")),
                ("average", N_("an average")),
            ),
        ),
        Field(
            "rope.main.condition",
            N_("Condition"),
            "choice",
            "",
            (
                ("", N_("not known")),
                ("new, dry", N_("new, dry")),
                ("good", N_("good")),
                ("worn", N_("worn")),
                ("damaged", N_("damaged")),
                ("fallen-on", N_("has caught a fall")),
            ),
        ),
        Field("lanyard.main.length", N_("Lanyard: length, absorber closed"), hint=_LENGTH, needed=True),
        Field("lanyard.main.strength", N_("Lanyard: strength"), hint=_FORCE),
        Field("lanyard.main.absorber.force", N_("Absorber: average force while it opens"), hint=_FORCE),
        Field("lanyard.main.absorber.length", N_("Absorber: how far it can open"), hint=_LENGTH),
        Field("grab.main.lock", N_("Rope grab: travel until it locks"), hint=N_("blank if there is no grab")),
        Field("grab.main.slip", N_("Rope grab: slide after that"), hint=_LENGTH),
        Field("grab.main.follows", N_("Rope grab: trails the worker by itself"), "tick"),
        Field("grab.main.fits_rope", N_("Rope grab: marked by its maker for this rope"), "tick"),
        Field("kit.connector_strength", N_("Weakest connector: strength"), hint=_FORCE),
        Field("kit.gate_strength", N_("Weakest connector: strength of its gate"), hint=_FORCE),
    ),
    N_("What is left blank is not known, and not known is never taken as good."),
)

WORKER = Section(
    N_("Worker and line"),
    (
        Field("crew[{i}].name", N_("Name of the worker"), needed=True),
        Field("crew[{i}].mass", N_("Mass with clothing and tools"), hint=N_("such as 100 kg or 220 lb"), needed=True),
        Field("crew[{i}].d_ring", N_("Height of the back D-ring, standing"), hint=_LENGTH, needed=True),
        Field("crew[{i}].trained_on", N_("Trained on"), "day"),
        Field("line[{i}].anchor", N_("Line tied to the anchor"), hint=N_("name of one above"), needed=True),
        Field("line[{i}].length", N_("From the anchor to the stop, along the rope"), hint=_LENGTH, needed=True),
        Field("line[{i}].termination", N_("End of the rope"), hint=N_("such as sewn eye or figure-eight loop")),
        Field("line[{i}].end_stop", N_("There is a stop at the end"), "tick"),
        Field("line[{i}].edge_protection", N_("Protected where it bears on an edge"), "tick"),
    ),
)

SAYS = Section(
    N_("What only people can say"),
    (
        Field("answers.roof_sound.yes", N_("The roof is sound enough to work on"), "tick"),
        Field("answers.roof_sound.by", N_("Who says so")),
        Field("answers.roof_sound.on", N_("Since"), "day"),
        Field("rescue.method", N_("How a hanging worker is brought down")),
        Field("rescue.by", N_("By whom")),
        Field("rescue.minutes", N_("In what time"), hint=N_("such as 10 min")),
    ),
)
