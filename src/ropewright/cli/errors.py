"""How a fault in what the user gave reaches them: one line each on stderr, exit status 2."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from functools import wraps
from typing import ParamSpec, TypeVar

import click

from ropewright.errors import InputError, InputErrors

__all__ = ["shows_input_errors"]

_P = ParamSpec("_P")
_R = TypeVar("_R")


def shows_input_errors(command: Callable[_P, _R]) -> Callable[_P, _R]:
    """Wrap a command so that what the user can mend is said in one line a fault, and the exit status is 2.

    Parameters
    ----------
    command : callable
        Function of a click command; put this decorator below click's own.
    """

    @wraps(command)
    def wrapped(*args: _P.args, **kwargs: _P.kwargs) -> _R:
        try:
            return command(*args, **kwargs)
        except (InputError, InputErrors) as error:
            for fault in _faults(error):
                click.echo(f"error: {fault}", err=True)
            sys.exit(2)

    return wrapped


def _faults(error: BaseException) -> Iterator[BaseException]:
    """Every fault of a group, however deep it lies."""
    if isinstance(error, BaseExceptionGroup):
        for one in error.exceptions:
            yield from _faults(one)
    else:
        yield error
