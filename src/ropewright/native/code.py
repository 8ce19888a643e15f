"""Kernels written in plain Python, as machine code: made once for a processor, kept on disk, called without the lock.

The kernels use little of Python: numbers, arrays, loops and choices. That little is translated straight to LLVM's
instructions (`ropewright.native.program`). A general compiler of Python (numba) was tried: it took 16 s over the falls
in three dimensions, where this takes one, and 0.6 s merely to be imported.
"""

from __future__ import annotations

import ctypes
import hashlib
import os
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from types import FunctionType
from typing import Any

import numpy as np

__all__ = ["compiled", "is_kept"]

_HERE = Path(__file__).parent
_OWN = ("code.py", "program.py", "body.py", "expressions.py", "values.py")
#: Functions of the system's mathematical library that kernels call.
_SYSTEM = ("exp", "acos", "hypot")
_NUMBERS = {"float": np.dtype(np.float64), "int": np.dtype(np.int64)}
_C_KINDS = {"float": ctypes.c_double, "int": ctypes.c_int64}


def is_kept(name: str, kinds: str, files: Sequence[Path]) -> bool:
    """Return True if the machine code of a function is on disk, for this processor.

    Parameters
    ----------
    name : str
        Of the function.
    kinds : str
    files : sequence of Path
        As for `compiled`.
    """
    return any(place.exists() for place in _places(_mark(name, kinds, files)))


def compiled(function: Callable[..., None], kinds: str, files: Sequence[Path]) -> Callable[..., None]:
    """Return a function of a kernel as machine code, which holds no lock of the interpreter while it runs.

    Parameters
    ----------
    function : function
        Returns nothing, and writes its results into its arrays.
    kinds : str
        Its arguments, parted by blanks: `float`, `int`, and arrays of either with their dimensions, as in `float[2]`.
    files : sequence of Path
        Sources that it and all it calls stand in; what is kept on disk is of their present content.

    Returns
    -------
    callable
        Raises TypeError for arrays that are not as declared and in C order.

    Raises
    ------
    TypeError
        If the function uses of Python what is not translated.

    Notes
    -----
    Translated are functions of a module with whole numbers, floats, truths and arrays of them: assignments, sums,
    products, quotients, squares, comparisons, choices, loops over `range`, ``while``, `max` and `min` of two, `abs`,
    `math.sqrt`, `exp`, `acos`, `hypot` and `copysign`, and each other. A name is of one kind throughout a function. A
    loop ``for j in range(USED)`` that only assigns to names and elements works on several j at once: their number must
    be divisible by eight, and what one writes no other may read.
    Each operation rounds as it does in plain Python; none are reordered, joined or approximated. Machine code is kept
    beside this file, or in the user's cache folder; where neither can be written it is made anew in each process.
    """
    mark = _mark(function.__name__, kinds, files)
    code = _kept(mark) or _made(function, kinds, mark)
    return _Call(code, function.__name__, kinds)


class _Call:
    """Machine code to call with numbers and arrays."""

    def __init__(self, code: bytes, name: str, kinds: str) -> None:
        import llvmlite.binding as llvm  # type: ignore[import-untyped]

        for symbol, place in _system():
            llvm.add_symbol(symbol, place)
        self._engine = llvm.create_mcjit_compiler(llvm.parse_assembly(""), _machine())
        self._engine.add_object_file(llvm.ObjectFileRef.from_data(code))
        self._engine.finalize_object()
        self.kinds = [kind.rstrip("]").partition("[") for kind in kinds.split()]
        arguments: list[Any] = []
        for kind, _, dimensions in self.kinds:
            arguments += [ctypes.c_void_p, *[ctypes.c_int64] * int(dimensions)] if dimensions else [_C_KINDS[kind]]
        self._call = ctypes.CFUNCTYPE(None, *arguments)(self._engine.get_function_address(name))

    def __call__(self, *values: Any) -> None:
        """Call it; arrays must be as declared and in C order."""
        handed: list[Any] = []
        for value, (kind, _, dimensions) in zip(values, self.kinds, strict=True):
            if not dimensions:
                handed.append(value)
            elif value.dtype != _NUMBERS[kind] or value.ndim != int(dimensions) or not value.flags.c_contiguous:
                raise TypeError(f"an array of {kind} with {dimensions} dimensions in C order is due")
            else:
                handed += [value.ctypes.data, *value.shape]
        self._call(*handed)


def _system() -> list[tuple[str, int | None]]:
    library = ctypes.CDLL("ucrtbase" if sys.platform == "win32" else None)
    return [(name, ctypes.cast(getattr(library, name), ctypes.c_void_p).value) for name in _SYSTEM]


def _machine() -> Any:
    import llvmlite.binding as llvm

    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()
    target = llvm.Target.from_default_triple()
    features = llvm.get_host_cpu_features().flatten()
    return target.create_target_machine(cpu=llvm.get_host_cpu_name(), features=features, opt=3, jit=True)


def _width() -> int:
    """Numbers that the processor works on at once."""
    import llvmlite.binding as llvm

    features = llvm.get_host_cpu_features()
    return 8 if features.get("avx512f") else 4 if features.get("avx") else 2


def _made(function: Callable[..., None], kinds: str, mark: str) -> bytes:
    import llvmlite.binding as llvm

    from ropewright.native.program import Program

    assert isinstance(function, FunctionType)
    program = Program(_width())
    program.entry(function, kinds)
    machine = _machine()
    module = llvm.parse_assembly(str(program.module))
    module.triple, module.data_layout = llvm.get_default_triple(), str(machine.target_data)
    options = llvm.create_pipeline_tuning_options(speed_level=2)
    # loops over falls are side by side already
    options.loop_vectorization = options.slp_vectorization = options.loop_unrolling = False
    builder = llvm.create_pass_builder(machine, options)
    builder.getModulePassManager().run(module, builder)
    code: bytes = machine.emit_object(module)
    _keep(code, mark)
    return code


def _mark(name: str, kinds: str, files: Sequence[Path]) -> str:
    """Sixteen digits that change with the kernel, its translation, and the processor."""
    import llvmlite
    import llvmlite.binding as llvm

    told = (name, kinds, llvmlite.__version__, sys.platform, llvm.get_host_cpu_name())
    digest = hashlib.sha256(" ".join((*told, llvm.get_host_cpu_features().flatten())).encode())
    for file in (*files, *(_HERE / own for own in _OWN)):
        digest.update(file.read_bytes())
    return digest.hexdigest()[:16]


def _places(mark: str) -> list[Path]:
    """Where machine code is kept: beside the source, or in the user's own folder where that can't be written."""
    own = os.environ.get("LOCALAPPDATA") or os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return [folder / f"kernel-{mark}.o" for folder in (_HERE / "__pycache__", Path(own) / "ropewright")]


def _kept(mark: str) -> bytes | None:
    for place in _places(mark):
        try:
            return place.read_bytes()
        except OSError:
            continue
    return None


def _keep(code: bytes, mark: str) -> None:
    """Write machine code in one go, so that nobody reads half of it; where nothing can be written, make it anew."""
    for place in _places(mark):
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            with tempfile.NamedTemporaryFile(dir=place.parent, delete=False) as file:
                file.write(code)
            Path(file.name).replace(place)
        except OSError:
            continue
        return
