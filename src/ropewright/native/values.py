"""Values of compiled functions and what is done with them: numbers, truths, several of either side by side, tables.

Built on the instruction builder of llvmlite. Nothing here reorders, fuses or approximates: each operation rounds as the
same one of plain Python does.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from llvmlite import ir  # type: ignore[import-untyped]

__all__ = ["FLOAT", "INTEGER", "TRUTH", "Arithmetic", "Table", "Value", "is_wide"]

FLOAT, INTEGER, TRUTH = ir.DoubleType(), ir.IntType(64), ir.IntType(1)
#: Bytes of a number in a table.
_SIZE = 8

#: Any of the builder's values.
Value = Any

#: Sign of an operation in the source -> instruction for floats, and for whole numbers.
_OPERATIONS = {"Add": ("fadd", "add"), "Sub": ("fsub", "sub"), "Mult": ("fmul", "mul"), "Div": ("fdiv", "")}
_ON_TRUTHS = {"BitAnd": "and_", "BitOr": "or_"}
_COMPARISONS = {"Lt": "<", "LtE": "<=", "Gt": ">", "GtE": ">=", "Eq": "==", "NotEq": "!="}


@dataclass(frozen=True)
class Table:
    """An array in C order, or one row of it."""

    start: Value
    rows: Value
    columns: Value | None  #: None: one-dimensional
    element: ir.Type

    @property
    def parts(self) -> list[Value]:
        """What is handed on to a function."""
        return [self.start, self.rows] + ([] if self.columns is None else [self.columns])

    @property
    def kind(self) -> str:
        """Element and number of dimensions."""
        return f"{self.element}[{1 if self.columns is None else 2}]"


def is_wide(value: Value) -> bool:
    """Return True for numbers side by side."""
    return isinstance(value.type, ir.VectorType)


def is_float(value: Value) -> bool:
    """Return True for a number with a fraction, alone or side by side."""
    kind = value.type.element if is_wide(value) else value.type
    return isinstance(kind, ir.DoubleType)


class Arithmetic:
    """Operations on values, with a whole number made a float and one number repeated side by side where need be.

    Parameters
    ----------
    builder : IRBuilder
    module : Module
        Where functions of the processor and of the system are declared.
    width : int
        Numbers side by side.
    """

    def __init__(self, builder: ir.IRBuilder, module: ir.Module, width: int) -> None:
        self.builder, self.module, self.width = builder, module, width

    def constant(self, value: float) -> Value:
        """Return a number or truth of the source."""
        if isinstance(value, bool):
            return ir.Constant(TRUTH, int(value))
        return ir.Constant(INTEGER, value) if isinstance(value, int) else ir.Constant(FLOAT, float(value))

    def as_float(self, value: Value) -> Value:
        """Return a number as a float."""
        return value if is_float(value) else self.builder.sitofp(value, FLOAT)

    def repeated(self, value: Value) -> Value:
        """Return one value side by side with itself."""
        kind = ir.VectorType(value.type, self.width)
        if isinstance(value, ir.Constant):
            return ir.Constant(kind, [value] * self.width)
        first = self.builder.insert_element(ir.Constant(kind, ir.Undefined), value, ir.Constant(ir.IntType(32), 0))
        same = ir.Constant(ir.VectorType(ir.IntType(32), self.width), [0] * self.width)
        return self.builder.shuffle_vector(first, ir.Constant(kind, ir.Undefined), same)

    def alike(self, a: Value, b: Value) -> tuple[Value, Value]:
        """Return two values of one kind."""
        if is_float(a) != is_float(b):
            a, b = self.as_float(a), self.as_float(b)
        if is_wide(a) != is_wide(b):
            a, b = (a, self.repeated(b)) if is_wide(a) else (self.repeated(a), b)
        return a, b

    def converted(self, value: Value, kind: ir.Type) -> Value:
        """Return a value as it is kept in a variable or table of that kind."""
        element = kind.element if isinstance(kind, ir.VectorType) else kind
        if isinstance(element, ir.DoubleType):
            value = self.as_float(value)
        if isinstance(kind, ir.VectorType) and not is_wide(value):
            value = self.repeated(value)
        if value.type != kind:
            raise TypeError(f"a {value.type} where a {kind} is kept")
        return value

    def operation(self, sign: str, a: Value, b: Value) -> Value:
        """Return a + b, a - b, a * b, a / b, or of truths a & b, a | b."""
        if sign in _ON_TRUTHS:
            return getattr(self.builder, _ON_TRUTHS[sign])(*self.alike(a, b))
        if sign == "Pow":
            if not (isinstance(b, ir.Constant) and b.constant == 2):
                raise TypeError("only squares are compiled")
            return self.operation("Mult", a, a)
        if sign == "Div":
            a, b = self.as_float(a), self.as_float(b)
        a, b = self.alike(a, b)
        on_floats, on_integers = _OPERATIONS[sign]
        return getattr(self.builder, on_floats if is_float(a) else on_integers)(a, b)

    def comparison(self, sign: str, a: Value, b: Value) -> Value:
        """Return a truth; false where a float is not a number, but for `!=`."""
        a, b = self.alike(a, b)
        if not is_float(a):
            return self.builder.icmp_signed(_COMPARISONS[sign], a, b)
        ordered = self.builder.fcmp_unordered if sign == "NotEq" else self.builder.fcmp_ordered
        return ordered(_COMPARISONS[sign], a, b)

    def chosen(self, condition: Value, a: Value, b: Value) -> Value:
        """Return a where the condition holds, else b, both worked out."""
        a, b = self.alike(a, b)
        if is_wide(condition) and not is_wide(a):
            a, b = self.repeated(a), self.repeated(b)
        return self.builder.select(condition, a, b)

    def negative(self, value: Value) -> Value:
        """Return -a, or `not a` of a truth."""
        if is_float(value):
            return self.builder.fneg(value)
        return self.builder.not_(value) if value.type == TRUTH else self.builder.neg(value)

    def square_root(self, value: Value) -> Value:
        """Return the square root, rounded as everywhere."""
        return self._of_processor("sqrt", value)

    def size(self, value: Value) -> Value:
        """Return |a|."""
        return self._of_processor("fabs", value)

    def signed_as(self, value: Value, sign: Value) -> Value:
        """Return |a| with the sign of b."""
        return self._of_processor("copysign", value, sign)

    def of_system(self, name: str, *values: Value) -> Value:
        """Call a function of the system's mathematical library, of numbers that stand alone."""
        function = self.module.globals.get(name) or ir.Function(
            self.module, ir.FunctionType(FLOAT, [FLOAT] * len(values)), name
        )
        return self.builder.call(function, [self.as_float(value) for value in values])

    def _of_processor(self, name: str, *values: Value) -> Value:
        values = tuple(self.as_float(value) for value in values)
        kind = values[0].type
        full = f"llvm.{name}.{f'v{self.width}f64' if is_wide(values[0]) else 'f64'}"
        function = self.module.globals.get(full) or ir.Function(
            self.module, ir.FunctionType(kind, [kind] * len(values)), full
        )
        return self.builder.call(function, values)

    def place(self, table: Table, row: Value, column: Value | None) -> Value:
        """Return where an element of a table stands."""
        if column is not None:
            row = self.builder.add(self.builder.mul(row, table.columns), column)
        return self.builder.gep(table.start, [row], inbounds=True, source_etype=table.element)

    def row(self, table: Table, row: Value) -> Table:
        """Return one row of a table."""
        start = self.place(table, row, self.constant(0))
        return Table(start, table.columns, None, table.element)

    def read(self, place: Value, element: ir.Type, *, wide: bool) -> Value:
        """Return what stands at a place, or side by side from there on."""
        kind = ir.VectorType(element, self.width) if wide else element
        return self.builder.load(place, typ=kind, align=_SIZE)

    def write(self, place: Value, value: Value, element: ir.Type, *, wide: bool) -> None:
        """Put a value at a place, or side by side from there on."""
        kind = ir.VectorType(element, self.width) if wide else element
        self.builder.store(self.converted(value, kind), place, align=_SIZE)
