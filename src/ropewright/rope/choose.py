"""Choosing rope: generic ropes by fibre, construction and stretch class, side by side, question by question."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ropewright.errors import InputError
from ropewright.findings import SEVERITY, Source, SourceStatus, Verdict, worst
from ropewright.rope.harms import chemical_answer, edge_answer, heat_answer, sun_answer, wet_answer
from ropewright.rope.material import Suited, suitability
from ropewright.rope.names import canonical_construction, canonical_fibre, canonical_stretch
from ropewright.rope.sizes import table_mass, table_strength
from ropewright.rope.tables import Figure, Grade
from ropewright.rope.today import RuleFigure

__all__ = ["Choice", "Kind", "Setting", "choose", "generic_kinds"]

_TOLD = Source("the grab's marking, as told", "", SourceStatus.USER)
_UNTOLD = Source("judgement of this project", "missing counts as worse", SourceStatus.JUDGEMENT)
_FIBRES = (
    "nylon",
    "polyester",
    "nylon core with polyester sheath",
    "polyester-polyolefin",
    "polypropylene",
    "aramid",
    "high-modulus polyethylene",
    "manila",
)
_SHEATHED = "sheathed core"


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of rope, whoever made it.

    Parameters
    ----------
    fibre, construction, stretch : str
        Canonical names.
    """

    fibre: str
    construction: str
    stretch: str


@dataclass(frozen=True, slots=True)
class Setting:
    """What the rope is for and what it will meet.

    Parameters
    ----------
    diameter : float
        Of the rope, above 0. [m]
    use : str
        ``vertical lifeline`` or ``lanyard``.
    grab : tuple of float, optional
        Least and greatest diameter that the rope grab is marked for. [m]
    needed : RuleFigure, optional
        Strength that the rules ask for.
    temperature : float, optional
        Of what it lies on or works in. [degC]
    chemicals : tuple of str
        ``acid``, ``alkali``, ``bleach``, ``solvent``.
    wet, sun, bare_edge : bool
        Whether it gets wet, is left in the sun, bears on a bare edge.
    uv_inhibitor : bool, optional
        Whether polypropylene holds an inhibitor against sunlight; None: not known.
    """

    diameter: float
    use: str = "vertical lifeline"
    grab: tuple[float, float] | None = None
    needed: RuleFigure | None = None
    temperature: float | None = None
    chemicals: tuple[str, ...] = ()
    wet: bool = False
    sun: bool = False
    bare_edge: bool = False
    uv_inhibitor: bool | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """One kind of rope with every answer about it.

    Parameters
    ----------
    kind : Kind
    answers : tuple of Suited
        In the order of the questions.
    strength : Figure, optional
        Minimum breaking strength as new, told or from a table; None where no table was found. [N]
    mass : Figure, optional
        From a table. [kg/m]
    """

    kind: Kind
    answers: tuple[Suited, ...]
    strength: Figure | None
    mass: Figure | None

    @property
    def verdict(self) -> Verdict:
        """Worst of its answers."""
        return worst(answer.verdict for answer in self.answers)

    @property
    def word(self) -> str:
        """``fit``: every answer holds; ``unfit``: one fails; ``ask``: anything between."""
        return {Verdict.HOLDS: "fit", Verdict.FAILS: "unfit"}.get(self.verdict, "ask")


def generic_kinds(
    fibres: Sequence[str] = (), construction: str | None = None, stretch: str | None = None
) -> list[Kind]:
    """Return the kinds of rope that are compared.

    Parameters
    ----------
    fibres : sequence of str
        Only these; none: those that lifelines are or were made of.
    construction, stretch : str, optional
        Only this one. Stretch classes are told for sheathed core alone: elsewhere it is ``unknown`` unless given.

    Raises
    ------
    InputError
        If a name is unknown.

    Examples
    --------
    >>> [(kind.construction, kind.stretch) for kind in generic_kinds(["PES"])]
    [('sheathed core', 'static'), ('sheathed core', 'dynamic'), ('laid', 'unknown'), ('braided', 'unknown')]
    """
    names = [canonical_fibre(name, "fibre") for name in fibres] or list(_FIBRES)
    given = [] if construction is None else [canonical_construction(construction, "construction")]
    made = given or [_SHEATHED, "laid", "braided"]
    give = [] if stretch is None else [canonical_stretch(stretch, "stretch")]
    return [
        Kind(name, way, class_)
        for name in names
        for way in made
        for class_ in give or (["static", "dynamic"] if way == _SHEATHED else ["unknown"])
    ]


def choose(kinds: Sequence[Kind], setting: Setting, *, strength: Figure | None = None) -> tuple[Choice, ...]:
    """Kinds of rope with what speaks for and against each, the fittest first.

    Parameters
    ----------
    kinds : sequence of Kind
    setting : Setting
    strength : Figure, optional
        Minimum breaking strength of an own rope by its data sheet, in place of the table's. [N]

    Returns
    -------
    tuple of Choice
        By their worst answer, then by how many answers do not hold, then as they were given.

    Raises
    ------
    InputError
        If a name is unknown, or a strength is given for several kinds at once.
    ValueError
        If the diameter is not above 0.

    Notes
    -----
    A strength of a table with a weak source lets nothing hold, but fails what is under the rule even so.

    Examples
    --------
    >>> from ropewright.quantity import Range
    >>> own = Figure("own", Range.exact(30e3), "N", Source("data sheet, as told", "", SourceStatus.USER))
    >>> rope = Setting(0.011, grab=(0.010, 0.012), needed=RuleFigure(22241.0, Source("29 CFR 1926.502", "(d)(9)")))
    >>> choose(generic_kinds(["nylon"], "kernmantle", "static"), rope, strength=own)[0].word
    'fit'
    """
    if not setting.diameter > 0:
        raise ValueError(f"diameter must be above 0 m, got {setting.diameter}")
    if strength is not None and len(kinds) != 1:
        raise InputError("strength", len(kinds), "give one fibre, construction and stretch class with it")
    found = [_choice(kind, setting, strength) for kind in kinds]
    return tuple(sorted(found, key=_rank))


def _rank(choice: Choice) -> tuple[int, int]:
    open_answers = sum(answer.verdict is not Verdict.HOLDS for answer in choice.answers)
    return SEVERITY[choice.verdict], open_answers


def _choice(kind: Kind, setting: Setting, told: Figure | None) -> Choice:
    strength = told or table_strength(kind.fibre, kind.construction, setting.diameter)
    mass = table_mass(kind.fibre, kind.construction, kind.stretch, setting.diameter)
    return Choice(kind, tuple(_answers(kind, setting, strength)), strength, mass)


def _answers(kind: Kind, setting: Setting, strength: Figure | None) -> Iterator[Suited]:
    yield from suitability(
        kind.fibre, kind.construction, kind.stretch, uv_inhibitor=setting.uv_inhibitor, use=setting.use
    )
    if setting.needed is not None:
        yield _strength_answer(setting.needed, strength)
    if setting.use == "vertical lifeline":
        yield _grab_answer(setting)
    if setting.temperature is not None:
        yield heat_answer(kind.fibre, setting.temperature)
    yield from (chemical_answer(kind.fibre, name) for name in setting.chemicals)
    if setting.wet:
        yield wet_answer(kind.fibre)
    if setting.sun:
        yield sun_answer(kind.fibre)
    if setting.bare_edge:
        yield edge_answer()


def _strength_answer(needed: RuleFigure, strength: Figure | None) -> Suited:
    """Whether the rope as new has what the rules ask for; a table of a weak source never says that it has."""
    question = "Is it as strong as the rules ask, as new?"

    def answer(verdict: Verdict, reason: str, source: Source, grade: Grade) -> Suited:
        return Suited("strength", verdict, question, reason, source, grade)

    if strength is None:
        reason = "No table of this rope was found: take its maker's minimum or break samples of the batch."
        return answer(Verdict.ASK, reason, needed.source, Grade.NONE)
    if strength.value.low >= needed.force and strength.settles:
        return answer(Verdict.HOLDS, "Its minimum is what the rules ask for.", needed.source, Grade.NONE)
    if strength.value.high < needed.force or (strength.settles and strength.value.low < needed.force):
        return answer(Verdict.FAILS, "It is weaker as new than the rules ask for.", needed.source, Grade.NONE)
    reason = "Only a table of a weak source speaks of it: take its maker's minimum or break samples of the batch."
    return answer(Verdict.ASK, reason, strength.source, strength.grade)


def _both(length: float) -> str:
    """Diameter in both units, since a reason does not know which its reader uses."""
    return f"{length * 1000:g} mm ({length / 0.0254:.3f} in)"


def _grab_answer(setting: Setting) -> Suited:
    """Whether the rope is as thick as the grab is marked for."""
    question = "Is the rope as thick as the grab is marked for?"
    if setting.grab is None:
        reason = "Nobody has said what diameters the grab is marked for: read them off it."
        return Suited("grab", Verdict.ASK, question, reason, _UNTOLD, Grade.NONE)
    low, high = setting.grab
    inside = low <= setting.diameter <= high
    reason = f"The grab is marked for {_both(low)} to {_both(high)}; this is {_both(setting.diameter)}."
    return Suited("grab", Verdict.HOLDS if inside else Verdict.FAILS, question, reason, _TOLD, Grade.NONE)
