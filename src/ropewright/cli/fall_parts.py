"""The list of named parts, with where their figures come from."""

from __future__ import annotations

import math

from ropewright.arrest.part_sets import PartKind, model_errors, part_sets
from ropewright.findings.figures import Figure
from ropewright.rope.tables import figures

__all__ = ["parts_text", "range_text"]

#: Factors on the rows of ropes: used, and wet.
_USED = ("used/arrest", "wet nylon/static")


def range_text(figure: Figure) -> str:
    """Range of a figure in its SI unit, forces in kN.

    Examples
    --------
    >>> range_text(part_sets(PartKind.GRAB)["EN 353-2"].figures["lock"])
    '0.05 m to 0.15 m to 0.5 m'
    """
    size, unit = (1e3, "kN") if figure.unit == "N" else (1.0, figure.unit)
    unit = "" if unit == "-" else f" {unit}"
    ends = (figure.value.low, figure.value.likely, figure.value.high)
    if all(math.isinf(end) for end in ends):
        return "rigid"
    shown = [f"{end / size:.3g}{unit}" for end in ends]
    return shown[0] if figure.value.is_exact else " to ".join(shown)


def parts_text() -> str:
    """Every named part and model error: range, source, how it came to be known."""
    lines = ["Parts that --absorber and --grab know, and those taken if nothing is said:"]
    for kind in (PartKind.ABSORBER, PartKind.GRAB, PartKind.LANYARD, PartKind.BODY, PartKind.ANCHOR):
        for name, found in part_sets(kind).items():
            lines += ["", f"{kind} {name}".strip()]
            lines += [_line(quantity, figure) for quantity, figure in found.figures.items()]
    lines += ["", *_ropes()]
    lines += ["", "What the laws do not reproduce, as factors on their answer:", ""]
    lines += [_line(key, figure) for key, figure in model_errors().items()]
    return "\n".join(lines)


def _ropes() -> list[str]:
    """What --stiffness and its companions may be, by kind of rope: the force per unit strain."""
    lines = ["Ropes, for --stiffness (arrest; static: pulled slowly), or e1, e2 and tau for the damped one (sls):", ""]
    rows = figures("stiffness").items()
    return lines + [_line(key, figure) for key, figure in rows if figure.unit in ("N", "s") or key in _USED]


def _line(what: str, figure: Figure) -> str:
    note = f"; {figure.note}" if figure.note else ""
    return f"  {what:<30} {range_text(figure):<30} {figure.source}{note}"
