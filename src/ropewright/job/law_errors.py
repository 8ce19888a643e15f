"""What no single law reproduces, as it stands in one worker's answers: inputs and sources of findings, and in words."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.arrest.corners import ErrorsAt
from ropewright.arrest.part_sets import model_errors
from ropewright.findings import Source
from ropewright.job.rig import Rig

__all__ = ["error_assumptions", "error_inputs", "error_sources"]

#: Rows of the table that bear on each kind of finding.
_FORCE = ("rope/undamped peak", "absorber/peak over average")
_OPENING = "absorber/opening"


def error_inputs(kind: str, errors: ErrorsAt, i: int) -> dict[str, float | str]:
    """Inputs of a finding at one edge point that tell the model's own error in its unsafe end.

    Parameters
    ----------
    kind : str
        Of the finding: ``arrest-force``.
    errors : ErrorsAt
    i : int

    Returns
    -------
    dict
        Empty where no error bears.

    Examples
    --------
    >>> import numpy as np
    >>> errors = ErrorsAt(np.array([1.0, 1.3]), np.array([1.25, 1.0]), np.array([0.35, 0.0]))
    >>> error_inputs("arrest-force", errors, 0), error_inputs("arrest-force", errors, 1)
    ({'absorber_model_error': 1.25}, {'rope_model_error': 1.3})
    >>> error_inputs("clearance-simulated", errors, 0)
    {'model_error_m': 0.35}
    """
    if kind == "arrest-force":
        rope, absorber = float(errors.rope[i]), float(errors.absorber[i])
        if max(rope, absorber) > 1.0:
            return {"rope_model_error": rope} if rope >= absorber else {"absorber_model_error": absorber}
    elif kind == "clearance-simulated" and errors.opening[i] > 0:
        return {"model_error_m": float(errors.opening[i])}
    elif kind == "deceleration" and errors.opening[i] > 0:
        return {"opening_model_error": model_errors()[_OPENING].value.high}
    return {}


def error_sources(kind: str, errors: ErrorsAt, i: int) -> tuple[Source, ...]:
    """Where the size of those errors was published.

    Parameters
    ----------
    kind, errors, i
        As for `error_inputs`.
    """
    borne = error_inputs(kind, errors, i)
    if not borne:
        return ()
    row = _FORCE[0] if "rope_model_error" in borne else _FORCE[1] if "absorber_model_error" in borne else _OPENING
    return (model_errors()[row].source,)


def error_assumptions(rigs: tuple[Rig, ...]) -> Iterator[str]:
    """Yield in words which errors of the laws are counted, and which are known and left out because they are milder."""
    rows = model_errors()
    if not rigs:
        return
    if any(rig.line.lanyard.absorber for rig in rigs):
        peak, opening = rows[_FORCE[1]], rows[_OPENING]
        yield (
            f"At its unsafe end an absorber peaks at {peak.value.high:.2f} times its average force ({peak.source}) and "
            f"opens {opening.value.high:.1f} times as far as worked out ({opening.source}); both were measured."
        )
    rope = rows[_FORCE[0]]
    yield (
        f"At its unsafe end a rope that takes the fall by itself pulls {rope.value.high:.1f} times as hard as worked "
        f"out ({rope.source}), but where its stiffness was found in drops as hard as the fall, so that its range holds "
        "that already."
    )
