"""States of invented people for the tests of what is missing."""

from __future__ import annotations

from typing import Any

from ropewright.store.crew_words import skills, topics
from ropewright.store.entry import State


def a_training(**changes: object) -> dict[str, Any]:
    told = {
        "number": 2,
        "on": "2026-03-02",
        "topics": list(topics()),
        "systems": ["absorber", "grab", "harness", "lifeline", "rescue-gear"],
        "trainer": "C. Example",
        "trainer_is": ["competent", "qualified"],
        "certificate": {"signed_by": "C. Example", "signed_as": "trainer", "paper": ""},
    }
    return {**told, **changes}


def signed(skill: str, **changes: object) -> dict[str, Any]:
    told = {"number": 3, "on": "2026-03-03", "skill": skill, "result": "can", "assessor": "C. Example", "note": ""}
    return {**told, **changes}


def person(standing: str = "on the crew", **changes: object) -> State:
    """Return somebody who lacks nothing for work on rope, but for the changes."""
    body: dict[str, Any] = {
        "name": "A. Example",
        "mass_kg": 82.0,
        "mass_with_tools_kg": 95.0,
        "harness_size": "M",
        "roles": {"authorised": {"by": "B. Example", "grounds": "", "number": 1}},
        "trainings": [a_training()],
        "sign_offs": [signed(skill) for skill in skills()],
        "needs": [],
        "left": None,
    }
    return State("crew/P-07", standing, None, "", {**body, **changes}, 9)
