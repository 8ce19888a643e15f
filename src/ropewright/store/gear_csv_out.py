"""Gear of the record -> rows of a CSV file, from which `gear_csv` makes pieces that stand the same."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from ropewright.errors import InputError
from ropewright.store.csv_text import write_csv
from ropewright.store.entry import Head, State
from ropewright.store.gear_csv import gear_headers, header_of
from ropewright.store.gear_fields import Field, gear_fields, read_field
from ropewright.store.gear_piece import Piece
from ropewright.store.gear_words import CUT_UP, DESTROYED, QUARANTINED, RETIRED

__all__ = ["gear_csv", "gear_row"]

#: Nicer units than SI's own, by the type of a field: symbol and its size in SI.
_NICE: Mapping[str, tuple[tuple[str, float], ...]] = {
    "length": (("mm", 1e-3), ("m", 1.0)),
    "force": (("kN", 1e3), ("N", 1.0)),
    "mass": (("kg", 1.0),),
    "hours": (("h", 3600.0),),
}

#: Lengths from here on are written in metres. [m]
_LONG = 0.5


def gear_csv(states: Iterable[State], head: Head | None = None) -> tuple[bytes, int]:
    """Return gear as a CSV file, and how many pieces were left out since they were cut up: their parts are there.

    Parameters
    ----------
    states : iterable of State
        Of the family ``gear``.
    head : Head, optional
        Of the record that they stand in; the file carries it.
    """
    kept, left_out = [], 0
    for state in states:
        if state.standing == CUT_UP:
            left_out += 1
        else:
            kept.append(gear_row(Piece(state)))
    return write_csv(gear_headers(), kept, head), left_out


def gear_row(piece: Piece) -> dict[str, str]:
    """Return one piece as texts by header, its quantities with their units."""
    body = piece.body
    told: dict[str, Any] = dict(piece.told) | {
        key: body[key] for key in ("uses", "sun_s", "catches", "wear", "first_use")
    }
    cells = {
        header_of(key): _cell(field, told[key]) for key, field in gear_fields().items() if told.get(key) is not None
    }
    cells |= {"tag": piece.tag, "kind": piece.kind.name, "standing": piece.standing, "received": body["received"]}
    cells |= _standing(piece) | _history(body)
    return {header: text for header, text in cells.items() if text}


def _standing(piece: Piece) -> dict[str, str]:
    body = piece.body
    told = {"holder": body["holder"] or "", "job": body["job"] or "", "kit": body["kit"] or ""}
    told["out since"] = body["out_since"] or ""
    if piece.standing == QUARANTINED:
        told |= {"since": body["quarantine"]["since"], "reason": body["quarantine"]["why"]}
        told["fallen"] = "yes" if body["fallen"] else "no"
    if piece.standing in (RETIRED, DESTROYED):
        told |= {"since": body["ended"]["day"], "reason": body["ended"]["why"]}
    return told


def _history(body: Mapping[str, Any]) -> dict[str, str]:
    told = {"days out": str(body["days_out"] or ""), "found": "; ".join(body["found"])}
    if body["passed"] is not None:
        told |= {"inspected": body["passed"]["day"], "inspected by": body["passed"]["by"]}
    if body["found"]:
        told |= {"found on": body["inspected"]["day"], "found by": body["inspected"]["by"]}
    if body["examined"] is not None:
        looked = body["examined"]
        told |= {"examined": looked["day"], "examined by": looked["by"], "grounds": "by the record this file is from"}
    if body["reuse"] is not None:
        reuse = body["reuse"]
        told |= {
            "cleared": reuse["day"],
            "cleared by": reuse["signed"] or reuse["by"],
            "cleared finding": reuse["finding"],
        }
    return told


def _cell(field: Field, value: Any) -> str:
    """Text from which a field is read back as it is, in the nicest unit in which that is so."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if field.type not in _NICE:
        return str(value)
    units = _NICE[field.type]
    if field.type == "length" and value >= _LONG:
        units = units[1:]
    for symbol, size in units:
        for text in (f"{value / size:.12g} {symbol}", f"{value / size!r} {symbol}"):
            if "e" not in text.split()[0] and _reads_back(field, text, value):
                return text
    return f"{value / units[-1][1]!r} {units[-1][0]}"


def _reads_back(field: Field, text: str, value: float) -> bool:
    try:
        return bool(read_field(field, text, field.key) == value)
    except InputError:
        return False
