"""The fields of a set-up on the fall bench: what they start with, how far they slide, and reading them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from ropewright.errors import InputError, InputErrors
from ropewright.quantity import Dimension, Range, UnitSystem, parse_quantity, parse_range
from ropewright.web.words import N_, _

if TYPE_CHECKING:
    from ropewright.job.bench_fall import BenchFall

__all__ = ["CHOICES", "FIELDS", "Field", "defaults", "read_setup"]

_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class Field:
    """One quantity of a set-up.

    Parameters
    ----------
    name, label : str
    dimension : Dimension
    metric, us : tuple of (float, float, float, str)
        Ends and step of its slider, and the unit.
    most : float
        Largest value that is read, SI.
    is_optional : bool
        It may be left empty.
    """

    name: str
    label: str
    dimension: Dimension
    metric: tuple[float, float, float, str]
    us: tuple[float, float, float, str]
    most: float
    is_optional: bool = False

    def slide(self, units: UnitSystem) -> tuple[float, float, float, str]:
        """Ends, step and unit of the slider."""
        return self.us if units is UnitSystem.US else self.metric


_LENGTH = Dimension.LENGTH
FIELDS: tuple[Field, ...] = (
    Field("mass", N_("Person with tools"), Dimension.MASS, (50, 150, 1, "kg"), (110, 330, 5, "lb"), 1e3),
    Field("slack", N_("Slack: falls free before the line is tight"), _LENGTH, (0, 4, 0.1, "m"), (0, 13, 0.5, "ft"), 50),
    Field("line", N_("Line, anchor to person"), _LENGTH, (1, 30, 0.5, "m"), (3, 100, 1, "ft"), 300),
    Field("setback", N_("Anchor behind the edge"), _LENGTH, (0, 15, 0.25, "m"), (0, 50, 1, "ft"), 300),
    Field("offset", N_("Goes over this far along the edge"), _LENGTH, (0, 10, 0.25, "m"), (0, 33, 1, "ft"), 300),
    Field("clearance", N_("Free below the feet"), _LENGTH, (1, 20, 0.25, "m"), (3, 66, 1, "ft"), 1e3, is_optional=True),
    Field("margin", N_("Margin kept under the feet"), _LENGTH, (0, 2, 0.1, "m"), (0, 6, 0.5, "ft"), 20),
    Field("limit", N_("Greatest force that holds"), Dimension.FORCE, (3, 8, 0.1, "kN"), (600, 1800, 50, "lbf"), 1e6,
          is_optional=True),
)  # fmt: skip

#: Choices of a set-up by name: label, and the words for each value. Standards' own names stand as they are.
CHOICES: Mapping[str, tuple[str, Mapping[str, str]]] = {
    "rope": (
        N_("Rope"),
        {
            "low-stretch": N_("low-stretch, sheathed core, 11 mm"),
            "dynamic": N_("dynamic, sheathed core"),
            "laid nylon": N_("laid nylon, 16 mm"),
            "laid polyester": N_("laid polyester, 16 mm"),
            "laid polypropylene": N_("laid polypropylene, 16 mm"),
        },
    ),
    "absorber": (
        N_("Energy absorber"),
        {"": N_("none"), "EN 355": "EN 355", "ANSI 6 ft": "ANSI 6 ft", "ANSI 12 ft": "ANSI 12 ft"},
    ),
    "grab": (N_("Rope grab"), {"": N_("none"), "EN 353-2": "EN 353-2", "ANSI Z359.15": "ANSI Z359.15"}),
    "edge": (
        N_("The edge is of"),
        {
            "unknown": N_("not known"),
            "asphalt shingle": N_("asphalt shingle"),
            "timber": N_("timber"),
            "steel": N_("steel"),
            "aluminium": N_("aluminium"),
            "concrete or brick": N_("concrete or brick"),
        },
    ),
}

_START = {"rope": "low-stretch", "grab": "", "edge": "unknown"}
_METRIC = {
    "mass": "100 kg", "slack": "1.8 m", "line": "6 m", "setback": "4 m", "offset": "0 m", "clearance": "6.5 m",
    "margin": "1 m", "limit": "6 kN", "absorber": "EN 355",
}  # fmt: skip
_US = {
    "mass": "220 lb", "slack": "6 ft", "line": "20 ft", "setback": "13 ft", "offset": "0 ft", "clearance": "20 ft",
    "margin": "3 ft", "limit": "1,800 lbf", "absorber": "ANSI 6 ft",
}  # fmt: skip


def defaults(units: UnitSystem) -> dict[str, str]:
    """Texts that a set-up starts with.

    Examples
    --------
    >>> defaults(UnitSystem.METRIC)["mass"]
    '100 kg'
    """
    return {**_START, **(_US if units is UnitSystem.US else _METRIC)}


def read_setup(texts: Mapping[str, str], side: str) -> BenchFall:
    """Read the set-up of one side.

    Parameters
    ----------
    texts : mapping of str to str
        By the names of the fields, the side ahead: ``a.mass``.
    side : str

    Returns
    -------
    BenchFall

    Raises
    ------
    InputErrors
        For each field that can't be read.
    """
    from ropewright.job.bench_fall import BenchFall

    faults: list[InputError] = []

    def read(name: str, parse: Callable[[str, str], _T], default: _T) -> _T:
        text = texts.get(f"{side}.{name}", "").strip()
        if not text and by_name[name].is_optional:
            return default
        try:
            return parse(text, f"{side}.{name}")
        except InputError as fault:
            faults.append(fault)
            return default

    by_name = {field.name: field for field in FIELDS}
    one = Range.exact(1.0)
    setup = {
        "mass": read("mass", _range(by_name["mass"], above=0.0), one),
        "slack": read("slack", _range(by_name["slack"]), one),
        "line": read("line", _value(by_name["line"], above=0.0), 1.0),
        "setback": read("setback", _value(by_name["setback"]), 0.0),
        "offset": read("offset", _value(by_name["offset"]), 0.0),
        "margin": read("margin", _value(by_name["margin"]), 0.0),
    }
    clearance = read("clearance", _maybe(_value(by_name["clearance"], above=0.0)), None)
    limit = read("limit", _maybe(_value(by_name["limit"], above=0.0)), None)
    chosen = {name: _chosen(texts, side, name, faults) for name in CHOICES}
    if faults:
        raise InputErrors("the set-up can't be read", faults)
    return BenchFall(**setup, **chosen, clearance=clearance, force_limit=limit)  # type: ignore[arg-type]


def _chosen(texts: Mapping[str, str], side: str, name: str, faults: list[InputError]) -> str:
    value = texts.get(f"{side}.{name}", "")
    if value not in CHOICES[name][1]:
        faults.append(InputError(f"{side}.{name}", value, "give one of " + ", ".join(filter(None, CHOICES[name][1]))))
    return value


def _maybe(parse: Callable[[str, str], float]) -> Callable[[str, str], float | None]:
    return parse


def _range(field: Field, *, above: float = -1.0) -> Callable[[str, str], Range]:
    def parse(text: str, name: str) -> Range:
        value = parse_range(text or None, field.dimension, name)
        if value.low < 0 or value.low <= above:
            raise _error(name, text, _("give more than 0") if above >= 0 else _("give 0 or more"))
        if value.high > field.most:
            raise _error(name, text, _too_much(field))
        return value

    return parse


def _value(field: Field, *, above: float = -1.0) -> Callable[[str, str], float]:
    def parse(text: str, name: str) -> float:
        value = parse_quantity(text or None, field.dimension, name)
        if value < 0 or value <= above:
            raise _error(name, text, _("give more than 0") if above >= 0 else _("give 0 or more"))
        if value > field.most:
            raise _error(name, text, _too_much(field))
        return value

    return parse


def _too_much(field: Field) -> str:
    most = f"{field.most:g} {field.dimension.si_unit}"
    return _("give at most %(most)s", most=most)


def _error(name: str, text: str, expected: str) -> InputError:
    from ropewright.web.form_error import FormError

    return FormError(name, text, expected)
