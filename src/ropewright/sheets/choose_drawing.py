"""Ropes side by side as a table: a row a kind of rope, a column a question, each answer as hatch and word."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from ropewright.findings import Verdict
from ropewright.rope.choose import Choice
from ropewright.rope.material import Suited
from ropewright.sheets import svg
from ropewright.sheets.canvas import wrapped
from ropewright.sheets.ink import CAUTION
from ropewright.sheets.look import FONT, INK, PALE, PAPER, VERDICT_LOOKS, hatch_patterns, hatched

__all__ = ["choose_svg"]

WIDTH, SIDE, NAMES = 186.0, 6.0, 58.0  #: of the drawing, left free at its sides, of the ropes' names [mm]
HEAD, ROW, GAP = 30.0, 6.8, 0.8  #: of the questions, of a rope, between cells [mm]
TITLE, TEXT, SMALL = 5.4, 3.4, 2.9  #: em heights [mm]

_LOOKS = {f"rw-{verdict.value}": VERDICT_LOOKS[verdict] for verdict in Verdict}
_WORDS = {Verdict.HOLDS: "holds", Verdict.DOUBTFUL: "doubt", Verdict.ASK: "ask", Verdict.FAILS: "fails"}


def choose_svg(choices: Sequence[Choice]) -> str:
    """Drawing of ropes that were compared, in their order.

    Parameters
    ----------
    choices : sequence of Choice
        At least one; all asked the same kind of questions.

    Returns
    -------
    str
        An SVG document; one user unit is 1 mm.
    """
    columns = list(dict.fromkeys(_column(answer) for choice in choices for answer in choice.answers))
    wide = (WIDTH - 2 * SIDE - NAMES) / (len(columns) + 1)
    body = [svg.text("Ropes compared", (SIDE, 9.5), TITLE, font_weight=600)]
    body += _heads(["in all", *columns], wide)
    y = HEAD
    for choice in choices:
        body += _row(choice, columns, wide, y)
        y += ROW
    y += 3.0
    legend = "fails and ask act before any number; holds: by a source that settles it. Reasons and sources: the text."
    for words in (line for part in (legend, CAUTION) for line in wrapped(part, WIDTH - 2 * SIDE, SMALL, 3)):
        y += 1.3 * SMALL
        body.append(svg.text(words, (SIDE, y), SMALL, fill=PALE))
    return _document(body, y + 4.0, [f"{_name(one)}: {one.word}" for one in choices])


def _document(body: list[str], height: float, told: Sequence[str]) -> str:
    return svg.tag(
        "svg",
        svg.tag("title", "Ropes compared"),
        svg.tag("desc", svg.text_of("; ".join(told))),
        svg.tag("defs", hatch_patterns(_LOOKS)),
        svg.rectangle((0, 0), WIDTH, height, fill=PAPER),
        *body,
        xmlns="http://www.w3.org/2000/svg",
        role="img",
        width=f"{WIDTH:g}mm",
        height=f"{height:g}mm",
        viewBox=f"0 0 {WIDTH:g} {height:g}",
        font_family=FONT,
        fill=INK,
    )


def _column(answer: Suited) -> str:
    """``fibre/vertical lifeline`` and ``chemical/acid`` -> what the column is called."""
    head, _, rest = answer.key.partition("/")
    return rest if head == "chemical" else head


def _name(choice: Choice) -> str:
    kind = choice.kind
    return f"{kind.fibre}, {kind.construction}{'' if kind.stretch == 'unknown' else f', {kind.stretch}'}"


def _heads(columns: Sequence[str], wide: float) -> Iterator[str]:
    for number, words in enumerate(columns):
        x = SIDE + NAMES + (number + 0.5) * wide
        yield svg.text(words, (x + 1.0, HEAD - 2.0), TEXT, turn=-40.0, font_weight=600 if number == 0 else None)


def _row(choice: Choice, columns: Sequence[str], wide: float, y: float) -> Iterator[str]:
    lines = wrapped(_name(choice), NAMES - 2.0, SMALL, 2)
    for number, words in enumerate(lines):
        middle = y + ROW / 2 + (number - (len(lines) - 1) / 2) * 1.05 * SMALL
        yield svg.text(words, (SIDE, middle + 0.35 * SMALL), SMALL)
    yield from _cell(choice.verdict, choice.word, SIDE + NAMES, wide, y)
    answers: dict[str, Suited] = {}
    for answer in choice.answers:
        answers.setdefault(_column(answer), answer)
    for number, column in enumerate(columns, start=1):
        if column in answers:
            verdict = answers[column].verdict
            yield from _cell(verdict, _WORDS[verdict], SIDE + NAMES + number * wide, wide, y)


def _cell(verdict: Verdict, word: str, x: float, wide: float, y: float) -> Iterator[str]:
    """Hatch on the left, the word on the right: told by neither alone."""
    left, right, top, foot = x + GAP / 2, x + wide - GAP / 2, y + 0.6, y + ROW - 0.6
    middle = left + 0.24 * (right - left)
    corners = np.array([[left, top], [middle, top], [middle, foot], [left, foot]])
    yield hatched([corners], f"rw-{verdict.value}", VERDICT_LOOKS[verdict])
    yield svg.rectangle((left, top), right - left, foot - top, fill="none", stroke=INK, stroke_width=0.25)
    size = min(SMALL, 0.36 * (right - middle))
    yield svg.text(word, ((middle + right) / 2, (top + foot) / 2 + 0.35 * size), size, text_anchor="middle")
