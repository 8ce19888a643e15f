"""Knots by name: what each is, what rope it takes, what it leaves of the strength, and what the rules say first."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from ropewright.errors import InputError
from ropewright.findings import Source, SourceStatus
from ropewright.rope.knot import least_rope
from ropewright.rope.knot_curves import KnotRope, measured
from ropewright.rope.tables import Figure, data_text, figures
from ropewright.rope.termination import EndKind, EndUse, Termination, knot_observations, terminations

__all__ = ["Knot", "KnotRule", "TiedKnot", "find_knot", "knots", "tie"]


@dataclass(frozen=True, slots=True)
class KnotRule:
    """What a rule says of a knot; read before any number.

    Parameters
    ----------
    text : str
    source : Source
    forbids : bool
        True if it forbids the knot in a lifeline, at least in normal use.
    """

    text: str
    source: Source
    forbids: bool = False


@dataclass(frozen=True, slots=True)
class Knot:
    """A knot that is drawn.

    Parameters
    ----------
    name : str
    aliases : tuple of str
    end : Termination
        Row that tells its strength.
    has_loop : bool
    type : str
        Name in the knot tables of what `type_of` says.
    type_of : str
    whole_type : str
        Of the whole rope, its ends led out and joined, with nothing in the loop.
    use : str
    warnings : tuple of str
    steps : tuple of str
        A sentence a picture.
    """

    name: str
    aliases: tuple[str, ...]
    end: Termination
    has_loop: bool
    type: str
    type_of: str
    whole_type: str
    use: str
    warnings: tuple[str, ...]
    steps: tuple[str, ...]

    @property
    def rope(self) -> KnotRope:
        """Rope it takes, in diameters of the rope it is tied in."""
        return measured(self.name, loop=self.has_loop)

    @property
    def observations(self) -> tuple[Figure, ...]:
        """Shares of strength that single sources found left; none for a knot that was nowhere found tested."""
        return () if self.end.name == "other knot" else knot_observations().get(self.end.name, ())

    @property
    def slips_from(self) -> Figure | None:
        """Load at which a sliding hitch was seen to slip; None for any other knot. [N]"""
        return figures("strength_figures")["sliding hitch/slip"] if self.name == "sliding hitch" else None


@cache
def knots() -> Mapping[str, Knot]:
    """Every knot by its name.

    Examples
    --------
    >>> knots()["bowline"].type
    '6_3'
    """
    return MappingProxyType({name: _knot(name, told) for name, told in tomllib.loads(data_text("knots.toml")).items()})


def _knot(name: str, told: Mapping[str, object]) -> Knot:
    def texts(key: str) -> tuple[str, ...]:
        found = told.get(key, [])
        return tuple(map(str, found)) if isinstance(found, list) else ()

    return Knot(
        name,
        texts("aliases"),
        terminations()[str(told["end"])],
        bool(told["loop"]),
        str(told["type"]),
        str(told["type_of"]),
        str(told["whole"]),
        str(told["use"]),
        texts("warnings"),
        texts("steps"),
    )


def find_knot(text: str, field: str) -> Knot:
    """Knot that somebody named.

    Parameters
    ----------
    text : str
        Its name or another name of it; capitals and hyphens do not matter.
    field : str
        Where it stood, for the error.

    Raises
    ------
    InputError
        If it is unknown; the nearest known names are offered.

    Examples
    --------
    >>> find_knot("Figure 8 on a bight", "NAME").name, find_knot("prusik", "NAME").name
    ('figure-eight on a bight', 'sliding hitch')
    """
    known = {_plain(alias): knot for knot in knots().values() for alias in (knot.name, *knot.aliases)}
    if _plain(text) in known:
        return known[_plain(text)]
    near = dict.fromkeys(known[name].name for name in difflib.get_close_matches(_plain(text), known, n=3))
    listed = ", ".join(map(repr, near or knots()))
    raise InputError(field, text, f"did you mean {listed}?" if near else f"give one of {listed}")


def _plain(text: str) -> str:
    return re.sub(r"[\s\-_/.,]+", " ", re.sub("['\u2019`]", "", text.casefold())).strip()


@dataclass(frozen=True, slots=True)
class TiedKnot:
    """A knot in a rope of a given diameter; lengths in metres, shares of strength as they are.

    Parameters
    ----------
    knot : Knot
    diameter : float
        [m]
    in_knot : float
        Rope in the knot itself. [m]
    loop : float
        Rope round its loop. [m]
    tail : float
        End left standing out, for each end that it leaves; 0 for a hitch of closed cord. [m]
    backup : float
        Rope for a double overhand round the standing part or the loop's leg, with its own tail; 0 where none is
        called for. [m]
    least : float
        Tightest closed knot of its type. [m]
    rules : tuple of KnotRule
    strength : Figure
        Share left. [-]
    rule_share : Figure or None
        Greatest share that guidance lets a knot be counted with. [-]
    """

    knot: Knot
    diameter: float
    in_knot: float
    loop: float
    tail: float
    backup: float
    least: float
    rules: tuple[KnotRule, ...]
    strength: Figure
    rule_share: Figure | None

    @property
    def rope(self) -> float:
        """Knot and loop, without tail and backup. [m]"""
        return self.in_knot + self.loop

    @property
    def rope_in_all(self) -> float:
        """Knot, loop, tail and backup: what a cutting list adds. [m]"""
        return self.rope + self.tail + self.backup


def tie(knot: Knot, diameter: float, loop: float | None = None) -> TiedKnot:
    """Work out a knot in a rope of a diameter.

    Parameters
    ----------
    knot : Knot
    diameter : float
        Of the rope; of a sliding hitch, of its cord. Above 0. [m]
    loop : float, optional
        Rope round the loop from knot to knot, 0 or more; None: as drawn. [m]

    Returns
    -------
    TiedKnot

    Raises
    ------
    ValueError
        If the diameter is not above 0, or the loop is negative or the knot has none.

    Notes
    -----
    Rope is the length of the drawn curve in diameters times the diameter: all lengths of a knot grow with it.

    Examples
    --------
    >>> tied = tie(knots()["double overhand stopper"], 0.011)
    >>> tied.rope > tied.least
    True
    """
    if not diameter > 0:
        raise ValueError(f"diameter must be above 0 m, got {diameter}")
    if loop is not None and not (knot.has_loop and loop >= 0):
        raise ValueError(f"loop must be 0 m or more, and the knot have one, got {loop} for {knot.name}")
    drawn, hitch = knot.rope, knot.end.kind is EndKind.HITCH
    tail = 0.0 if hitch else figures("handling_figures")["tail"].value.high * diameter  # a hitch's cord is closed
    backup = measured("barrel loop", loop=True).in_knot * diameter + tail if knot.name == "bowline" else 0.0
    by_rule = None if hitch else figures("strength_figures")["knot/by rule"]
    return TiedKnot(
        knot,
        diameter,
        drawn.in_knot * diameter,
        drawn.loop * diameter if loop is None else loop,
        tail,
        backup,
        least_rope(knot.type, diameter),
        _rules(knot),
        knot.end.retention,
        by_rule,
    )


_APP_C = "29 CFR 1926 Subpart M App C"
_GENERAL = "29 CFR 1910.140"


def _rules(knot: Knot) -> tuple[KnotRule, ...]:
    """What the rules say, the hardest word first."""
    read = SourceStatus.READ
    if knot.end.use is EndUse.NEVER:
        text = "Never to be used: it is not reliable in stopping a fall."
        return (KnotRule(text, Source(_APP_C, "II(h)(8)", read), forbids=True),)
    if knot.end.use is EndUse.EMERGENCY_ONLY:
        text = (
            "No connection of a lanyard to a lifeline in normal work: it can cost 70 % of the strength. In an "
            "emergency alone, where nothing else can be done, with three turns and three and hardly any free fall."
        )
        return (KnotRule(text, Source(_APP_C, "II(h)(8)", read), forbids=True),)
    return (
        KnotRule(
            "General industry: a competent or qualified person inspects each knot in a lanyard or vertical lifeline "
            "before use, and with it the line still holds 5,000 lbf (22.24 kN). This is law.",
            Source(_GENERAL, "(c)(6)", read),
        ),
        KnotRule(
            "Construction: a knot anywhere in a lanyard or lifeline can cost half its strength or more. This is "
            "guidance; ask for a sewn or spliced end, or the maker's, where one can be had.",
            Source(_APP_C, "II(h)(3)", read),
        ),
        KnotRule(
            "The maker's instructions come before all: where they name a line's ends, no other is tied.",
            Source("practice", "(no source found)", SourceStatus.PRACTICE),
        ),
        *_slings(knot),
    )


def _slings(knot: Knot) -> tuple[KnotRule, ...]:
    if knot.end.use is not EndUse.JOINS_ROPES:
        return ()
    text = "In fibre-rope slings a knot in place of a splice is forbidden, and this knot ends no lifeline."
    return (KnotRule(text, Source("29 CFR 1926.251", "(d)(4)(v)", SourceStatus.READ), forbids=True),)
