"""Translation of expressions of a kernel's source into instructions of the processor."""

from __future__ import annotations

import ast
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from llvmlite import ir  # type: ignore[import-untyped]

from ropewright.native.values import INTEGER, TRUTH, Arithmetic, Table, Value, is_float

if TYPE_CHECKING:
    from ropewright.native.program import Program

__all__ = ["Expressions"]

_BUILT_IN = frozenset({"max", "min", "abs", "len", "int", "float"})


class Expressions:
    """What the expressions of one function are translated with.

    Parameters
    ----------
    program : Program
        Which other functions are asked of.
    space : mapping
        Names of its module.
    builder : IRBuilder
        Where instructions are put.
    """

    def __init__(self, program: Program, space: Mapping[str, Any], builder: ir.IRBuilder) -> None:
        self.program, self.space, self.builder = program, space, builder
        self.math = Arithmetic(builder, program.module, program.width)
        self.tables: dict[str, Table] = {}
        self.slots: dict[str, Value] = {}  # variables
        self.lane = ""  # name of the index of a loop that works on several falls at once
        self._kinds: dict[type[ast.expr], Callable[[Any], Any]] = {
            ast.Constant: self._constant, ast.Name: self._name, ast.Attribute: self._attribute,
            ast.Tuple: self._tuple, ast.Subscript: self._subscript, ast.BinOp: self._binary,
            ast.UnaryOp: self._unary, ast.Compare: self._compare, ast.BoolOp: self._both, ast.IfExp: self._choice,
            ast.Call: self._call,
        }  # fmt: skip

    def value(self, node: ast.expr) -> Any:
        """Return the value of an expression, a list of them for a tuple, or a table."""
        if type(node) not in self._kinds:
            raise TypeError(f"line {node.lineno}: {type(node).__name__} is not translated")
        return self._kinds[type(node)](node)

    def truth(self, node: ast.expr) -> Value:
        """Return the value of a condition."""
        value = self.value(node)
        if value.type != TRUTH:
            raise TypeError(f"a branch on {value.type}")
        return value

    def _constant(self, node: ast.Constant) -> Value:
        assert isinstance(node.value, int | float)
        return self.math.constant(node.value)

    def _name(self, node: ast.Name) -> Any:
        if node.id in self.tables:
            return self.tables[node.id]
        return self.read(node.id) if node.id in self.slots else self.math.constant(self.space[node.id])

    def read(self, name: str) -> Value:
        """Return a variable."""
        slot = self.slots[name]
        return self.builder.load(slot, typ=slot.allocated_type)

    def _attribute(self, node: ast.Attribute) -> Value:
        assert isinstance(node.value, ast.Name)
        return self.math.constant(getattr(self.space[node.value.id], node.attr))

    def _tuple(self, node: ast.Tuple) -> list[Value]:
        return [self.value(one) for one in node.elts]

    def _subscript(self, node: ast.Subscript) -> Any:
        assert isinstance(node.value, ast.Name)
        table = self.tables[node.value.id]
        if table.columns is not None and not isinstance(node.slice, ast.Tuple):
            return self.math.row(table, self.value(node.slice))
        table, place, wide = self.element(node)
        return self.math.read(place, table.element, wide=wide)

    def element(self, node: ast.Subscript) -> tuple[Table, Value, bool]:
        """Return the table and place of an element, and whether several side by side are meant."""
        assert isinstance(node.value, ast.Name)
        table = self.tables[node.value.id]
        indices = self.value(node.slice) if isinstance(node.slice, ast.Tuple) else [self.value(node.slice)]
        wide = bool(self.lane) and any(isinstance(n, ast.Name) and n.id == self.lane for n in ast.walk(node.slice))
        return table, self.math.place(table, indices[0], indices[1] if len(indices) > 1 else None), wide

    def _binary(self, node: ast.BinOp) -> Value:
        return self.math.operation(type(node.op).__name__, self.value(node.left), self.value(node.right))

    def _unary(self, node: ast.UnaryOp) -> Value:
        if isinstance(node.op, ast.USub) and isinstance(node.operand, ast.Constant):
            assert isinstance(node.operand.value, int | float)
            return self.math.constant(-node.operand.value)
        return self.math.negative(self.value(node.operand))

    def _compare(self, node: ast.Compare) -> Value:
        values = [self.value(one) for one in (node.left, *node.comparators)]
        found = None
        for sign, a, b in zip(node.ops, values[:-1], values[1:], strict=True):
            one = self.math.comparison(type(sign).__name__, a, b)
            found = one if found is None else self.math.operation("BitAnd", found, one)
        return found

    def _both(self, node: ast.BoolOp) -> Value:
        """`and`, `or`: what follows is worked out only if it still matters."""
        with self.builder.goto_entry_block():
            slot = self.builder.alloca(TRUTH)
        end = self.builder.append_basic_block("known")
        for one in node.values:
            truth = self.truth(one)
            self.builder.store(truth, slot)
            ahead = self.builder.append_basic_block("unknown")
            ways = (ahead, end) if isinstance(node.op, ast.And) else (end, ahead)
            self.builder.cbranch(truth, *ways)
            self.builder.position_at_end(ahead)
        self.builder.branch(end)
        self.builder.position_at_end(end)
        return self.builder.load(slot, typ=TRUTH)

    def _choice(self, node: ast.IfExp) -> Value:
        return self.math.chosen(self.value(node.test), self.value(node.body), self.value(node.orelse))

    def _call(self, node: ast.Call) -> Any:
        assert isinstance(node.func, ast.Name | ast.Attribute)
        name = node.func.id if isinstance(node.func, ast.Name) else node.func.attr
        values = [self.value(one) for one in node.args]
        if isinstance(node.func, ast.Attribute) or name in _BUILT_IN:
            return self._built_in(name, values)
        function = self.program.function(self.space[name], values)
        parts = [part for value in values for part in (value.parts if isinstance(value, Table) else [value])]
        found = self.builder.call(function, parts)
        if isinstance(found.type, ir.LiteralStructType):
            return [self.builder.extract_value(found, k) for k in range(len(found.type.elements))]
        return found

    def _built_in(self, name: str, values: list[Any]) -> Value:
        math = self.math
        if name in ("max", "min"):  # as Python chooses between two that compare neither way
            a, b = values
            return math.chosen(math.comparison("Gt" if name == "max" else "Lt", b, a), b, a)
        if name == "len":
            return values[0].rows
        if name == "int":
            return self.builder.fptosi(values[0], INTEGER) if is_float(values[0]) else values[0]
        if name == "copysign":
            return math.signed_as(*values)
        one: dict[str, Callable[[Value], Value]]
        one = {"sqrt": math.square_root, "fabs": math.size, "abs": math.size, "float": math.as_float}
        return one[name](values[0]) if name in one else math.of_system(name, *values)
