"""Functions of the kernels put together to one program for the processor at hand."""

from __future__ import annotations

import ast
import inspect
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import FunctionType
from typing import Any

from llvmlite import ir  # type: ignore[import-untyped]

from ropewright.native.body import Body
from ropewright.native.values import FLOAT, INTEGER, TRUTH, Table, Value, is_wide

__all__ = ["Program"]

_POINTER = ir.PointerType()
_SCALARS = {"float": FLOAT, "int": INTEGER, "bool": TRUTH}


class Program:
    """Plain Python functions as one module of instructions.

    Parameters
    ----------
    width : int
        Falls that the processor works on at once; divides the number of falls in a block.
    """

    def __init__(self, width: int) -> None:
        self.width = width
        self.module = ir.Module("kernel")
        self._made: dict[tuple[str, ...], ir.Function] = {}
        self._sources: dict[str, Mapping[str, ast.FunctionDef]] = {}

    def entry(self, function: FunctionType, kinds: str) -> None:
        """Translate a function to be called from outside, and all that it calls, under its own name.

        Parameters
        ----------
        function : function
        kinds : str
            Its arguments, parted by blanks: `float`, `int`, `float[1]`, `float[2]`, `int[1]`, `int[2]`.
        """
        shapes = [_shape(kind) for kind in kinds.split()]
        parts = [part for shape in shapes for part in shape[1]]
        made = ir.Function(self.module, ir.FunctionType(ir.VoidType(), parts), function.__name__)
        self._translate(function, made, shapes)

    def function(self, function: FunctionType, values: Sequence[Any]) -> ir.Function:
        """Return a function translated for arguments like these."""
        kinds = [value.kind if isinstance(value, Table) else str(value.type) for value in values]
        key = (f"{function.__module__}.{function.__name__}", *kinds)
        if key not in self._made:
            self._made[key] = self._inner(function, values, len(self._made))
        return self._made[key]

    def _inner(self, function: FunctionType, values: Sequence[Any], number: int) -> ir.Function:
        wide = any(not isinstance(value, Table) and is_wide(value) for value in values)
        shapes = [_shape_of(value) for value in values]
        parts = [part for _, here in shapes for part in here]
        result = self._result(self._source(function).returns, wide=wide)
        made = ir.Function(self.module, ir.FunctionType(result, parts), f"{function.__name__}.{number}")
        made.linkage = "internal"
        if wide:
            # numbers side by side would be handed over by way of memory
            made.attributes.add("alwaysinline")
        self._translate(function, made, shapes)
        return made

    def _translate(
        self, function: FunctionType, made: ir.Function, shapes: Sequence[tuple[ir.Type, list[ir.Type]]]
    ) -> None:
        made.attributes.add("nounwind")
        node, rest = self._source(function), list(made.args)
        names: dict[str, Value | Table] = {}
        for argument, (element, parts) in zip(node.args.args, shapes, strict=True):
            mine, rest = rest[: len(parts)], rest[len(parts) :]
            is_table = parts[0] == _POINTER
            names[argument.arg] = Table(mine[0], mine[1], (*mine, None)[2], element) if is_table else mine[0]
        Body(self, node, function.__globals__, made, names)

    def _source(self, function: FunctionType) -> ast.FunctionDef:
        file = inspect.getfile(function)
        if file not in self._sources:
            tree = ast.parse(Path(file).read_text(encoding="utf-8"))
            self._sources[file] = {node.name: node for node in tree.body if isinstance(node, ast.FunctionDef)}
        return self._sources[file][function.__name__]

    def _result(self, told: ast.expr | None, *, wide: bool) -> ir.Type:
        """Kind of a function's result, from what its head says."""
        if told is None or isinstance(told, ast.Constant):
            return ir.VoidType()
        if isinstance(told, ast.Subscript):
            assert isinstance(told.slice, ast.Tuple)
            return ir.LiteralStructType([self._result(one, wide=wide) for one in told.slice.elts])
        assert isinstance(told, ast.Name)
        kind = _SCALARS[told.id]
        return ir.VectorType(kind, self.width) if wide else kind


def _shape(kind: str) -> tuple[ir.Type, list[ir.Type]]:
    """Element of an argument, and what it is handed over as."""
    name, _, dimensions = kind.rstrip("]").partition("[")
    if not dimensions:
        return _SCALARS[name], [_SCALARS[name]]
    return _SCALARS[name], [_POINTER, INTEGER] + [INTEGER] * (dimensions == "2")


def _shape_of(value: Any) -> tuple[ir.Type, list[ir.Type]]:
    if isinstance(value, Table):
        return value.element, [part.type for part in value.parts]
    return value.type, [value.type]
