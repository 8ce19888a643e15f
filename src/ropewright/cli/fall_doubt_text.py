"""What `ropewright fall` says about doubt: ends of the inputs, limits, draws, and what to pin down."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from ropewright.quantity import Dimension, UnitSystem, show

if TYPE_CHECKING:
    from ropewright.arrest.answer import FallAnswer, LimitAnswer
    from ropewright.arrest.chance import ShareInterval
    from ropewright.arrest.doubt import Doubt, PinDown
    from ropewright.cli.fall_reading import FallRequest
    from ropewright.findings.figures import Figure
    from ropewright.quantity import Range

__all__ = ["doubt_document", "doubt_lines", "finite"]

_WIDTH = 100

#: Output -> its words, its dimension and its key in JSON.
_OUTPUTS = {
    "peak_force": ("Peak force on the D-ring", Dimension.FORCE, "peak_force_n"),
    "average_force": ("Average force", Dimension.FORCE, "average_force_n"),
    "stop_distance": ("Stops within", Dimension.LENGTH, "stop_distance_m"),
    "needed": ("Clearance below the feet", Dimension.LENGTH, "clearance_needed_m"),
    "hang": ("Hangs below its start", Dimension.LENGTH, "hang_m"),
}

#: What each input is in the table of limits -> words.
_LIMIT_WORDS = {"peak_force": "Force of at most", "needed": "Clearance of"}

#: Unit of an input -> its dimension.
_DIMENSIONS = {
    "kg": Dimension.MASS,
    "N": Dimension.FORCE,
    "N/m": Dimension.STIFFNESS,
    "m": Dimension.LENGTH,
    "s": Dimension.TIME,
    "-": Dimension.RATIO,
}

#: An input that brings less than this share of the spread is not listed. [-]
_LEAST_INDEX = 0.02


def finite(value: float) -> float | None:
    """Return a number as JSON has it: None for what is no number or has no end."""
    return value if math.isfinite(value) else None


def _shown(value: float, dimension: Dimension, units: UnitSystem) -> str:
    if math.isnan(value):
        return "-"
    return show(value, dimension, units, toward="high") if math.isfinite(value) else "no end"


def doubt_document(answer: FallAnswer, request: FallRequest, drawn: tuple[Doubt, PinDown] | None) -> dict[str, Any]:
    """Keys of the JSON document that tell of doubt."""
    corners = answer.corners
    found: dict[str, Any] = {
        "spread": {
            key: {
                "low": finite(float(corners.low[name][0])),
                "likely": finite(float(corners.middle[name][0])),
                "high": finite(float(corners.high[name][0])),
            }
            for name, (_, _, key) in _OUTPUTS.items()
        },
        "ranges": {name: _range_document(name, value) for name, value in answer.task.inputs.items()},
        "model_errors": [_figure_document(figure) for figure in answer.errors],
        "parts": {name: _figure_document(figure) for name, figure in request.figures.items()},
        "limits": [_limit_document(limit) for limit in answer.limits],
    }
    return found if drawn is None else found | {"draws": _draws_document(*drawn)}


def _range_document(name: str, value: Range) -> dict[str, Any]:
    from ropewright.arrest.doubtful import INPUTS

    ends = {"low": finite(value.low), "likely": finite(value.likely), "high": finite(value.high)}
    return {**ends, "unit": INPUTS[name].unit}


def _figure_document(figure: Figure) -> dict[str, Any]:
    value = figure.value
    ends = {"low": finite(value.low), "likely": finite(value.likely), "high": finite(value.high)}
    return {"name": figure.key, **ends, "unit": figure.unit, "source": str(figure.source), "note": figure.note}


def _limit_document(limit: LimitAnswer) -> dict[str, Any]:
    return {
        "quantity": _OUTPUTS[limit.output][2],
        "limit": limit.limit,
        "likely": finite(limit.likely),
        "worst": finite(limit.worst),
        "verdict": limit.verdict.value,
    }


def _draws_document(drawn: Doubt, found: PinDown) -> dict[str, Any]:
    levels = [f"p{level * 100:g}" for level in drawn.levels]
    spread = {
        _OUTPUTS[name][2]: {
            "least": finite(float(drawn.least[name][0])),
            **dict(zip(levels, (finite(float(v)) for v in values[:, 0]), strict=True)),
            "greatest": finite(float(drawn.greatest[name][0])),
        }
        for name, values in drawn.spread.items()
    }
    shares = {
        _OUTPUTS[name][2] if name in _OUTPUTS else name: {
            "share": float(share.share[0]),
            "low": float(share.low[0]),
            "high": float(share.high[0]),
            "confidence": 0.95,
        }
        for name, share in drawn.shares.items()
    }
    indices = {
        _OUTPUTS[name][2]: [
            {
                "input": found.inputs[i],
                "first": finite(float(index.first[i])),
                "total": finite(float(index.total[i])),
                "error": finite(float(index.total_error[i])),
            }
            for i in (found.inputs.index(who) for who in found.order(name))
        ]
        for name, index in found.indices.items()
    }
    return {"n": drawn.draws, "spread": spread, "shares": shares, "indices": indices}


def doubt_lines(
    answer: FallAnswer, request: FallRequest, drawn: tuple[Doubt, PinDown] | None, units: UnitSystem
) -> Iterator[str]:
    """Lines of text that tell of doubt; none where nothing was asked but one plain fall."""
    yield from _parts_lines(request)
    if request.has_ranges or answer.limits or drawn:
        yield from _corner_lines(answer, units)
    if answer.limits:
        yield ""
        for limit in answer.limits:
            yield _limit_line(limit, units)
    if drawn:
        yield from _draws_lines(*drawn, units)
    yield ""


def _parts_lines(request: FallRequest) -> Iterator[str]:
    from ropewright.cli.fall_parts import range_text

    used = {name: figure for name, figure in request.figures.items() if name != "body_shift"}
    if used:
        yield ""
        yield "Taken from the tables:"
        for figure in used.values():
            yield click.wrap_text(f"{figure.key}: {range_text(figure)} ({figure.source})", _WIDTH, "  ", "    ")


def _corner_lines(answer: FallAnswer, units: UnitSystem) -> Iterator[str]:
    corners = answer.corners
    count = len(corners.cases) - 1
    yield ""
    yield f"{f'At the ends of the inputs, {count} corners':<42}{'least':>12}{'likely':>12}{'greatest':>12}"
    for name, (words, dimension, _) in _OUTPUTS.items():
        values = (corners.low[name][0], corners.middle[name][0], corners.high[name][0])
        yield f"{words:<42}" + "".join(f"{_shown(float(v), dimension, units):>12}" for v in values)
    yield click.wrap_text(f"Hardest with {_case(answer, 'peak_force', units)}.", _WIDTH, "", "  ")
    yield click.wrap_text(f"Deepest with {_case(answer, 'needed', units)}.", _WIDTH, "", "  ")
    for figure in answer.errors:
        yield click.wrap_text(
            f"The greatest holds the model's own error, {figure.key}: up to {figure.value.high:.2f} times "
            f"({figure.source}).", _WIDTH, "", "  "
        )  # fmt: skip


def _case(answer: FallAnswer, output: str, units: UnitSystem) -> str:
    """Inputs of the worst corner that may be other than likely."""
    from ropewright.arrest.doubtful import INPUTS, complete, in_doubt
    from ropewright.arrest.model_error import ERRORS

    case = answer.corners.cases[int(answer.corners.worst[output][0])]
    names = [name for name in in_doubt(complete(answer.task.inputs)) if name not in ERRORS]
    told = (f"{INPUTS[n].words} {show(case[n], _DIMENSIONS[INPUTS[n].unit], units)}" for n in names)
    return ", ".join(told) or "the inputs as given"


def _limit_line(limit: LimitAnswer, units: UnitSystem) -> str:
    _, dimension, _ = _OUTPUTS[limit.output]
    told = show(limit.limit, dimension, units, toward="low")
    worst = _shown(limit.worst, dimension, units)
    return f"{_LIMIT_WORDS[limit.output]} {told}: {limit.verdict.value.upper()}, {worst} at the worst"


def _draws_lines(drawn: Doubt, found: PinDown, units: UnitSystem) -> Iterator[str]:
    yield ""
    heads = "".join(f"{f'{level:.0%}'.replace('%', ' %'):>12}" for level in drawn.levels)
    yield f"{f'{drawn.draws:,} draws: share that lies at or below':<42}{heads}"
    for name, (words, dimension, _) in _OUTPUTS.items():
        yield f"{words:<42}" + "".join(f"{_shown(float(v), dimension, units):>12}" for v in drawn.spread[name][:, 0])
    yield ""
    for name, share in drawn.shares.items():
        if name == "all" and len(drawn.shares) == 2:
            continue  # nothing but the arrest was asked
        what = {"arrested": "Arrested", "all": "All of it"}.get(name) or f"{_OUTPUTS[name][0]} within its limit"
        yield f"{what:<42}{_share(share)}"
    yield ""
    for name in ("peak_force", "needed"):
        yield click.wrap_text(_pin_line(name, found), _WIDTH, "", "  ")


def _share(share: ShareInterval) -> str:
    """Share of draws with its interval, rounded so that it never says more than is known."""
    low, middle, high = (math.floor(float(v[0]) * 1000) / 10 for v in (share.low, share.share, share.high))
    return f"in {middle:.1f} % of draws; between {low:.1f} % and {high:.1f} % with 95 % confidence"


def _pin_line(output: str, found: PinDown) -> str:
    from ropewright.arrest.doubtful import INPUTS

    words = {"peak_force": "force", "needed": "clearance"}[output]
    if not found.inputs:
        return f"Nothing is in doubt about the {words}."
    total = found.indices[output].total
    listed = [
        f"{INPUTS[name].words} ({total[found.inputs.index(name)]:.0%})".replace("%", " %")
        for name in found.order(output)
        if total[found.inputs.index(name)] >= _LEAST_INDEX
    ]
    return f"To know the {words} better, pin down first: {', '.join(listed[:5]) or 'nothing stands out'}."
