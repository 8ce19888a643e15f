"""Whether a piece of gear may be on a job: verdict with reasons, from its state and the day."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from ropewright.findings import Source, SourceStatus, Verdict, worst
from ropewright.store.entry import State
from ropewright.store.gear_out import AFTER_FALL, NEVER_AGAIN
from ropewright.store.gear_piece import Piece
from ropewright.store.gear_strength import is_signed_back, reuse_asked, service_of
from ropewright.store.gear_words import ENDED, QUARANTINED

__all__ = ["Fitness", "Reason", "fitness", "kit_fitness"]

_BEFORE_USE = Source("29 CFR 1926.502", "(d)(21)", SourceStatus.READ)
_JUDGED = Source("judgement of this project", "", SourceStatus.JUDGEMENT)
#: Triggers of the strength of rope that the state does not hold already; how it is rigged is the job's business.
_OF_HISTORY = frozenset({"use", "weather", "age"})


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that speaks against a piece, or that somebody must settle.

    Parameters
    ----------
    verdict : Verdict
        `FAILS`: it may not be used; `ASK`: a person must decide.
    text : str
        One sentence without a full stop.
    source : Source
    """

    verdict: Verdict
    text: str
    source: Source


@dataclass(frozen=True, slots=True)
class Fitness:
    """Whether a piece may be on a job.

    Parameters
    ----------
    tag : str
    verdict : Verdict
        `HOLDS` where nothing speaks against it; that it is looked over before each use stays its user's duty.
    reasons : tuple of Reason
        The worst first.
    """

    tag: str
    verdict: Verdict
    reasons: tuple[Reason, ...]


def fitness(state: State, today: date) -> Fitness:
    """Whether a piece may be on a job today.

    Parameters
    ----------
    state : State
        Of the family ``gear``; of a kit only what is known of the kit itself (`kit_fitness` counts its parts).
    today : date

    Returns
    -------
    Fitness
    """
    piece = Piece(state)
    return _fitness(piece.tag, _reasons(piece, today))


def kit_fitness(kit: State, parts: Iterable[State], today: date) -> Fitness:
    """Whether a kit is ready: it is as fit as the least fit of its parts.

    Parameters
    ----------
    kit : State
    parts : iterable of State
        Its parts; a kit that holds nothing is not ready.
    today : date
    """
    piece = Piece(kit)
    reasons = list(_reasons(piece, today))
    held = [fitness(part, today) for part in parts]
    if not held:
        reasons.append(Reason(Verdict.FAILS, "It holds nothing", _JUDGED))
    reasons += [
        Reason(reason.verdict, f"{part.tag}: {reason.text}", reason.source) for part in held for reason in part.reasons
    ]
    return _fitness(piece.tag, reasons)


def _fitness(tag: str, reasons: Iterable[Reason]) -> Fitness:
    found = tuple(sorted(reasons, key=lambda reason: reason.verdict is not Verdict.FAILS))
    return Fitness(tag, worst((Verdict.HOLDS, *(reason.verdict for reason in found))), found)


def _reasons(piece: Piece, today: date) -> Iterator[Reason]:
    yield from _standing(piece)
    if piece.standing in ENDED:
        return
    yield from _lateness(piece, today)
    if is_signed_back(piece) and piece.kind.textile:
        yield Reason(Verdict.ASK, reuse_asked(piece), NEVER_AGAIN)
    yield from (Reason(Verdict.ASK, f"Not told: {asked}", _JUDGED) for asked in piece.asks)
    if piece.kind.name == "rope":
        yield from _of_rope(piece, today)


def _standing(piece: Piece) -> Iterator[Reason]:
    if piece.standing == QUARANTINED:
        held = piece.body["quarantine"]
        source = AFTER_FALL[0] if piece.body["fallen"] else _BEFORE_USE
        yield Reason(Verdict.FAILS, f"It is quarantined since {held['since']}: {held['why']}", source)
    if piece.standing in ENDED:
        ended = piece.body["ended"]
        told = f" since {ended['day']}: {ended['why']}" if ended else ""
        yield Reason(Verdict.FAILS, f"It is {piece.standing}{told}", _BEFORE_USE)


def _lateness(piece: Piece, today: date) -> Iterator[Reason]:
    for row in piece.late(today):
        if row["what"] == "decide":
            continue  # said with its standing
        what = {"inspect": "Its inspection was due", "retire": "Its life ended"}[row["what"]]
        told, source = f"{what} {row['day']} ({row['why']})", _source(row["source"])
        override = piece.body["override"]
        # who let it out knew what was late on that day, and nothing of what has come due since
        if override is not None and row["what"] == "inspect" and row["day"] < override["day"]:
            let_out = f"{told}; {override['who']} let it out all the same: {override['why']}"
            yield Reason(Verdict.ASK, let_out, source)
        else:
            yield Reason(Verdict.FAILS, told, source)


def _source(row: Mapping[str, Any]) -> Source:
    return Source(row["document"], row["clause"], SourceStatus(row["status"]))


def _of_rope(rope: Piece, today: date) -> Iterator[Reason]:
    """What its history and its fibre say of it as a lifeline."""
    from ropewright.rope import suitability
    from ropewright.rope.fibre import fibres
    from ropewright.rope.service import service_losses

    told = rope.told
    fibre = told.get("fibre", "unknown")
    for loss in service_losses(fibres()[fibre], service_of(rope, today)):
        for trigger in loss.triggers:
            if trigger.subject in _OF_HISTORY and not (trigger.subject == "age" and _age_is_said(rope, today)):
                yield Reason(trigger.verdict, trigger.reason.removesuffix("."), trigger.source)
    suited = suitability(
        fibre,
        told.get("construction", "unknown"),
        told.get("stretch", "unknown"),
        uv_inhibitor=told.get("uv_inhibitor"),
    )
    for one in suited:
        if one.verdict is Verdict.FAILS:
            yield Reason(Verdict.FAILS, one.reason.removesuffix("."), one.source)


def _age_is_said(rope: Piece, today: date) -> bool:
    """Whether the late rows or what is asked speak of its age already."""
    return any(row["what"] == "retire" for row in rope.late(today)) or any("made" in asked for asked in rope.asks)
