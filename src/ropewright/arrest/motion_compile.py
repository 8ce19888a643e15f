"""The march of falls in three dimensions as something to call: machine code for many, plain Python for a few.

The functions of the kernel are plain Python and call each other by name. For a block with a few falls in use they are
bound to a name space of their own.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from types import FunctionType
from typing import Any

from ropewright import native

__all__ = ["compiled_march", "is_ready", "plain_march"]

March = Callable[..., None]

_FILES = tuple(Path(__file__).parent / f"motion_{name}.py" for name in ("rows", "kernel", "pull", "events", "march"))
#: Arguments of the march.
_KINDS = (
    "float[2] int[1] int int[2] float[2] float[2] int int "
    "float[2] int[2] float[2] float[2] float[2] float[2] float"
)  # fmt: skip

_ready: list[March] = []


@cache
def plain_march() -> March:
    """Return the march in plain Python, for blocks with one fall each."""
    from ropewright.arrest import motion_events, motion_kernel, motion_march, motion_pull, motion_rows
    from ropewright.arrest.motion_plain import for_one_fall

    space: dict[str, Any] = {}
    for module in (motion_kernel, motion_pull, motion_events, motion_march):
        space.update(vars(module))
    space["USED"] = 1
    for name, function in list(space.items()):
        if isinstance(function, FunctionType):
            space[name] = for_one_fall(FunctionType(function.__code__, space, name), motion_rows, space)
    march: March = space["march"]
    return march


def is_ready() -> bool:
    """Return True if the compiled march is at hand or kept on disk, so that using it costs a fifth of a second."""
    return bool(_ready) or native.is_kept("march", _KINDS, _FILES)


@cache
def compiled_march() -> March:
    """Return the march as machine code; see `ropewright.native`."""
    from ropewright.arrest import motion_march

    made = native.compiled(motion_march.march, _KINDS, _FILES)
    _ready.append(made)
    return made
