"""Strength of a rope of the record as it is: its fields and its history put to what is known of rope."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

from ropewright.findings import Source, Verdict
from ropewright.quantity import Range
from ropewright.store.gear_days import NO_LIMIT, after, read_span
from ropewright.store.gear_out import NEVER_AGAIN
from ropewright.store.gear_piece import Piece
from ropewright.store.gear_words import TABLES

if TYPE_CHECKING:  # what lists gear reads no rope
    from ropewright.rope.losses import Trigger
    from ropewright.rope.service import Service
    from ropewright.rope.strength import StrengthChain

__all__ = ["is_signed_back", "reuse_asked", "rope_today", "service_of", "working_end"]

_DAY = 86400.0
_YEAR = 365.25 * _DAY


def rope_today(
    rope: Piece,
    today: date,
    *,
    edge: bool | None = None,
    bend_ratio: float | None = None,
    rule_knot_retention: float | None = None,
    rule_source: Source | None = None,
) -> StrengthChain | None:
    """Strength that a rope has as it is tied and as it is today, never above what it had as new.

    Parameters
    ----------
    rope : Piece
        A rope.
    today : date
    edge, bend_ratio, rule_knot_retention, rule_source
        As in `rope.rigged_strength`; how it is rigged is no part of its record.

    Returns
    -------
    StrengthChain or None
        None where nobody has told its strength as new. Its triggers act before any number.

    Raises
    ------
    ValueError
        If the piece is no rope.
    """
    from ropewright.rope import rigged_strength

    if rope.kind.name != "rope":
        raise ValueError(f"{rope.tag} is a {rope.kind.name}, not a rope")
    told = rope.told
    if told.get("strength_n") is None:
        return None
    chain = rigged_strength(
        Range.exact(told["strength_n"]),
        strength_basis=told.get("strength_basis", "unknown"),
        termination=working_end(told),
        fibre=told.get("fibre", "unknown"),
        construction=told.get("construction", "unknown"),
        condition=_condition(rope.body),
        edge=edge,
        bend_ratio=bend_ratio,
        rule_knot_retention=rule_knot_retention,
        rule_source=rule_source,
        service=service_of(rope, today),
    )
    return chain if not is_signed_back(rope) else replace(chain, triggers=(_signed_back(rope), *chain.triggers))


def is_signed_back(rope: Piece) -> bool:
    """Return whether a piece arrested a fall and a signed entry let it back."""
    return rope.body["reuse"] is not None and not rope.body["fallen"]


def _signed_back(rope: Piece) -> Trigger:
    """What has to be settled before a number counts of a rope that arrested a fall."""
    from ropewright.rope.losses import Trigger

    return Trigger("catches", Verdict.ASK, reuse_asked(rope) + ".", NEVER_AGAIN)


def reuse_asked(piece: Piece) -> str:
    """What is asked of textile gear that a signed entry let back after a fall."""
    reuse = piece.body["reuse"]
    told = f"It arrested a fall; {reuse['by']} signed it back into service on {reuse['day']}"
    return f"{told}: say who decides that {NEVER_AGAIN} does not govern here"


def working_end(told: Mapping[str, Any]) -> str:
    """Weakest of the ends told, by the low end of what it leaves; ``unknown`` if none is.

    Examples
    --------
    >>> working_end({"end_1": "eye splice", "end_2": "bowline"})
    'bowline'
    """
    from ropewright.rope import terminations

    ends = [told[key] for key in ("end_1", "end_2") if told.get(key)]
    return min(ends, key=lambda end: terminations()[end].retention.value.low, default="unknown")


def _condition(body: Mapping[str, Any]) -> str:
    """Grade of wear by the last look; a rope of unknown history is worth nothing till somebody has looked."""
    return "fallen-on" if body["fallen"] else body["wear"] or "unknown"


def service_of(rope: Piece, today: date) -> Service:
    """What a rope has been through, in the words of `rope.service`.

    Parameters
    ----------
    rope : Piece
    today : date

    Notes
    -----
    Hours in the sun count as the share of a year outdoors that they are where there is little sun; days out with no
    hours told count as outdoors day and night. A fall after which somebody signed the rope back into service is no
    trigger here; `gear_fitness` asks about it.
    """
    from ropewright.rope.service import Service

    body = rope.body
    made = rope.told.get("made")
    return Service(
        outdoors=_outdoors(body),
        days_used=body["uses"],
        catches=0 if is_signed_back(rope) else body["catches"],
        age=None if made is None else max(0.0, (today - date.fromisoformat(made)).days * _DAY),
        life=_life(rope.told),
        found=tuple(body["found"]),
    )


def _outdoors(body: Mapping[str, Any]) -> float | None:
    """Time outdoors that the sun and the days out come to. [s]"""
    if body["sun_s"] is None and not body["days_out"]:
        return None  # asked for in `gear_due.asks`
    hours_a_year = TABLES.figures("gear_figures")["sun/hours in a year outdoors"].value.low
    return float((body["sun_s"] or 0.0) / 3600 / hours_a_year * _YEAR + body["days_out"] * _DAY)


def _life(told: Mapping[str, Any]) -> float | None:
    """How long after it was made the maker lets it be used. [s]"""
    life, made = told.get("life_by_age"), told.get("made")
    if life is None:
        return None
    if life == NO_LIMIT or made is None:
        return math.inf if life == NO_LIMIT else None
    day = date.fromisoformat(made)
    return (after(day, read_span(life, "life")) - day).days * _DAY
