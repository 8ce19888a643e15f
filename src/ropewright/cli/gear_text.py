"""What the commands on gear print of it: pieces, reasons, strength and history, as text and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING, Any

from ropewright.cli.text_table import WIDTH, table_lines
from ropewright.quantity import Dimension, UnitSystem, show

if TYPE_CHECKING:
    from ropewright.rope.strength import StrengthChain
    from ropewright.store.entry import Entry
    from ropewright.store.gear_fitness import Fitness
    from ropewright.store.gear_piece import Piece

__all__ = [
    "due_rows_lines",
    "fitness_json",
    "history_lines",
    "piece_json",
    "pieces_lines",
    "plain_lines",
    "reason_lines",
    "strength_json",
    "strength_lines",
    "told_lines",
]

_SHOWN: Mapping[str, Dimension] = {"length": Dimension.LENGTH, "force": Dimension.FORCE, "mass": Dimension.MASS}


def piece_json(piece: Piece) -> dict[str, Any]:
    """Return one piece as a document has it, in SI units."""
    state = piece.state
    first = {"tag": piece.tag, "standing": piece.standing, "due_first": state.due, "entry": state.number}
    return {**first, **piece.body, "asks": piece.asks}


def fitness_json(fitness: Fitness) -> dict[str, Any]:
    """Return a verdict with its reasons as a document has them."""
    reasons = [{"verdict": one.verdict.value, "reason": one.text, "source": str(one.source)} for one in fitness.reasons]
    return {"verdict": fitness.verdict.value, "reasons": reasons}


def reason_lines(fitness: Fitness) -> Iterator[str]:
    """Reasons, the worst first, in lines that fit a terminal."""
    for one in fitness.reasons:
        yield from _wrapped(f"{one.text} [{one.source}]", f"  {one.verdict.value:<9} ")


def _wrapped(text: str, first: str) -> list[str]:
    return wrap(text, WIDTH, initial_indent=first, subsequent_indent=" " * len(first), break_on_hyphens=False)


def plain_lines(text: str) -> Iterator[str]:
    """Text in lines that fit a terminal."""
    yield from wrap(text, WIDTH)


def pieces_lines(pieces: Sequence[Piece], units: UnitSystem) -> Iterator[str]:
    """Table of pieces."""
    rows = [
        (piece.tag, piece.kind.name, piece.standing, piece.state.due or "", _where(piece), _what(piece, units))
        for piece in pieces
    ]
    yield from table_lines(("tag", "kind", "standing", "due", "where", "what"), rows)


def _where(piece: Piece) -> str:
    """Who has it, or what it is in."""
    if piece.holder:
        return f"{piece.holder} ({piece.body['job']})" if piece.body["job"] else piece.holder
    return f"in {piece.body['kit']}" if piece.body["kit"] else ""


def _what(piece: Piece, units: UnitSystem) -> str:
    """The few things by which a piece is known at a glance."""
    told = piece.told
    keys = ("fibre", "construction", "diameter_m", "length_m", "model", "size", "place", "note")
    if piece.kind.name == "kit":
        return ", ".join(piece.body["parts"]) or "nothing in it"
    return ", ".join(_value(key, told[key], units) for key in keys if told.get(key))


def _value(key: str, value: Any, units: UnitSystem) -> str:
    """Text of a field in the units asked for."""
    from ropewright.store.gear_fields import gear_fields

    kind = gear_fields()[key].type
    if kind in _SHOWN:
        return show(value, _SHOWN[kind], units, toward="low")
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)


def told_lines(piece: Piece, units: UnitSystem) -> Iterator[str]:
    """What was told of a piece and what it went through."""
    from ropewright.store.gear_fields import gear_fields

    told = [
        f"{gear_fields()[key].option[2:].replace('-', ' ')} {_value(key, value, units)}"
        for key in gear_fields()
        if (value := piece.told.get(key)) is not None
    ]
    if told:
        yield from _wrapped("; ".join(told), "  told      ")
    body = piece.body
    if body["parts"]:
        yield from _wrapped(", ".join(body["parts"]), "  holds     ")
    if piece.kind.in_chain:
        sun = "?" if body["sun_s"] is None else f"{body['sun_s'] / 3600:.0f} h"
        untold = f" and {body['days_out']} days out with no hours told" if body["days_out"] else ""
        known = {key: "?" if body[key] is None else body[key] for key in ("uses", "catches", "wear")}
        lived = f"days of use {known['uses']}; in the sun {sun}{untold}; falls {known['catches']}; {known['wear']}"
        yield from _wrapped(f"{lived}; first used {body['first_use'] or 'never, as far as told'}", "  lived     ")
    for key, word in (("passed", "inspected"), ("checked", "checked"), ("washed", "washed")):
        if body[key]:
            yield f"  {word:<10}{body[key]['day']} by {body[key]['by']}, entry {body[key]['number']}"


def due_rows_lines(piece: Piece, today: str) -> Iterator[str]:
    """What is due on a piece, the first first."""
    for row in piece.due:
        late = " LATE" if row["day"] < today else ""
        source = " ".join(filter(None, (row["source"]["document"], row["source"]["clause"])))
        remembered = "" if row["source"]["status"] in ("read", "user") else f", {row['source']['status']}"
        yield from _wrapped(f"{row['what']} by {row['day']}{late}: {row['why']} [{source}{remembered}]", "  due       ")
    for row in (piece.body["intervals"] or {}).get("before_use", ()):
        told = f"looked over by its user, as the rule asks [{row['document']} {row['clause']}]"
        yield from _wrapped(told, "  each use  ")


def strength_json(chain: StrengthChain | None) -> dict[str, Any] | None:
    """Return the strength of a rope as a document has it, in newtons; None where it was not told."""
    if chain is None:
        return None
    return {
        "standing": chain.standing.value,
        "strength_low_n": chain.low,
        "strength_likely_n": chain.likely,
        "strength_high_n": chain.high,
        "settles": chain.settles,
        "triggers": [
            {"subject": one.subject, "verdict": one.verdict.value, "reason": one.reason, "source": str(one.source)}
            for one in chain.triggers
        ],
        "steps": [
            {
                "name": step.name,
                "share_low": step.factor.low,
                "share_likely": step.factor.likely,
                "share_high": step.factor.high,
                "left_low_n": step.left.low,
                "source": str(step.source),
                "grade": step.grade.value,
                "settles": step.settles,
            }
            for step in chain.steps
        ],
    }


def strength_lines(chain: StrengthChain, units: UnitSystem) -> Iterator[str]:
    """Strength of a rope as it is, triggers before any number."""

    def low(force: float) -> str:
        return show(force, Dimension.FORCE, units, toward="low")

    for one in chain.triggers:
        yield from _wrapped(f"{one.reason} [{one.source}]", f"  {one.verdict.value:<9} ")
    yield f"  {'strength as it is':<32}{'low':>10}{'likely':>10}{'high':>10}"
    yield f"  {'told':<32}{low(chain.told.low):>10}{low(chain.told.likely):>10}{low(chain.told.high):>10}"
    for step in chain.steps:
        ends = (step.factor.low, step.factor.likely, step.factor.high)
        shares = "".join(f"{show(end, Dimension.RATIO, units, toward='low'):>10}" for end in ends)
        yield f"  {step.name + ('' if step.settles else ' *'):<32}{shares}"
        yield from _wrapped(f"[{step.source}, grade {step.grade.value}]", "    ")
    yield f"  {'left':<32}{low(chain.low):>10}{low(chain.likely):>10}{low(chain.high):>10}"
    if any(not step.settles for step in chain.steps):
        yield "  * remembered, judged or from a weak source: lets nothing hold by itself"


def history_lines(entries: Sequence[Entry], tag: str, units: UnitSystem) -> Iterator[str]:
    """Entries about a piece and the ropes it was cut from, oldest first."""
    from ropewright.store.gear_words import tag_of

    for entry in entries:
        whose = "" if tag_of(entry.subject) == tag else f"{tag_of(entry.subject)} "
        told = _told(entry, units)
        text = f"{whose}{entry.kind.partition('.')[2]}, by {entry.by}{f': {told}' if told else ''}"
        yield from _wrapped(text, f"  {entry.body.get('day', entry.at[:10])} {entry.number:>6}  ")


def _told(entry: Entry, units: UnitSystem) -> str:
    """What an entry says, in a few words."""
    body: Mapping[str, Any] = entry.body
    parts = [str(body[key]) for key in ("why", "finding", "note") if body.get(key)]
    if "to" in body:
        parts.insert(0, f"to {body['to']} for {body['job']}")
    if "uses" in body:
        sun = "not told" if body["sun_s"] is None else f"{body['sun_s'] / 3600:.1f} h"
        parts.insert(0, f"days of use {body['uses']}{'' if body['uses_told'] else ' (not told)'}, sun {sun}")
    if "passed" in body or "ok" in body:
        faults = [
            f"{row['point']} ({row['note']})" if row["note"] else row["point"]
            for row in body["answers"]
            if row["answer"] == "fault"
        ]
        missing = ["not answered: " + ", ".join(body["missing"])] if body["missing"] else []
        in_order = "passed" if body.get("passed", body.get("ok")) else "not passed"
        parts.insert(0, "; ".join([in_order, *(["fault at " + ", ".join(faults)] if faults else []), *missing]))
    if "pieces" in body:
        cut = [f"{row['tag']} {show(row['length_m'], Dimension.LENGTH, units, toward='low')}" for row in body["pieces"]]
        parts.insert(0, ", ".join(cut))
    for key, word in (("parent", "from"), ("kit", "kit"), ("part", "part"), ("who", "by"), ("termination", "end")):
        if body.get(key):
            value = body[key]["tag"] if key == "parent" else body[key]
            parts.insert(0, f"{word} {value}")
    if "set" in body:
        parts.insert(0, ", ".join(f"{key} {body['was'].get(key)} -> {value}" for key, value in body["set"].items()))
    if "intervals" in body:
        rows = [row["every"] for row in body["intervals"]["inspect"]]
        parts.insert(0, f"{body['intervals']['pack']}: {', every '.join(['', *rows])[2:] or 'no interval'}")
    return "; ".join(parts)
