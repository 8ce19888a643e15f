"""Kernels written in plain Python, as machine code."""

from ropewright.native.code import compiled, is_kept

__all__ = ["compiled", "is_kept"]
