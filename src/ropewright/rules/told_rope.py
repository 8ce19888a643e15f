"""What a rope is worth under a pack of rules, as people tell it: judging one, comparing kinds."""

from __future__ import annotations

from dataclasses import dataclass

from ropewright.errors import InputError
from ropewright.findings import SEVERITY, Source, SourceStatus
from ropewright.quantity import Dimension, Range
from ropewright.quantity.told import TextReader, positive, signed, zero_or_more
from ropewright.rope import (
    canonical_basis,
    canonical_construction,
    canonical_fibre,
    canonical_stretch,
    canonical_termination,
    read_condition,
    rigged_strength,
    suitability,
)
from ropewright.rope.choose import Choice, Kind, Setting, choose, generic_kinds
from ropewright.rope.harms import CHEMICALS
from ropewright.rope.losses import Trigger, basis_loss
from ropewright.rope.service import Service, canonical_found
from ropewright.rope.strength import StrengthChain, WorkingLoad
from ropewright.rope.tables import Figure
from ropewright.rope.today import Allowed, RuleFigure, allowed_today
from ropewright.rope.told import rope_diameter, rope_strength, span
from ropewright.rules import load_pack
from ropewright.rules.line_figures import figures_asked, working_load_by

__all__ = ["Compared", "Judged", "told_choice", "told_judge"]


@dataclass(frozen=True)
class Judged:
    """What there is to say of one rope.

    Parameters
    ----------
    chain : StrengthChain
    allowed : tuple of Allowed
        Lifeline first.
    work : WorkingLoad
    asked : RuleFigure, optional
        What the rules ask of it as it is tied.
    """

    chain: StrengthChain
    allowed: tuple[Allowed, ...]
    work: WorkingLoad
    asked: RuleFigure | None

    @property
    def worst_first(self) -> list[Trigger]:
        """What acts before any number: what takes the rope out stands before what is only asked."""
        return sorted(self.chain.triggers, key=lambda trigger: -SEVERITY[trigger.verdict])


def told_judge(reader: TextReader, *, rules: str, edge: bool | None = None, uv_inhibitor: bool | None = None) -> Judged:
    """Work out what is left of a rope and what it may do today.

    Parameters
    ----------
    reader : TextReader
        Of ``strength``, ``basis``, ``fibre``, ``construction``, ``stretch``, ``end``, ``condition``, ``bend_ratio``,
        ``age``, ``life``, ``outdoors``, ``days_used``, ``catches``, ``found`` (several).
    rules : str
        Name of the pack that says what a line needs.
    edge : bool, optional
        Whether it bears on a bare edge; None: either.
    uv_inhibitor : bool, optional
        Of polypropylene; None: not known.

    Raises
    ------
    InputError, InputErrors
        All faults at once.
    """
    strength = reader.one("strength", rope_strength, Range.exact(1.0))
    reader.word("condition", lambda text, field: str(read_condition(text, field)))
    basis, fibre = reader.word("basis", canonical_basis), reader.word("fibre", canonical_fibre)
    construction, stretch = (
        reader.word("construction", canonical_construction),
        reader.word("stretch", canonical_stretch),
    )
    end = reader.word("end", canonical_termination)
    bend_ratio = reader.one("bend_ratio", positive(Dimension.RATIO), None)
    service = _service(reader)
    pack = load_pack(rules)
    line, knotted = figures_asked(pack, end)
    share = pack.allowance("knot_retention")
    reader.done("the rope can't be judged")
    chain = rigged_strength(
        strength,
        strength_basis=basis,
        termination=end,
        fibre=fibre,
        construction=construction,
        condition=reader.texts["condition"],
        edge=edge,
        bend_ratio=bend_ratio,
        rule_knot_retention=None if share is None else float(share.value.low),
        service=service,
    )
    suited = suitability(fibre, construction, stretch, uv_inhibitor=uv_inhibitor)
    allowed, work = allowed_today(chain, line, knotted, suited, working_load_by(pack, chain.as_new))
    return Judged(chain, allowed, work, knotted or line)


def _service(reader: TextReader) -> Service:
    catches = reader.one("catches", zero_or_more(Dimension.COUNT), None)
    return Service(
        outdoors=reader.one("outdoors", span, None),
        days_used=reader.one("days_used", zero_or_more(Dimension.COUNT), None),
        catches=None if catches is None else int(catches),
        age=reader.one("age", span, None),
        life=reader.one("life", span, None),
        found=tuple(dict.fromkeys(reader.many("found", canonical_found))),
    )


@dataclass(frozen=True)
class Compared:
    """Ropes that were compared.

    Parameters
    ----------
    choices : tuple of Choice
        Fit first.
    length : float, optional
        Whose mass is asked for. [m]
    not_asked : tuple of str
        What nobody has told, so that no rope was asked about it: a fit one is fit without it.
    """

    choices: tuple[Choice, ...]
    length: float | None
    not_asked: tuple[str, ...]


def told_choice(
    reader: TextReader,
    *,
    rules: str,
    use: str = "lifeline",
    wet: bool = False,
    sun: bool = False,
    bare_edge: bool = False,
    uv_inhibitor: bool | None = None,
) -> Compared:
    """Compare ropes by fibre, construction and stretch.

    Parameters
    ----------
    reader : TextReader
        Of ``diameter``, ``grab_from``, ``grab_to``, ``temperature``, ``chemical`` (several), ``length``, ``fibre``
        (several), ``construction``, ``stretch``, ``strength``, ``basis``.
    rules : str
        Name of the pack that says what a line needs.
    use : str
        ``lifeline`` or ``lanyard``.
    wet, sun, bare_edge : bool
        What it meets.
    uv_inhibitor : bool, optional
        Of polypropylene; None: not known.

    Raises
    ------
    InputError, InputErrors
        All faults at once.
    """
    needed, _ = figures_asked(load_pack(rules), "unknown")
    setting = Setting(
        diameter=reader.one("diameter", rope_diameter, 0.011),
        use="vertical lifeline" if use == "lifeline" else "lanyard",
        grab=_grab(reader),
        needed=needed,
        temperature=reader.one("temperature", signed(Dimension.TEMPERATURE), None),
        chemicals=tuple(dict.fromkeys(reader.many("chemical", _chemical))),
        wet=wet,
        sun=sun,
        bare_edge=bare_edge,
        uv_inhibitor=uv_inhibitor,
    )
    strength = _own_strength(reader)
    length = reader.one("length", positive(Dimension.LENGTH), None)
    kinds = _kinds(reader)
    if strength is not None and len(kinds) > 1:
        expected = "give one fibre, construction and stretch class with it: it is of one own rope"
        reader.refuse("strength", expected, value=reader.texts["strength"])
    reader.done("the ropes can't be compared")
    return Compared(choose(kinds, setting, strength=strength), length, tuple(_not_asked(setting)))


def _chemical(text: str, field: str) -> str:
    if text not in CHEMICALS:
        raise InputError(field, text, f"give one of {', '.join(map(repr, CHEMICALS))}")
    return text


def _grab(reader: TextReader) -> tuple[float, float] | None:
    """Diameters that the rope grab is marked for. [m]"""
    reader.needs("grab_from", "grab_to", "give both ends of the range that the grab is marked for")
    reader.needs("grab_to", "grab_from", "give both ends of the range that the grab is marked for")
    least = reader.one("grab_from", positive(Dimension.LENGTH), None)
    most = reader.one("grab_to", positive(Dimension.LENGTH), None)
    if least is not None and most is not None and least > most:
        expected = f"give no less than {reader.field('grab_from')}"
        reader.refuse("grab_to", expected, value=reader.texts["grab_to"])
    return None if least is None or most is None else (least, most)


def _kinds(reader: TextReader) -> list[Kind]:
    """Kinds of rope that are compared; a word that is not known is kept as a fault."""
    words = reader.many("fibre", canonical_fibre)
    made = reader.one("construction", canonical_construction, None)
    return generic_kinds(words, made, reader.one("stretch", canonical_stretch, None))


def _own_strength(reader: TextReader) -> Figure | None:
    """Minimum of an own rope by its data sheet; an average, or what nobody names, is taken down and settles nothing."""
    told = reader.one("strength", rope_strength, None)
    basis = reader.word("basis", canonical_basis)
    if told is None:
        return None
    loss = basis_loss(basis)
    share = loss.factor
    minimum = Range(told.low * share.low, told.likely * share.likely, told.high * share.high)
    source = Source("data sheet, as told", basis, SourceStatus.USER) if share.low == 1.0 else loss.figure.source
    return Figure("own", minimum, "N", source, loss.figure.grade)


def _not_asked(setting: Setting) -> list[str]:
    told = {
        "temperature": setting.temperature is not None,
        "chemicals": bool(setting.chemicals),
        "wet": setting.wet,
        "sun": setting.sun,
        "bare edge": setting.bare_edge,
    }
    return [name for name, given in told.items() if not given]
