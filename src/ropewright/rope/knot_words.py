"""What is to be said beside a knot's figures."""

from __future__ import annotations

from ropewright.rope.knots import TiedKnot

__all__ = ["HOW_MEASURED", "NO_ROPE", "tested"]

HOW_MEASURED = (
    "Rope is the length of the drawn curve's middle line, hand-tight; a pull draws some of it out again. The least is "
    "that of the tightest closed knot of the same type in rope of the same diameter."
)
#: Of ends that are no knots.
NO_ROPE = "No published figure was found for the rope that it takes: ask its maker, or who makes it."


def tested(tied: TiedKnot) -> str:
    """Say what tests of a knot's strength were found."""
    if tied.knot.observations:
        return "Tests of one knot differ more between sources than within one, so they are listed and not averaged."
    return "No test of this knot's strength was found that could be read: no figure for it is called safe."
