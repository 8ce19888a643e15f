"""Functions of the march rewritten for one fall a block in plain Python: names of rows become numbers, loops go.

Uncompiled, most of the time of a step went into looking up where a quantity stands. Here ``s[r.X + j]`` becomes
``s[0]`` or the like, and a loop over one fall becomes its body. What is worked out, and in which order, stays the same.
"""

from __future__ import annotations
import __future__

import ast
import inspect
from types import FunctionType, ModuleType
from typing import Any

__all__ = ["for_one_fall"]


def for_one_fall(function: FunctionType, rows: ModuleType, space: dict[str, Any]) -> Any:
    """Return the function for a block with one fall, whose number is 0.

    Parameters
    ----------
    function : function
        Of the march; its source must be at hand, or else it is returned as it is.
    rows : module
        Known in the function as ``r``.
    space : dict
        Names that the new function sees; ``USED`` must be 1 there.

    Examples
    --------
    >>> from ropewright.arrest import motion_kernel, motion_rows
    >>> space = {"r": motion_rows, "USED": 1, **vars(motion_kernel)}
    >>> for_one_fall(motion_kernel.kick, motion_rows, space).__name__
    'kick'
    """
    try:
        tree = ast.parse(inspect.getsource(function))
    except (OSError, TypeError):  # installed without its source: slower, but the same
        return function
    changed = ast.fix_missing_locations(_OneFall(rows).visit(tree))
    found: dict[str, Any] = {}
    # no annotation is worked out: names that are there for types alone need not be known
    flags = __future__.annotations.compiler_flag
    # its own source, of this package, and nothing that a user wrote
    exec(compile(changed, f"<{function.__name__} for one fall>", "exec", flags), space, found)  # noqa: S102
    return found[function.__name__]


class _OneFall(ast.NodeTransformer):
    def __init__(self, rows: ModuleType) -> None:
        self.rows = vars(rows)

    def visit_Attribute(self, node: ast.Attribute) -> ast.AST:
        is_row = isinstance(node.value, ast.Name) and node.value.id == "r"
        return ast.Constant(self.rows[node.attr]) if is_row else self.generic_visit(node)

    def visit_Name(self, node: ast.Name) -> ast.AST:
        is_fall = node.id == "j" and isinstance(node.ctx, ast.Load)
        return ast.Constant(0) if is_fall else node

    def visit_For(self, node: ast.For) -> ast.AST | list[ast.stmt]:
        self.generic_visit(node)
        over_falls = isinstance(node.target, ast.Name) and node.target.id == "j"
        jumps = any(isinstance(inner, ast.Continue | ast.Break) for inner in ast.walk(node))
        return node.body if over_falls and not jumps else node
