"""Jobs that are being drawn: read with their changes, and what belongs to their roofs kept between two moves."""

from __future__ import annotations

import gc
from collections import OrderedDict
from collections.abc import Mapping
from threading import Lock
from typing import TYPE_CHECKING

from ropewright.errors import InputError

if TYPE_CHECKING:
    from ropewright.job.assess import Worked
    from ropewright.job.model import Job
    from ropewright.job.work import Work

__all__ = ["Drawings", "tables_with"]

#: Jobs whose roofs are kept, and moves after which what was kept is looked through.
_MOST, _MOVES = 6, 12


class _Board:
    """What is kept of one job that is drawn."""

    def __init__(self) -> None:
        self.lock = Lock()
        self.work: Work | None = None
        self.moves = 0

    def worked(self, job: Job) -> tuple[Work, tuple[Worked, ...]]:
        """Work out the falls; one after the other, since they share what is kept."""
        from ropewright.job.assess import worked_out
        from ropewright.job.work import Work

        with self.lock:
            self.moves += 1
            if self.work is None or self.moves % (_MOVES * _MOVES) == 0:
                self.work = Work()  # roofs that were dragged through are forgotten
            elif self.moves % _MOVES == 0:
                self.work = self.work.of_roofs()
            return self.work, worked_out(job, self.work)


class Drawings:
    """Boards of the jobs that were drawn last."""

    def __init__(self) -> None:
        self._boards: OrderedDict[int, _Board] = OrderedDict()
        self._lock = Lock()
        self._is_settled = False
        #: Parts of the search for ropes that another process was told to compile.
        self.compiling: set[str] = set()

    def worked(self, number: int, job: Job) -> tuple[Work, tuple[Worked, ...]]:
        """Falls of a job, and what they were worked out with."""
        with self._lock:
            board = self._boards.setdefault(number, _Board())
            self._boards.move_to_end(number)
            while len(self._boards) > _MOST:
                self._boards.popitem(last=False)
        worked = board.worked(job)
        if not self._is_settled:
            self._settle()
        return worked

    def _settle(self) -> None:
        """Have what was loaded for the first drawing never looked through for rubbish again.

        That took 75 ms in the middle of one move in ten (measured); the modules stay until the program ends.
        """
        self._is_settled = True
        gc.collect()
        gc.freeze()


def tables_with(text: str, fields: Mapping[str, object]) -> dict[str, object]:
    """Tables of a job's text, with the changes of a drawing that are not kept yet.

    Raises
    ------
    InputError
        If a path leads nowhere.
    """
    import tomllib

    from ropewright.job.changes import changed

    raw: dict[str, object] = tomllib.loads(text)  # it was read before it was kept
    for field, value in fields.items():
        try:
            raw = changed(raw, field, value)
        except ValueError as error:
            raise InputError(field[:80], None, f"name a field that is there ({error})") from error
    return raw
