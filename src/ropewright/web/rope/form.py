"""Fields of the rope bench's forms: what they start with, and reading them out of an address."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeVar

from ropewright.quantity import UnitSystem
from ropewright.quantity.told import Parse, TextReader
from ropewright.web.words import N_

__all__ = ["LONGEST", "TRI", "Field", "FormReader", "Option", "options_of", "packs", "texts_of", "tri"]

_T = TypeVar("_T")
Option = tuple[str, str]

#: Longest text of a field that is looked at. [characters]
LONGEST = 2000

#: Words of the engine that stand in choices.
CHOSEN = (
    *(N_("aramid"), N_("cotton"), N_("hemp"), N_("high-modulus polyethylene"), N_("liquid-crystal polyester")),
    *(N_("manila"), N_("natural fibre"), N_("nylon"), N_("nylon core with polyester sheath"), N_("polyester")),
    *(N_("polyester-polyolefin"), N_("polyethylene"), N_("polyolefin"), N_("polypropylene"), N_("sisal")),
    *(N_("unknown"), N_("braided"), N_("double braid"), N_("laid"), N_("plaited"), N_("sheathed core")),
    *(N_("dynamic"), N_("low-stretch"), N_("static"), N_("average"), N_("batch minimum"), N_("maker's minimum")),
    *(N_("mean less 3 sd"), N_("damaged"), N_("fallen-on"), N_("good"), N_("new"), N_("worn")),
    *(N_("bowline"), N_("butterfly loop"), N_("double fisherman's bend"), N_("double overhand loop")),
    *(N_("eye splice"), N_("figure-eight loop"), N_("one-and-one hitch"), N_("other knot"), N_("overhand loop")),
    *(N_("rated assembly"), N_("reef knot"), N_("sewn eye"), N_("sheet bend"), N_("sliding hitch")),
    *(N_("figure-eight on a bight"), N_("figure-eight follow-through"), N_("double overhand stopper")),
    *(N_("barrel loop"), N_("cut"), N_("melt"), N_("glazing"), N_("core seen"), N_("chemical"), N_("crushed")),
    *(N_("abraded"), N_("acid"), N_("alkali"), N_("bleach"), N_("solvent")),
)

#: What is so, is not, or is not told.
TRI: tuple[Option, ...] = (("unknown", N_("not known")), ("yes", N_("yes")), ("no", N_("no")))


def tri(text: str) -> bool | None:
    """Whether something is so; None: not told."""
    return {"yes": True, "no": False}.get(text)


def options_of(names: Callable[[], tuple[str, ...]]) -> Callable[[], tuple[Option, ...]]:
    """Options of the engine's names, what is not known first."""

    def options() -> tuple[Option, ...]:
        return tuple((name, name) for name in sorted(names(), key=lambda name: name != "unknown"))

    return options


def packs() -> tuple[Option, ...]:
    """Options of the rules packs."""
    from ropewright.rules import load_pack, pack_names

    return tuple((name, load_pack(name).title) for name in sorted(pack_names(), key=lambda n: n != "us-construction"))


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a form.

    Parameters
    ----------
    name, label : str
    metric, us : str
        Text it starts with.
    kind : str
        ``text``; ``choice`` of options; ``tick``; ``ticks``, one for each option, named ``name.option``; ``area``, a
        text of several lines, of which each is one value.
    options : callable, optional
        Gives (value, words).
    hint : str
    is_needed : bool
        It may not be left empty.
    part : str
        Heading of the part of the form that begins with it.
    """

    name: str
    label: str
    metric: str = ""
    us: str = ""
    kind: Literal["text", "choice", "tick", "ticks", "area"] = "text"
    options: Callable[[], tuple[Option, ...]] = tuple
    hint: str = ""
    is_needed: bool = False
    part: str = ""

    def start(self, units: UnitSystem) -> str:
        """Text it starts with."""
        return self.us if units is UnitSystem.US and self.us else self.metric

    @property
    def names(self) -> tuple[str, ...]:
        """Names that the address has for it."""
        if self.kind == "ticks":
            return tuple(f"{self.name}.{value}" for value, _ in self.options())
        return (self.name,)


def texts_of(fields: tuple[Field, ...], query: Mapping[str, str], units: UnitSystem) -> dict[str, str]:
    """Text of every field: as the address tells it, else as it starts; a form that was sent has no other ticks.

    Examples
    --------
    >>> texts_of((Field("mass", "Mass", "100 kg", "220 lb"),), {}, UnitSystem.US)
    {'mass': '220 lb'}
    """
    was_sent = any(name in query for one in fields for name in one.names)
    texts: dict[str, str] = {}
    for one in fields:
        for name in one.names:
            start = "" if was_sent and one.kind in ("tick", "ticks") else one.start(units)
            texts[name] = query.get(name, start)[:LONGEST]
    return texts


class FormReader(TextReader):
    """Reads the fields of a form by their names; what is needed and left empty is a fault.

    Parameters
    ----------
    fields : tuple of Field
    texts : mapping of str to str
        As `texts_of` gives them.
    """

    def __init__(self, fields: tuple[Field, ...], texts: Mapping[str, str]) -> None:
        told: dict[str, Any] = {one.name: _told(one, texts) for one in fields}
        super().__init__(told)
        self._needed = {one.name for one in fields if one.is_needed}
        for one in fields:
            if one.kind == "choice":
                told[one.name] = self._chosen(one, texts[one.name].strip()) or None

    def _chosen(self, one: Field, value: str) -> str:
        """Value of a choice; the first of its options, with a fault kept, where it is none of them."""
        known = [option for option, _ in one.options()]
        if value in known:
            return value
        self.refuse(one.name, "give one of " + ", ".join(filter(None, known)), value=value)
        return known[0]

    def one(self, name: str, parse: Parse[_T], default: _T) -> _T:
        """Value of a field; the default if it was left out or can't be read."""
        if self.texts[name] is None and name in self._needed:
            found: _T = self.read(None, name, parse, default)  # type: ignore[arg-type]
            return found
        return super().one(name, parse, default)


def _told(one: Field, texts: Mapping[str, str]) -> object:
    if one.kind == "tick":
        return texts[one.name] == "yes"
    if one.kind == "ticks":
        return tuple(value for value, _ in one.options() if texts[f"{one.name}.{value}"] == "yes")
    if one.kind == "area":
        return tuple(line.strip() for line in texts[one.name].splitlines() if line.strip())
    return texts[one.name].strip() or None
