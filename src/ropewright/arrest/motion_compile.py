"""The march of falls in three dimensions as something to call: compiled for many, in plain Python for a few.

The functions of the kernel are plain Python and call each other by name. Here they are bound to a name space of their
own, as they are for a block with a few falls in use, or compiled.
"""

from __future__ import annotations

import hashlib
import marshal
import os
from collections.abc import Callable
from functools import cache
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any

__all__ = ["compiled_march", "is_ready", "plain_march"]

March = Callable[..., None]

#: Functions that others call come first.
_ORDER = (
    ("motion_kernel", "kick", "contact", "slip", "place", "place_folded", "run_straight", "measure", "turn_back"),
    ("motion_pull", "chain", "hold", "run_over", "run_free", "relax", "pull"),
    ("motion_events", "drive", "wish", "is_inside", "set_window", "follow", "pass_on", "aim", "face", "rub"),
    ("motion_march", "close", "beside", "overlaps", "hit", "meet", "note", "judge", "still", "look", "begin", "march"),
)

_ready: list[March] = []


def _modules() -> list[ModuleType]:
    from ropewright.arrest import motion_events, motion_kernel, motion_march, motion_pull

    return [motion_kernel, motion_pull, motion_events, motion_march]


def _bind(use: Callable[[FunctionType], Any], **names: object) -> Any:
    """March in a name space of its own, each function made by `use` of one that sees those before it."""
    space: dict[str, Any] = {}
    for module in _modules():
        space.update(vars(module))
    space.update(names)
    for module, (_, *functions) in zip(_modules(), _ORDER, strict=True):
        for name in functions:
            original = getattr(module, name)
            space[name] = use(FunctionType(original.__code__, space, name, original.__defaults__))
    return space["march"]


@cache
def plain_march() -> March:
    """Return the march in plain Python, for blocks with one fall each."""
    from ropewright.arrest import motion_rows
    from ropewright.arrest.motion_plain import for_one_fall

    march: March = _bind(lambda function: for_one_fall(function, motion_rows, function.__globals__), USED=1)
    return march


def is_ready() -> bool:
    """Return True if the compiled march is at hand or kept on disk, so that using it costs a second at most."""
    if _ready:
        return True
    from ropewright.arrest import motion_march

    told = os.environ.get("NUMBA_CACHE_DIR")
    home = Path(told) if told else Path(motion_march.__file__).parent / "__pycache__"
    return any(home.rglob(f"*.march_{_mark()}-*.nbi"))


@cache
def compiled_march() -> March:
    """Return the march compiled for this processor; it holds no lock of the interpreter while it runs.

    Notes
    -----
    No fast-math: results are the same on every run. The machine code is kept on disk beside the source, or in the
    user's cache folder; where neither can be written it is made anew in each process. Numba looks at the file of the
    entry function alone, so its name carries a mark of all the others.
    """
    try:
        made = _bind(_compiler(keep=True))
    except RuntimeError:  # no folder that can be written
        made = _bind(_compiler(keep=False))
    _ready.append(made)
    march: March = made
    return march


def _compiler(*, keep: bool) -> Callable[[FunctionType], Any]:
    from numba import njit

    def use(function: FunctionType) -> Any:
        if function.__name__ != "march":
            # called from compiled code alone, so nothing is needed to call them from outside
            inner: dict[str, Any] = {"no_cpython_wrapper": True, "no_cfunc_wrapper": True}
            return njit(error_model="numpy", nogil=True, **inner)(function)
        function.__qualname__ = f"march_{_mark()}"
        return njit(error_model="numpy", nogil=True, cache=keep)(function)

    return use


@cache
def _mark() -> str:
    """Sixteen digits that change with any function or constant of the kernel."""
    digest = hashlib.sha256()
    for module, (_, *functions) in zip(_modules(), _ORDER, strict=True):
        for name in functions:
            digest.update(marshal.dumps(getattr(module, name).__code__))
    from ropewright.arrest import motion_rows

    for space in (motion_rows, *_modules()):
        for name, value in sorted(vars(space).items()):
            if isinstance(value, int | float):
                digest.update(f"{name}={value!r};".encode())
    return digest.hexdigest()[:16]
