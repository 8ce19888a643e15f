"""A fault that the pages themselves find, worded in the language spoken."""

from __future__ import annotations

from ropewright.errors import InputError

__all__ = ["FormError"]


class FormError(InputError):
    """As `InputError`, but `expected` is in the language of whoever asks."""
