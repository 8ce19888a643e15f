"""One fall against time: height, speed, force and what gives, with its phases named."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.answer import FallAnswer
from ropewright.arrest.history import History, Phase, catch_history
from ropewright.quantity import Dimension, UnitSystem, show, unit_symbol
from ropewright.quantity.units import KINDS
from ropewright.sheets.look import INK, PALE, PAPER
from ropewright.sheets.pdf import font_folder
from ropewright.sheets.words import CAUTION
from ropewright.sheets.writing import write_bytes_atomic

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["Spell", "draw_plot", "plot_bytes", "spells"]

#: The one accent: what the eye should find first. Dark enough to be told from paper in grey.
ACCENT = "#9a3412"

#: A phase shorter than this share of the whole time is drawn with the one before. [-]
_LEAST_SPELL = 0.012

#: Points of a curve that are drawn; more can't be seen.
_MOST_POINTS = 1500

#: Names of phases stand in at most so many rows.
_LEVELS = 4

#: Size on paper. [in]
_SIZE = (9.4, 7.6)


class Spell(NamedTuple):
    """A stretch of time in one phase."""

    phase: Phase
    start: float  #: [s]
    end: float  #: [s]


def spells(history: History) -> tuple[Spell, ...]:
    """Phases of a fall one after another; what is too short to draw goes with the one before.

    Examples
    --------
    >>> from ropewright.arrest import Chain
    >>> found = spells(catch_history(Chain(mass=100.0, free_fall=2.0, stiffness=10_000.0), duration=0.5))
    >>> [(spell.phase.value, round(spell.end, 1)) for spell in found]
    [('free fall', 0.6), ('stretching', 0.8), ('rebound', 1.0), ('slack', 1.1)]
    """
    least = _LEAST_SPELL * float(history.time[-1])
    found: list[Spell] = []
    index = 0
    for phase, run in groupby(history.phase):
        start, index = index, index + sum(1 for _ in run)
        spell = Spell(phase, float(history.time[start]), float(history.time[min(index, len(history.time) - 1)]))
        is_same = bool(found) and found[-1].phase is phase
        if found and (is_same or spell.end - spell.start < least):
            found[-1] = found[-1]._replace(end=spell.end)
        else:
            found.append(spell)
    return tuple(found)


@dataclass(frozen=True)
class _Curve:
    """One case of the inputs, followed in time."""

    name: str
    history: History
    style: Mapping[str, Any]


def draw_plot(answer: FallAnswer, path: Path, units: UnitSystem) -> Path:
    """Draw one fall into a file: svg, pdf or png by its ending.

    Parameters
    ----------
    answer : FallAnswer
    path : Path
    units : UnitSystem

    Returns
    -------
    Path
        The file; either the new picture or what was there before.
    """
    return write_bytes_atomic(path, plot_bytes(answer, path.suffix.lower().removeprefix("."), units))


def plot_bytes(answer: FallAnswer, kind: str, units: UnitSystem) -> bytes:
    """Picture of one fall.

    Parameters
    ----------
    answer : FallAnswer
    kind : {'svg', 'pdf', 'png'}
    units : UnitSystem

    Returns
    -------
    bytes
        The same on every run.
    """
    import matplotlib as mpl

    mpl.use("agg")
    from matplotlib import rc_context

    with rc_context(_settings()):
        figure = _figure(answer, units)
        out = io.BytesIO()
        nothing = {"svg": {"Date": None}, "pdf": {"CreationDate": None, "ModDate": None}}.get(kind)
        figure.savefig(out, format=kind, dpi=200, metadata=nothing, facecolor=PAPER)
    return out.getvalue()


def _settings() -> dict[Any, Any]:
    """Look of the drawing: one ink on paper, one sans; its digits are all of one width."""
    from matplotlib import font_manager

    for weight in ("Regular", "Semibold"):
        font_manager.fontManager.addfont(str(font_folder() / f"SourceSansPro-{weight}.ttf"))
    return {
        "font.family": "sans-serif",
        "font.sans-serif": ["Source Sans Pro", "DejaVu Sans"],
        "font.size": 10,
        "text.color": INK,
        "axes.edgecolor": INK,
        "axes.labelcolor": INK,
        "axes.facecolor": PAPER,
        "axes.linewidth": 0.6,
        "axes.spines.top": False,
        "axes.spines.right": False,
        "xtick.color": INK,
        "ytick.color": INK,
        "xtick.major.width": 0.6,
        "ytick.major.width": 0.6,
        "hatch.linewidth": 0.35,
        "svg.hashsalt": "ropewright",
        "svg.fonttype": "path",
        "pdf.fonttype": 42,
    }


def _curves(answer: FallAnswer) -> list[_Curve]:
    """Likely case first; with ranges the hardest and the deepest corner too, without the model's error."""
    stop = answer.one.number("stop_time")
    duration = 3.5 * stop + 0.5
    likely = catch_history(answer.one.chain, duration=duration)
    curves = [_Curve("likely", likely, {"color": INK, "linewidth": 1.7, "linestyle": "-", "zorder": 3})]
    corners, task = answer.corners, answer.task
    if not any(not v.is_exact for name, v in task.inputs.items() if name != "body_shift"):
        return curves
    looks = (("hardest", "peak_force", (0, (6, 2.2)), 1.1), ("deepest", "needed", (0, (1, 1.6)), 1.4))
    for name, output, dashes, width in looks:
        case = corners.cases[int(corners.worst[output][0])]
        if np.isfinite(corners.high[output][0]):
            history = catch_history(task.chain(case), duration=duration)
            style = {"color": INK, "linewidth": width, "linestyle": dashes, "zorder": 2}
            curves.append(_Curve(f"{name} corner of the inputs", history, style))
    return curves


def _figure(answer: FallAnswer, units: UnitSystem) -> Figure:
    from matplotlib.figure import Figure

    curves = _curves(answer)
    end = float(curves[0].history.time[-1])
    figure = Figure(figsize=_SIZE)
    grid = figure.add_gridspec(
        4, 1, height_ratios=(1.25, 0.8, 1.25, 1.0), hspace=0.16, left=0.085, right=0.975, top=0.858, bottom=0.16
    )
    top = figure.add_subplot(grid[0])
    axes = [top, *(figure.add_subplot(grid[i], sharex=top) for i in (1, 2, 3))]
    found = spells(curves[0].history)
    for axis in axes:
        _phases(axis, found)
        axis.set_xlim(0.0, end)
        axis.tick_params(labelbottom=axis is axes[-1], direction="out", length=3)
        axis.grid(visible=True, axis="y", color=PALE, linewidth=0.25, alpha=0.6)
    _height(axes[0], curves, answer, units)
    _speed(axes[1], curves, units)
    _force(axes[2], curves, answer, units)
    _gives(axes[3], curves[0].history, units)
    axes[3].set_xlabel("time from release [s]")
    _phase_names(axes[0], found)
    _title_block(figure, answer, curves, units)
    return figure


def _scale(dimension: Dimension, units: UnitSystem) -> tuple[float, str]:
    """Size of the shown unit in SI, and its name."""
    symbol = unit_symbol(dimension, units)
    return float(KINDS[dimension].units[symbol]), symbol


def _thinned(history: History, values: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Points that are drawn: evenly some, and every extreme one."""
    step = max(len(values) // _MOST_POINTS, 1)
    keep = np.unique(np.concatenate([np.arange(0, len(values), step), [int(values.argmin()), int(values.argmax())]]))
    return history.time[keep], values[keep]


def _phases(axis: Axes, found: tuple[Spell, ...]) -> None:
    """Mark the spells: a line where each begins, and every second one hatched."""
    for number, spell in enumerate(found):
        if number:
            axis.axvline(spell.start, color=PALE, linewidth=0.5, zorder=1)
        if number % 2:
            axis.axvspan(spell.start, spell.end, facecolor="none", edgecolor=PALE, hatch="///", linewidth=0, alpha=0.28)


def _phase_names(axis: Axes, found: tuple[Spell, ...]) -> None:
    """Name each spell over the drawing, in rows where names would meet; a narrow one is named the first time only."""
    low, high = axis.get_xlim()
    point = (high - low) / (_SIZE[0] * 72 * 0.89)  # width of a point of type [s]
    taken = [low - 1.0] * _LEVELS
    named: set[Phase] = set()
    for spell in found:
        start, end = max(spell.start, low), min(spell.end, high)
        width = (4.6 * len(spell.phase.value) + 8) * point
        if end - start < width and spell.phase in named:
            continue
        named.add(spell.phase)
        middle = min(max((start + end) / 2, low + width / 2), high - width / 2)
        free = [level for level, until in enumerate(taken) if until <= middle - width / 2]
        level = free[0] if free else _LEVELS - 1
        taken[level] = middle + width / 2
        over: dict[str, Any] = {
            "xycoords": ("data", "axes fraction"),
            "textcoords": "offset points",
            "annotation_clip": False,
        }
        if level:  # lead the eye down past the names below
            line = {"arrowstyle": "-", "color": PALE, "linewidth": 0.5, "shrinkA": 0, "shrinkB": 0}
            axis.annotate("", ((start + end) / 2, 1.0), xytext=(0, 5 + 12 * level), arrowprops=line, zorder=2,
                          **over)  # fmt: skip
        box = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.6}
        axis.annotate(spell.phase.value, (middle, 1.0), xytext=(0, 5 + 12 * level), ha="center", va="bottom",
                      fontsize=9, bbox=box, zorder=6, **over)  # fmt: skip


def _height(axis: Axes, curves: list[_Curve], answer: FallAnswer, units: UnitSystem) -> None:
    size, symbol = _scale(Dimension.LENGTH, units)
    for curve in curves:
        axis.plot(*_thinned(curve.history, curve.history.height / size), **curve.style)
    history = curves[0].history
    low = int(history.height.argmin())
    deepest = min(float(curve.history.height.min()) for curve in curves)
    floor = None if not answer.task.limits else answer.task.limits.get("needed")
    bottom = min(deepest, -(floor or 0.0)) / size * 1.28
    axis.set_ylim(bottom, abs(bottom) * 0.06)
    axis.set_ylabel(f"D-ring, height [{symbol}]")
    _mark(axis, history.time[low], history.height[low] / size, _length(answer.one.total_fall, units), below=True)
    if floor is not None:
        shift = answer.task.likely["body_shift"]
        where = (shift - floor) / size
        axis.axhspan(bottom, where, facecolor="none", edgecolor=INK, hatch="\\\\\\", linewidth=0, zorder=1)
        axis.axhline(where, color=INK, linewidth=1.0)
        words = f"feet touch, {show(floor, Dimension.LENGTH, units, toward='low')} below their start"
        axis.text(0.995, where, words, transform=axis.get_yaxis_transform(), ha="right", va="bottom", fontsize=9)


def _speed(axis: Axes, curves: list[_Curve], units: UnitSystem) -> None:
    size, symbol = _scale(Dimension.SPEED, units)
    for curve in curves:
        axis.plot(*_thinned(curve.history, curve.history.speed / size), **curve.style)
    axis.axhline(0.0, color=INK, linewidth=0.4)
    axis.set_ylabel(f"speed down [{symbol}]")
    axis.margins(y=0.12)


def _force(axis: Axes, curves: list[_Curve], answer: FallAnswer, units: UnitSystem) -> None:
    size, symbol = _scale(Dimension.FORCE, units)
    for curve in curves:
        axis.plot(*_thinned(curve.history, curve.history.force / size), **curve.style)
    history = curves[0].history
    top = int(history.force.argmax())
    highest = max(float(curve.history.force.max()) for curve in curves)
    limit = None if not answer.task.limits else answer.task.limits.get("peak_force")
    ceiling = max(highest, limit or 0.0) / size * 1.18
    axis.set_ylim(0.0, ceiling)
    axis.set_ylabel(f"force [{symbol}]")
    axis.yaxis.set_major_formatter("{x:,.0f}" if ceiling > 20 else "{x:g}")
    peak = show(answer.one.number("peak_force"), Dimension.FORCE, units, toward="high")
    _mark(axis, history.time[top], history.force[top] / size, peak, below=False)
    weight = answer.one.weight
    axis.axhline(weight / size, color=PALE, linewidth=0.6, linestyle=(0, (1, 2)))
    axis.text(
        0.995, weight / size, "weight", transform=axis.get_yaxis_transform(), ha="right", va="bottom", fontsize=8,
        color=PALE,
    )  # fmt: skip
    if limit is not None:
        axis.axhline(limit / size, color=INK, linewidth=1.0)
        axis.axhspan(limit / size, ceiling, facecolor="none", edgecolor=INK, hatch="\\\\\\", linewidth=0, zorder=1)
        words = f"limit {show(limit, Dimension.FORCE, units, toward='low')}"
        axis.annotate(words, (0.995, limit / size), xycoords=("axes fraction", "data"), xytext=(0, -3), va="top",
                      textcoords="offset points", ha="right", fontsize=9)  # fmt: skip


def _gives(axis: Axes, history: History, units: UnitSystem) -> None:
    """Draw what gives in the likely case: absorber, grab, rope."""
    size, symbol = _scale(Dimension.LENGTH, units)
    rows: tuple[tuple[str, NDArray[np.float64], dict[str, Any]], ...] = (
        ("absorber", history.absorber, {"linestyle": "-", "linewidth": 1.7}),
        ("grab", history.grab, {"linestyle": (0, (6, 2.2)), "linewidth": 1.3}),
        ("rope", history.rope_stretch, {"linestyle": (0, (1, 1.6)), "linewidth": 1.4}),
    )
    for name, values, style in rows:
        if values.max() > 0:
            axis.plot(*_thinned(history, values / size), color=INK, label=name, **style)
    axis.set_ylim(bottom=0.0)
    axis.margins(y=0.15)
    axis.set_ylabel(f"gives, likely [{symbol}]")
    axis.legend(loc="upper left", frameon=False, ncols=3, fontsize=9, handlelength=3.2)


def _mark(axis: Axes, x: float, y: float, words: str, *, below: bool) -> None:
    """Mark the one number to read off, in the accent; paper round it keeps curves off its digits."""
    from matplotlib.patheffects import withStroke

    axis.plot([x], [y], marker="o", markersize=4.5, color=ACCENT, zorder=5)
    axis.annotate(
        words, (x, y), xytext=(8, -2 if below else 3), textcoords="offset points", ha="left",
        va="top" if below else "bottom", fontsize=13, fontweight="semibold", color=ACCENT, zorder=6,
        path_effects=[withStroke(linewidth=3.5, foreground=PAPER)],
    )  # fmt: skip


def _length(value: float, units: UnitSystem) -> str:
    return show(float(value), Dimension.LENGTH, units, toward="high")


def _title_block(figure: Figure, answer: FallAnswer, curves: list[_Curve], units: UnitSystem) -> None:
    one = answer.one
    mass = show(float(one.chain.parts.mass[0]), Dimension.MASS, units)
    length = _length(answer.task.inputs["length"].likely, units) if "length" in answer.task.inputs else ""
    figure.text(0.012, 0.972, f"A fall of {mass}, {_length(one.free_fall, units)} free", fontsize=15, va="top",
                fontweight="semibold")  # fmt: skip
    figure.text(0.988, 0.966, "simulated by Ropewright; plumb, without swing", fontsize=9, va="top", ha="right")
    from matplotlib.lines import Line2D

    if len(curves) > 1:
        handles = [Line2D([], [], **{k: v for k, v in c.style.items() if k != "zorder"}, label=c.name) for c in curves]
        figure.legend(handles=handles, loc="lower left", bbox_to_anchor=(0.005, 0.052), ncols=3, frameon=False,
                      fontsize=9, handlelength=3.6)  # fmt: skip
    for number, words in enumerate(_notes(answer, length)):
        figure.text(0.012, 0.047 - 0.019 * number, words, fontsize=8, va="top")


def _notes(answer: FallAnswer, length: str) -> Iterator[str]:
    line = f"{length} of line; " if length else ""
    errors = "; ".join(f"{f.key.replace('/', ': ')}, up to {f.value.high:.2f} times" for f in answer.errors)
    yield f"{line}the curves are without the model's own error" + (f" ({errors})." if errors else ".")
    yield CAUTION
