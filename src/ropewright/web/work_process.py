"""The process that does long work: takes one order after the other, tells how far it is and what came out."""

from __future__ import annotations

import signal
from collections.abc import Callable
from enum import StrEnum
from importlib import import_module
from time import monotonic
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

__all__ = ["Report", "Told", "serve_work"]

#: Told what is being done and the share that is done, 0 to 1.
Report = Callable[[str, float], None]

#: Progress is told no oftener. [s]
_PAUSE = 0.05


class Told(StrEnum):
    """What the process says."""

    PROGRESS = "progress"
    DONE = "done"
    REFUSED = "refused"
    FAILED = "failed"


def serve_work(pipe: Connection) -> None:
    """Do what comes through a pipe until it closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C on the terminal is for the server, which ends this one
    while True:
        try:
            task, arguments = pipe.recv()
        except EOFError:
            return
        pipe.send(_done(task, arguments, _Teller(pipe)))


class _Teller:
    """Tells progress, not too often."""

    def __init__(self, pipe: Connection) -> None:
        self.pipe, self.last = pipe, 0.0

    def __call__(self, doing: str, share: float) -> None:
        now = monotonic()
        if now - self.last >= _PAUSE:
            self.last = now
            self.pipe.send((Told.PROGRESS, doing, float(share)))


def _done(task: str, arguments: tuple[Any, ...], report: Report) -> tuple[Told, Any]:
    from ropewright.errors import InputError, InputErrors
    from ropewright.web.errors import keep_report
    from ropewright.web.forms import faults_of

    module, _colon, function = task.partition(":")
    try:
        return Told.DONE, getattr(import_module(module), function)(report, *arguments)
    except (InputError, InputErrors) as error:
        return Told.REFUSED, faults_of(error).faults
    except Exception as error:  # noqa: BLE001 - the rim of this process: it must live on
        keep_report(error)
        return Told.FAILED, None
