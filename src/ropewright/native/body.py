"""Translation of one function of the kernels, statement by statement, into instructions of the processor."""

from __future__ import annotations

import ast
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from llvmlite import ir  # type: ignore[import-untyped]

from ropewright.native.expressions import Expressions
from ropewright.native.values import Table, Value

if TYPE_CHECKING:
    from ropewright.native.program import Program

__all__ = ["Body"]

#: Name of the number of falls side by side: a loop over them without branches works on several at once.
_USED = "USED"


class Body(Expressions):
    """One function as it is being translated.

    Parameters
    ----------
    program : Program
        Which other functions are asked of.
    node : FunctionDef
        Its source.
    space : mapping
        Names of its module.
    function : Function
        What it becomes, still empty.
    names : mapping of str to value or table
        Its arguments.
    """

    def __init__(
        self,
        program: Program,
        node: ast.FunctionDef,
        space: Mapping[str, Any],
        function: ir.Function,
        names: Mapping[str, Value | Table],
    ) -> None:
        super().__init__(program, space, ir.IRBuilder(function.append_basic_block("entry")))
        self.function = function
        self.around: list[tuple[ir.Block, ir.Block]] = []  # where `continue` and `break` lead
        self._statements: dict[type[ast.stmt], Callable[[Any], None]] = {
            ast.Assign: self._assign, ast.AnnAssign: self._assign, ast.AugAssign: self._add, ast.If: self._if,
            ast.For: self._for, ast.While: self._while, ast.Return: self._return, ast.Expr: self._expression,
            ast.Break: self._break, ast.Continue: self._continue,
        }  # fmt: skip
        for name, value in names.items():
            self._put(ast.Name(name), value)
        self.block(node.body)
        if not self.builder.block.is_terminated:
            is_void = isinstance(function.function_type.return_type, ir.VoidType)
            if is_void:
                self.builder.ret_void()
            else:
                self.builder.unreachable()

    def block(self, statements: Sequence[ast.stmt]) -> None:
        """Translate statements up to one that leaves."""
        for statement in statements:
            if self.builder.block.is_terminated:
                return
            if type(statement) not in self._statements:
                raise TypeError(f"line {statement.lineno}: {type(statement).__name__} is not translated")
            self._statements[type(statement)](statement)

    def _expression(self, statement: ast.Expr) -> None:
        if not isinstance(statement.value, ast.Constant):  # else it describes the function
            self.value(statement.value)

    def _assign(self, statement: ast.Assign | ast.AnnAssign) -> None:
        target = statement.targets[-1] if isinstance(statement, ast.Assign) else statement.target
        targets = statement.targets if isinstance(statement, ast.Assign) else [target]
        assert statement.value is not None
        for one in reversed(targets):
            self._put(one, self.value(statement.value))

    def _put(self, target: ast.expr, value: Value) -> None:
        if isinstance(target, ast.Tuple):
            # what stands on the right is worked out before any of it is kept
            for one, part in zip(target.elts, value, strict=True):
                self._put(one, part)
        elif isinstance(target, ast.Name):
            if isinstance(value, Table):
                self.tables[target.id] = value
            else:
                self._keep(target.id, value)
        else:
            assert isinstance(target, ast.Subscript)
            table, place, wide = self.element(target)
            self.math.write(place, value, table.element, wide=wide)

    def _keep(self, name: str, value: Value) -> None:
        if name not in self.slots:
            with self.builder.goto_entry_block():
                self.slots[name] = self.builder.alloca(value.type)
        slot = self.slots[name]
        self.builder.store(self.math.converted(value, slot.allocated_type), slot)

    def _add(self, statement: ast.AugAssign) -> None:
        old = self.value(_as_read(statement.target))
        new = self.math.operation(type(statement.op).__name__, old, self.value(statement.value))
        self._put(statement.target, new)

    def _if(self, statement: ast.If) -> None:
        condition = self.truth(statement.test)
        with self.builder.if_else(condition) as (then, otherwise):
            with then:
                self.block(statement.body)
            with otherwise:
                self.block(statement.orelse)

    def _while(self, statement: ast.While) -> None:
        self._loop(lambda: self.truth(statement.test), statement.body, None)

    def _for(self, statement: ast.For) -> None:
        assert isinstance(statement.iter, ast.Call)
        assert isinstance(statement.target, ast.Name)
        ends = [self.value(end) for end in statement.iter.args]
        first, last = ends if len(ends) == 2 else (self.math.constant(0), ends[0])
        index, many = statement.target.id, _is_side_by_side(statement)
        self._keep(index, first)
        step = self.math.constant(self.program.width if many else 1)
        self.lane = index if many else self.lane

        def goes_on() -> Value:
            return self.math.comparison("Lt", self.read(index), last)

        def advance() -> None:
            self._keep(index, self.builder.add(self.read(index), step))

        self._loop(goes_on, statement.body, advance)
        self.lane = "" if many else self.lane

    def _loop(self, goes_on: Callable[[], Value], body: Sequence[ast.stmt], advance: Callable[[], None] | None) -> None:
        head, inside, ahead, after = (self.builder.append_basic_block(name) for name in ("head", "in", "next", "after"))
        self.builder.branch(head)
        self.builder.position_at_end(head)
        self.builder.cbranch(goes_on(), inside, after)
        self.builder.position_at_end(inside)
        self.around.append((ahead, after))
        self.block(body)
        self.around.pop()
        if not self.builder.block.is_terminated:
            self.builder.branch(ahead)
        self.builder.position_at_end(ahead)
        if advance is not None:
            advance()
        self.builder.branch(head)
        self.builder.position_at_end(after)

    def _break(self, _: ast.Break) -> None:
        self.builder.branch(self.around[-1][1])

    def _continue(self, _: ast.Continue) -> None:
        self.builder.branch(self.around[-1][0])

    def _return(self, statement: ast.Return) -> None:
        if statement.value is None:
            self.builder.ret_void()
            return
        kind = self.function.function_type.return_type
        value = self.value(statement.value)
        if isinstance(kind, ir.LiteralStructType):
            whole = ir.Constant(kind, ir.Undefined)
            for k, (part, one) in enumerate(zip(value, kind.elements, strict=True)):
                whole = self.builder.insert_value(whole, self.math.converted(part, one), k)
            self.builder.ret(whole)
        else:
            self.builder.ret(self.math.converted(value, kind))


def _as_read(target: ast.expr) -> ast.expr:
    """The place that a statement adds to, as something to read."""
    if isinstance(target, ast.Name):
        return ast.Name(target.id, ast.Load())
    assert isinstance(target, ast.Subscript)
    return ast.Subscript(target.value, target.slice, ast.Load())


def _is_side_by_side(loop: ast.For) -> bool:
    """True for a loop over the falls of a block that does the same for each: no branches, no sums over falls."""
    over = loop.iter.args if isinstance(loop.iter, ast.Call) else []
    if not (len(over) == 1 and isinstance(over[0], ast.Name) and over[0].id == _USED):
        return False
    return all(
        isinstance(one, ast.Assign) or (isinstance(one, ast.AugAssign) and isinstance(one.target, ast.Subscript))
        for one in loop.body
    )
