"""What to do about each input in doubt, in words for whoever plans the job."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["ADVICE", "LAW_ERRORS"]

#: Input, by its name in `ropewright.arrest.doubtful.INPUTS` -> what to do about it, to start a sentence.
ADVICE: Mapping[str, str] = {
    "mass": "Weigh the worker with clothing and tools",
    "modulus": "Ask the rope's maker how far it stretches",
    "friction": "See what the rope bends over, and how it rubs there",
    "grab_lock": "Find out how far the grab runs before it locks",
    "grab_slip_force": "Ask the grab's maker at which force it slides",
    "grab_slip_length": "Ask the grab's maker how far it slides",
    "grab_slide": "Ask the grab's maker how far it slides and at which force",
    "absorber_force": "Read the average force on the absorber's label",
    "absorber_length": "Read on the absorber's label how far it opens",
    "body_shift": "Find out how far the D-ring shifts on this harness",
    "slide_friction": "Find out how a body slides on this roof, wet or dry",
}

#: The laws' own errors, with their names; nothing that is done on site makes them less.
LAW_ERRORS: Mapping[str, str] = {
    "rope_error": "how far the law of an undamped rope is off",
    "absorber_error": "how far an absorber peaks above its average",
    "opening_error": "how much further absorbers open than worked out",
}
