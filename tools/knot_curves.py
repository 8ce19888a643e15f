"""Lay every knot and write its curves to src/ropewright/rope/data/knot_curves.json; takes about two minutes.

Give names of knots to lay only those and keep the rest of the file.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import numpy as np

from ropewright.rope.curve import resampled
from ropewright.rope.knot_designs import DESIGNS, Picture
from ropewright.rope.relax import relaxed

PAGE = Path(__file__).parents[1] / "src" / "ropewright" / "rope" / "data" / "knot_curves.json"
ABOUT = "made by tools/knot_curves.py from rope/knot_designs.py; points in thousandths of the rope's diameter"

#: Distance between the points that are kept. [diameters]
KEPT = 0.4


def laid(picture: Picture) -> list[dict[str, Any]]:
    """Return the shown strands of a picture as they stand in the file."""
    curves = relaxed(picture.strands, picture.rounds)
    return [
        {
            "name": strand.name,
            "diameter": round(strand.diameter, 4),
            "new_from": round(strand.new_from, 3),
            "points": np.rint(1000 * resampled(curve, KEPT)).astype(int).ravel().tolist(),
        }
        for strand, curve in zip(picture.strands, curves, strict=True)
        if strand.shown
    ]


def main(names: list[str]) -> None:
    """Write the file."""
    kept = json.loads(PAGE.read_text())["knots"] if PAGE.exists() else {}
    for name in names or DESIGNS:
        kept[name] = [laid(picture) for picture in DESIGNS[name]()]
        print(name)
    lines = [f"{json.dumps(name)}: {json.dumps(kept[name], separators=(',', ':'))}" for name in DESIGNS if name in kept]
    body = ",\n".join(lines)
    PAGE.write_text(f'{{"about": {json.dumps(ABOUT)},\n"knots": {{\n{body}\n}}}}\n')


if __name__ == "__main__":
    main(sys.argv[1:])
