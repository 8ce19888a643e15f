"""The search for taut ropes as something to call, compiled for this processor.

The functions are plain Python and call each other by name. Here they are bound to a name space of their own and
compiled, so that importing them costs nothing.
"""

from __future__ import annotations

import hashlib
import marshal
import os
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any

__all__ = ["code_for", "compiled", "is_ready", "keep_plain", "parts_left_plain", "plain"]

#: Functions that others call come first.
_ORDER = (
    (
        "taut_space", "put", "copy", "far_apart", "over", "depth_in", "is_still_open", "is_open", "meets_box",
        "is_shared", "passes_over", "passes_by", "is_apart", "box_hull", "is_hull_open", "is_under", "is_blocked",
        "look_along", "look",
    ),
    (
        "taut_chain", "lie_beside", "image_place", "total", "settle", "part", "slopes", "solve", "press", "gain",
        "shortest", "guess", "length_by", "is_clear", "reckon", "reckon_ends",
    ),
    (
        "taut_trim", "below", "trim", "is_mark_clear", "bound", "stretch", "note", "set_key", "is_past",
        "least_of_waves", "least_by", "crossing", "cut_cone",
    ),
    ("taut_windows", "wait", "next_event", "follow", "keep"),
    (
        "taut_sift", "lay", "hull_of", "is_family_open", "thickness", "is_family_blocked", "list_part",
        "told_apart", "finish", "sift", "add",
    ),
    (
        "taut_search", "spread", "see", "open_from", "leave_over", "leave", "reach_saddles", "has_passed",
        "turns_away", "carry", "open_by", "between_cones", "sees_all", "cross", "grow", "search",
    ),
    (
        "taut_query", "ends_there", "nearest", "least_to_goal", "gather_over", "gather_on", "least_near",
        "gather_near_over", "gather_near", "pick", "try_straight", "note_try", "try_window", "try_again", "take",
        "from_first", "settle_on", "answer_run", "answer",
    ),
)  # fmt: skip
#: Functions called from outside, by what is compiled together.
_ENTRIES = {"search": ("look", "is_hull_open", "search"), "answer": ("answer",)}
#: Seconds of plain Python after which code kept on disk is loaded, with numba at hand or not; or code is made.
_LOAD, _IMPORT = 0.05, 0.5
_MAKE = {"search": 5.0, "answer": 6.0}

Code = dict[str, Callable[..., Any]]
_ready: dict[str, Code] = {}
_spent = {"search": 0.0, "answer": 0.0}
#: Parts that this process would have compiled, had it not been told to leave that to another; None: it may.
_left_plain: set[str] | None = None


def code_for(part: str, seconds: float) -> Code:
    """Return the functions of a part, compiled if that pays for all that has been, and is now, asked for.

    Parameters
    ----------
    part : str
        ``search`` (with ``look`` and ``is_hull_open``) or ``answer``.
    seconds : float
        What plain Python takes for it, about.

    Notes
    -----
    Plain Python answers for a house in hundredths of a second; loading compiled code takes as long as many houses, and
    making it as long as a thousand. What is spent is estimated, not timed, so that the same calls take the same way.
    Both ways give the same numbers to the last bit.
    """
    if part in _ready:
        return _ready[part]
    _spent[part] += seconds
    if _spent[part] > _MAKE[part] and _left_plain is None:
        return compiled(part)
    if _spent[part] > (_LOAD if "numba" in sys.modules else _IMPORT) and is_ready(part):
        return compiled(part)
    if _spent[part] > _MAKE[part] and _left_plain is not None:
        _left_plain.add(part)
    return plain()


def keep_plain() -> None:
    """Let this process never compile, which takes half a minute; what is kept on disk it still loads.

    For a process that somebody waits for at every moment, such as a server.
    """
    global _left_plain  # noqa: PLW0603 - a switch of the process
    if _left_plain is None:
        _left_plain = set()


def parts_left_plain() -> frozenset[str]:
    """Return the parts that would pay being compiled, in a process that was told to `keep_plain`: for another to do."""
    return frozenset(_left_plain or ()) - _ready.keys()


def _modules() -> list[ModuleType]:
    from ropewright.roof import taut_chain, taut_query, taut_search, taut_sift, taut_space, taut_trim, taut_windows

    return [taut_space, taut_chain, taut_trim, taut_windows, taut_sift, taut_search, taut_query]


def _functions() -> dict[str, FunctionType]:
    """All functions of the kernel, those first that others call."""
    return {
        name: getattr(module, name)
        for module, (_, *names) in zip(_modules(), _ORDER, strict=True)
        for name in names
    }  # fmt: skip


def _needed(entries: tuple[str, ...]) -> set[str]:
    """The entries and all that they call."""
    functions, needed, left = _functions(), set[str](), list(entries)
    while left:
        name = left.pop()
        if name in functions and name not in needed:
            needed.add(name)
            left += functions[name].__code__.co_names
    return needed


def _bind(use: Callable[[FunctionType], Any], entries: tuple[str, ...]) -> Code:
    """The entries in a name space of their own, each function made by `use` of one that sees those before it."""
    space: dict[str, Any] = {}
    for module in _modules():
        space.update(vars(module))
    needed = _needed(entries)
    for name, original in _functions().items():
        if name in needed:
            bound = FunctionType(original.__code__, space, name, original.__defaults__)
            bound.__annotations__ = original.__annotations__
            space[name] = use(bound)
    return {name: space[name] for name in entries}


@cache
def plain() -> Code:
    """Return the functions in plain Python."""
    return _bind(lambda function: function, sum(_ENTRIES.values(), ()))


def is_ready(part: str) -> bool:
    """Return True if the compiled functions of a part are at hand or kept on disk, where numba keeps them."""
    pattern = f"*.{part}_{_mark()}-*.nbi"
    told, user = os.environ.get("NUMBA_CACHE_DIR"), os.environ.get("XDG_CACHE_HOME")
    if part in _ready or told:
        return part in _ready or any(Path(str(told)).rglob(pattern))
    beside = Path(__file__).parent / "__pycache__"
    return any(beside.glob(pattern)) or any((Path(user) if user else Path.home() / ".cache").glob(f"numba/*/{pattern}"))


@cache
def compiled(part: str) -> Code:
    """Return the functions of a part compiled for this processor; they hold no lock of the interpreter while they run.

    Notes
    -----
    No fast-math: results are the same on every run. The machine code is kept on disk beside the source, or in the
    user's cache folder; where neither can be written it is made anew in each process. Numba looks at the file of each
    entry function alone, so its name carries a mark of all the others.
    """
    try:
        made = _bind(_compiler(part, keep=True), _ENTRIES[part])
    except RuntimeError:  # no folder that can be written
        made = _bind(_compiler(part, keep=False), _ENTRIES[part])
    _ready[part] = made
    return made


def _compiler(part: str, *, keep: bool) -> Callable[[FunctionType], Any]:
    from numba import boolean, float64, int64, njit, types, void

    kinds = {"Table": float64[::1], "Counts": int64[::1], "int": int64, "float": float64, "bool": boolean, "None": void}
    kinds["tuple[float, float]"] = types.Tuple((float64, float64))  # type: ignore[no-untyped-call]
    known = keep and is_ready(part)

    def use(function: FunctionType) -> Any:
        # nothing is counted as shared or freed, so that nothing is compiled for that
        options: dict[str, Any] = {"error_model": "numpy", "nogil": True, "_nrt": False}
        *given, back = (kinds[str(kind)] for kind in function.__annotations__.values())
        signature: Any = back(*given)
        if function.__name__ in _ENTRIES[part]:
            function.__qualname__ = f"{function.__name__}_{_mark()}"
            options["cache"], signature = keep, tuple(given)
        else:  # called from compiled code alone, so nothing is needed to call it from outside
            options |= {"no_cpython_wrapper": True, "no_cfunc_wrapper": True}
        # Told the types, numba does not compile a function anew for each constant that it is called with; but then it
        # compiles at once, which is for nothing where all is kept on disk.
        return njit(**options)(function) if known else njit(signature, **options)(function)

    return use


@cache
def _mark() -> str:
    """Sixteen digits that change with any function or constant of the kernel."""
    digest = hashlib.sha256()
    for function in _functions().values():
        digest.update(marshal.dumps(function.__code__))
    from ropewright.roof import taut_rows

    for space in (taut_rows, *_modules()):
        for name, value in sorted(vars(space).items()):
            if isinstance(value, int | float):
                digest.update(f"{name}={value!r};".encode())
    return digest.hexdigest()[:16]
