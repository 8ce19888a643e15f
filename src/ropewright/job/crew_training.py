"""Which of a person's trainings and sign-offs count, by a rules pack, on a day; and if one does not, why."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from ropewright.rules.crew_needs import CrewNeed
from ropewright.store.crew_state import rows

__all__ = ["counting_trainings", "seen_to_do", "why_not"]

_Row = Mapping[str, Any]


def counting_trainings(body: _Row, needs: Iterable[CrewNeed], today: date) -> list[dict[str, Any]]:
    """Trainings of a person's state that count on a day."""
    asked = tuple(needs)
    return [row for row in rows(body, "trainings") if not why_not(row, asked, today)]


def why_not(row: _Row, needs: Iterable[CrewNeed], today: date) -> str:
    """Why a training does not count on a day; empty if it does.

    Parameters
    ----------
    row : mapping
        A training as a person's state holds it.
    needs : iterable of CrewNeed
        Those of kind ``trainer`` and ``certificate`` are looked at.
    today : date
    """
    if str(row["on"]) > today.isoformat():
        return f"it ends on {row['on']} only"
    if row.get("expires") and str(row["expires"]) < today.isoformat():
        return f"it counted up to {row['expires']} ({row['expires_by']})"
    if row.get("employer") and not (row.get("judged_on") and row.get("judged_by")):
        return "another employer gave it, and nobody here has judged it adequate"
    if row.get("employer") and str(row["judged_on"]) > today.isoformat():
        return f"another employer gave it, and it is judged adequate on {row['judged_on']} only"
    for need in needs:
        if need.kind == "trainer" and need.name not in row["trainer_is"]:
            return f"nobody says that the trainer is a {need.name} person ({need.source})"
        if need.kind == "certificate" and not _is_signed(row):
            return f"no signed certificate is told ({need.source})"
    return ""


def _is_signed(row: _Row) -> bool:
    signed = row.get("certificate")
    return isinstance(signed, Mapping) and bool(signed.get("signed_by")) and bool(signed.get("signed_as"))


def seen_to_do(body: _Row, skill: str, today: date) -> str:
    """How a skill stands on a day: empty if the last who looked saw that the person can, else what is the matter."""
    seen = [row for row in rows(body, "sign_offs") if row["skill"] == skill and str(row["on"]) <= today.isoformat()]
    if not seen:
        return "nobody has signed it off"
    last = max(seen, key=lambda row: (row["on"], row["number"]))
    return "" if last["result"] == "can" else f"not yet, said {last['assessor']} on {last['on']}"
