"""Make docs/validation.md: every comparison of falls, lines and clearances with others' numbers.

``--check`` only says whether the part that needs no other program is stale.
"""

# ruff: noqa: E501 - sentences of the page stand on one line, as on the page

from __future__ import annotations

import ast
import sys
from pathlib import Path

from validation_cases import drops, engines, ropes, swings, textbooks
from validation_cases.rows import Section

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docs" / "validation.md"

NOT_COMPARED = """
## Not compared

- A07's 173.2 MPa and A18's 0.098 m as printed leave the weight out during the stretch: our law can't, so that only the exact values stand above.
- F01 (mass percentiles of soldiers): the program holds no table of body masses; each worker's mass is told, and a range where it is not known.
- F04 (suspension, 40 subjects): median 31 min and 5 % stopped by 11 min are quoted beside the planned rescue time, as read; no distribution is fitted to them.
- G01's two-sided factor 2.2173: only the one-sided limit is worked out, since a rope is never too strong.
- Printed knot tables (CRR 364/2001, Evans, Šimon et al.): abstracts or method could be read, no numbers; what was read of knots is in `docs/rope-strength.md` and held by tests.
- Swing falls of a regulator: no example with numbers could be read.
- Galy and Lan 2017 (abstract read): 42 falls onto horizontal lines, static reckoning at most 17 % above what was measured.
  Their table could not be read, so that nothing is recomputed; the figure is carried as a model error and never taken off.
- Sewn tape lanyards, over 15 kN at fall factor 1 (translated summary read): neither mass nor stiffness is told.
- Second falls on one dynamic rope: 11 % harder even after 24 h (read): no law here remembers a fall; gear that caught one is out of service.
- Carrión et al. 2021: openings up to 70 % longer than the test method reports (abstract read): the table could not be read, and the figure is carried as a model error.
- Leuthäusser 2010 to 2016, Pavier 1998, Emri et al. 2008: abstracts read, constants not.
- Timber fastenings (NDS, Wood Handbook): the program works none of them out yet.
- Roof and rafter tables, import traps in published rope tables, three-strand strengths, unit tables: held by the tests listed below.
"""


def quick_sections() -> list[Section]:
    return [*textbooks.sections(), *engines.quick_sections(), *ropes.sections(), *drops.sections()]


def quick_part() -> str:
    """Return the page up to what other programs gave."""
    sections = quick_sections()
    rows = [row for section in sections for row in section.rows]
    missed = [row for row in rows if not row.agrees]
    head = f"""# Validation

Made by `tools/validation.py`; don't edit.
Each line holds one number of another's against ours, with the relative error.
*agrees*: within what the other's rounding or our stated step error allows, or inside the band that was measured.
*miss*: it is not, and nothing was tuned to hide it.

In the part below that needs no other program, {len(rows) - len(missed)} of {len(rows)} lines agree and {len(missed)} miss.
All but three misses are measured ropes and absorbers that no single law reproduces; what they teach is carried as model error, by its published size and on the unsafe side (`ropewright fall --list-parts`).
The other three are one recorded run of another program, whose line seems to have been weighed in water.
Letters with numbers (A01, J01) are those of a collection of worked examples that every line can be found by; what of it is not compared is named at the end, and why.
"""
    return head + "\n".join(line for section in sections for line in section.lines()) + "\n"


def slow_part() -> str:
    return (
        "\n".join(line for section in [*swings.sections(), *engines.slow_sections()] for line in section.lines()) + "\n"
    )


def other_tests() -> str:
    """Return the list of the tests against outside sources, by the first line of each."""
    lines = [
        "",
        "## Held by tests",
        "",
        "Every file under `tests/external` holds something against an outside source.",
        "",
    ]
    lines += ["| file | what |", "|---|---|"]
    for path in sorted((ROOT / "tests" / "external").glob("test_*.py")):
        told = (ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or "").partition("\n\n")[0]
        lines.append(f"| `{path.name}` | {' '.join(told.split())} |")
    return "\n".join(lines) + "\n"


def page(slow: str) -> str:
    return quick_part() + slow + NOT_COMPARED + other_tests()


def is_in_step() -> bool:
    """Return True if the page begins with what the quick part gives now."""
    return PAGE.exists() and PAGE.read_text(encoding="utf-8").startswith(quick_part())


def main() -> None:
    if "--check" in sys.argv:
        sys.exit(0 if is_in_step() else "docs/validation.md is stale: python tools/validation.py")
    PAGE.write_text(page(slow_part()), encoding="utf-8")


if __name__ == "__main__":
    main()
