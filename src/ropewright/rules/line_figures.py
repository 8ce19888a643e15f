"""What a pack says of a line's rope: strength as new, strength with a knot, the load it may work under."""

from __future__ import annotations

from ropewright.errors import InputError
from ropewright.quantity import Range
from ropewright.rope import EndKind, WorkingLoad, terminations, working_load
from ropewright.rope.today import RuleFigure
from ropewright.rules.pack import Pack

__all__ = ["figures_asked", "working_load_by"]


def working_load_by(pack: Pack, as_new: Range) -> WorkingLoad:
    """Working load at the design factor that a pack gives, or 10:1 to 5:1 by practice where it gives none.

    Parameters
    ----------
    pack : Pack
        Its allowance ``working_load_share`` is one over the design factor: none of the packs here has one, since no
        rule read gives a figure for lifelines; rules of one's own may.
    as_new : Range
        Minimum breaking strength as new. [N]

    Raises
    ------
    InputError
        If that share is not above 0 and at most 1.
    """
    told = pack.allowance("working_load_share")
    if told is None:
        return working_load(as_new)
    if not 0 < told.value.low <= told.value.high <= 1:
        raise InputError("allowance working_load_share", told.text, "give a share above 0 and at most 1, such as 0.1")
    return working_load(as_new, (told.value.low, told.value.high), told.source)


def figures_asked(pack: Pack, termination: str) -> tuple[RuleFigure | None, RuleFigure | None]:
    """Strength that a pack asks of a line as new, and of one that is ended with a knot.

    Parameters
    ----------
    pack : Pack
    termination : str
        Canonical name; the second figure is None unless it is a knot.
    """

    def figure(fact: str) -> RuleFigure | None:
        limit = pack.governing(fact, {})
        return None if limit is None or limit.figure is None else RuleFigure(limit.figure.value, limit.source)

    is_knot = terminations()[termination].kind is EndKind.KNOT
    return figure("line_strength"), figure("knotted_strength") if is_knot else None
