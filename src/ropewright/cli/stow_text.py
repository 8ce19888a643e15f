"""What `ropewright stow` says: as text for people and as a document for programs."""

from __future__ import annotations

from typing import Any

import click

from ropewright.cli.main import CAUTION
from ropewright.findings import Verdict
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.quantity.show import Toward
from ropewright.rope.stow import STEPS, Lid, Twisted
from ropewright.rope.tables import figures
from ropewright.rope.told_stow import PutAway, stow_notes

__all__ = ["document", "status", "text"]

#: Columns that running text is kept to.
_WIDTH = 100

_MEASURE = "measure it with --overhang and --drop"


def status(answer: PutAway) -> int:
    """Exit status: 1 if something fails or must be tried."""
    verdicts = [answer.stowed.verdict, None if answer.lid is None else answer.lid.verdict]
    return int(any(verdict not in (None, Verdict.HOLDS) for verdict in verdicts))


def document(answer: PutAway) -> dict[str, Any]:
    """PutAway as JSON: SI numbers, units in the keys."""
    stowed, twisted, packing = answer.stowed, answer.twisted, answer.stowed.packing
    return {
        "length_m": answer.length,
        "diameter_m": answer.diameter,
        "mass_kg": stowed.mass.high,
        "mass_likely_kg": stowed.mass.likely,
        "mass_low_kg": stowed.mass.low,
        "mass_source": str(stowed.mass_source.source),
        "volume_m3": stowed.volume,
        "fill_low": packing.value.low,
        "fill_likely": packing.value.likely,
        "fill_high": packing.value.high,
        "fill_source": str(packing.source),
        "fill_status": packing.source.status.value,
        "fill_grade": packing.grade.value,
        "fill_never_above": figures("handling_figures")["packing/level-wound"].value.likely,
        "room_low_m3": stowed.room.low,
        "room_likely_m3": stowed.room.likely,
        "room_high_m3": stowed.room.high,
        "container_m3": answer.container,
        "fill": stowed.fill,
        "fits": stowed.fits,
        "fits_verdict": None if stowed.verdict is None else stowed.verdict.value,
        "lid": None if answer.lid is None else _lid(answer.lid),
        "carried_kg": answer.carried,
        "way": answer.way.value,
        "twist_turns_per_m": twisted.turns_per_metre,
        "twist_turns": twisted.turns_in_all,
        "loop_linking_number": twisted.turns.linking,
        "loop_writhe": twisted.turns.writhe,
        "loop_twist": twisted.turns.twist,
        "loop_tension_low_n": twisted.tension.low,
        "loop_tension_likely_n": twisted.tension.likely,
        "loop_tension_high_n": twisted.tension.high,
        "bending_stiffness_low_n_m2": twisted.bending.low,
        "bending_stiffness_likely_n_m2": twisted.bending.likely,
        "bending_stiffness_high_n_m2": twisted.bending.high,
        "hanging_m": twisted.hanging,
        "steps": list(STEPS[answer.way]),
        "notes": list(stow_notes(answer, _MEASURE)),
        "caution": CAUTION,
    }


def _lid(told: Lid) -> dict[str, Any]:
    return {
        "hole_m": told.hole,
        "stopper_low_m": told.stopper.low,
        "stopper_likely_m": told.stopper.likely,
        "lifts": told.lifts,
        "verdict": told.verdict.value,
    }


def text(answer: PutAway, units: UnitSystem) -> str:
    """PutAway for people; what is carried and the room it takes are rounded up."""

    def told(value: float, dimension: Dimension, toward: Toward = "high") -> str:
        return show(value, dimension, units, toward=toward)

    stowed, twisted = answer.stowed, answer.twisted
    room = f"{told(stowed.room.low, Dimension.VOLUME)} laid tight to {told(stowed.room.high, Dimension.VOLUME)} loose"
    rows = [
        ("Rope, at its heaviest", f"{told(stowed.mass.high, Dimension.MASS)} ({stowed.mass_source.source})"),
        ("Rope as a solid", told(stowed.volume, Dimension.VOLUME)),
        ("Room it takes", f"{room} (judged)"),
        ("To be carried", told(answer.carried, Dimension.MASS)),
    ]
    if stowed.fits is not None and answer.container is not None:
        word = {Verdict.HOLDS: "yes", Verdict.ASK: "try it", Verdict.FAILS: "no"}[stowed.verdict or Verdict.ASK]
        rows.insert(3, (f"Fits {told(answer.container, Dimension.VOLUME, 'low')}", word))
    if answer.lid is not None:
        word = {True: "yes", False: "no", None: "try it"}[answer.lid.lifts]
        rows.append(("Stopper lifts the container", word))
    rows.append(("Twist when pulled out straight", _twist_words(twisted)))
    if twisted.turns_per_metre:
        rows.append(("Throws a loop below", f"{told(twisted.tension.high, Dimension.FORCE)} at the most"))
        rows.append(("as much as hangs in", told(twisted.hanging, Dimension.LENGTH)))
    wide = max(len(name) for name, _ in rows) + 3
    steps = [_wrap(f"{number}. {step}") for number, step in enumerate(STEPS[answer.way], start=1)]
    notes = [_wrap(f"! {note}") for note in stow_notes(answer, _MEASURE)]
    table = [f"{name:<{wide}}{value}" for name, value in rows]
    return "\n".join([*table, "", *notes, "", *steps, "", click.wrap_text(CAUTION, width=_WIDTH)])


def _twist_words(twisted: Twisted) -> str:
    if not twisted.turns_per_metre:
        return "none"
    return f"{twisted.turns_per_metre:.2f} turns per metre, {twisted.turns_in_all:.0f} in all"


def _wrap(words: str) -> str:
    return click.wrap_text(words, width=_WIDTH, subsequent_indent="  ")
