"""Long work beside the pages: done in a process of its own, so that pages stay quick and a stop is a stop.

A kind of work is a function of a module, named ``module:function``, that takes a report and plain arguments and
returns something plain: both go from process to process.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import count
from multiprocessing import get_context
from threading import Condition, Thread
from typing import TYPE_CHECKING, Any, TypeAlias

from ropewright.web.forms import Fault
from ropewright.web.work_process import Told, serve_work

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

__all__ = ["FullError", "Lanes", "State", "Work", "Works"]

#: Told of the result, in this process; it may keep it. What it raises is a mistake of the program.
Then: TypeAlias = Callable[[Any], None]

#: Most that may wait, and most that is remembered once it has ended.
_WAITING, _REMEMBERED = 20, 100


class FullError(Exception):
    """Too much work is waiting already."""


class State(StrEnum):
    """How far a piece of work is."""

    WAITING = "waiting"
    WORKING = "working"
    DONE = "done"
    STOPPED = "stopped"
    REFUSED = "refused"
    FAILED = "failed"

    @property
    def has_ended(self) -> bool:
        """Whether nothing more comes."""
        return self not in (State.WAITING, State.WORKING)


@dataclass(frozen=True)
class Work:
    """A piece of work as it stands.

    Parameters
    ----------
    number : int
    key : str
        What it is for; of two with one key that have not ended there is only one.
    state : State
    doing : str
        What is being done, in English.
    share : float
        Done of the whole, 0 to 1.
    result : object
        Once it is done.
    faults : tuple of Fault
        Once it was refused.
    page : str
        Where its result is to be seen.
    """

    number: int
    key: str
    state: State = State.WAITING
    doing: str = ""
    share: float = 0.0
    result: Any = field(default=None, repr=False)
    faults: tuple[Fault, ...] = ()
    page: str = ""


@dataclass(frozen=True)
class _Order:
    task: str
    arguments: tuple[Any, ...]
    then: Then | None


class Works:
    """Work that waits, is done or has ended; one process does it, one piece after the other.

    Parameters
    ----------
    name : str
        Of the thread, for those who look at the machine.
    numbers : iterator of int, optional
        Gives each piece its number.
    """

    def __init__(self, name: str = "work", numbers: Iterator[int] | None = None) -> None:
        self._name = name
        self._numbers = count(1) if numbers is None else numbers
        self._changed = Condition()
        self._works: OrderedDict[int, Work] = OrderedDict()
        self._orders: OrderedDict[int, _Order] = OrderedDict()
        self._thread: Thread | None = None
        self._process: BaseProcess | None = None
        self._pipe: Connection | None = None
        self._closed = False

    def start(self, key: str, task: str, *arguments: Any, then: Then | None = None, page: str = "") -> Work:
        """Work that was put in the queue; that of the same key, if there is one that has not ended.

        Parameters
        ----------
        key : str
        task : str
            ``module:function``.
        *arguments
            Plain, so that they can go to another process.
        then : callable, optional
            Told the result.
        page : str
            Where its result is to be seen.

        Raises
        ------
        FullError
            If too much is waiting.
        """
        with self._changed:
            known = self.of_key(key)
            if known is not None and not known.state.has_ended:
                return known
            if len(self._orders) >= _WAITING:
                raise FullError
            work = Work(next(self._numbers), key, page=page)
            self._works[work.number] = work
            self._orders[work.number] = _Order(task, arguments, then)
            self._forget()
            if self._thread is None:
                self._thread = Thread(target=self._run, name=self._name, daemon=True)
                self._thread.start()
            self._changed.notify_all()
            return work

    def find(self, number: int) -> Work | None:
        """Work of a number; None if there is none, or it ended long ago."""
        with self._changed:
            return self._works.get(number)

    def of_key(self, key: str) -> Work | None:
        """Last work of a key."""
        with self._changed:
            return next((work for work in reversed(self._works.values()) if work.key == key), None)

    def stop(self, number: int) -> Work | None:
        """Work after it was stopped at once; what has ended stays as it is."""
        with self._changed:
            work = self._works.get(number)
            if work is None or work.state.has_ended:
                return work
            if work.state is State.WORKING and self._process is not None:
                self._process.kill()
            self._orders.pop(number, None)
            return self._set(number, state=State.STOPPED)

    def wait(self, number: int, seconds: float) -> Work | None:
        """Work once it has ended, or as it stands after so long."""
        with self._changed:
            self._changed.wait_for(lambda: number not in self._works or self._works[number].state.has_ended, seconds)
            return self._works.get(number)

    def close(self) -> None:
        """Stop everything."""
        with self._changed:
            self._closed = True
            self._orders.clear()
            if self._process is not None:
                self._process.kill()
            self._changed.notify_all()
        if self._thread is not None:
            self._thread.join(timeout=10)

    # in the thread ---------------------------------------------------------------------------------------------------

    def _run(self) -> None:
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._orders or self._closed)
                if self._closed:
                    break
                number, order = self._orders.popitem(last=False)
                self._set(number, state=State.WORKING)
                pipe = self._ready()
            self._do(number, order, pipe)
        self._end_process()

    def _do(self, number: int, order: _Order, pipe: Connection) -> None:
        """Have one piece done, and follow it to its end."""
        try:
            pipe.send((order.task, order.arguments))
            while (told := pipe.recv())[0] is Told.PROGRESS:
                self._set_running(number, doing=told[1], share=told[2])
        except (EOFError, OSError):  # it was stopped, or the machine killed it for want of memory
            self._end_process()
            self._set_running(number, state=State.FAILED)
            return
        kind, value = told
        if kind is Told.DONE:
            state = State.DONE if self._was_kept(order, value) else State.FAILED
            self._set_running(number, state=state, share=1.0, result=value)
        elif kind is Told.REFUSED:
            self._set_running(number, state=State.REFUSED, faults=tuple(value))
        else:
            self._set_running(number, state=State.FAILED)

    @staticmethod
    def _was_kept(order: _Order, value: Any) -> bool:
        """Tell the result to whoever waits for it; a disk that is full must not end this thread."""
        try:
            if order.then is not None:
                order.then(value)
        except Exception as error:  # noqa: BLE001 - the rim of this thread: it must live on
            from ropewright.web.errors import keep_report

            keep_report(error)
            return False
        return True

    def _ready(self) -> Connection:
        """Return the way to a process that lives."""
        if self._process is None or self._pipe is None or not self._process.is_alive():
            # a fresh interpreter: a fork of a process with threads may hang
            context = get_context("spawn")
            self._pipe, theirs = context.Pipe()
            self._process = context.Process(target=serve_work, args=(theirs,), daemon=True, name=self._name)
            self._process.start()
            theirs.close()
        return self._pipe

    def _end_process(self) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.join()
        if self._pipe is not None:
            self._pipe.close()
        self._process = self._pipe = None

    def _set_running(self, number: int, **changes: Any) -> None:
        """Change what has not ended; work that was stopped stays so."""
        with self._changed:
            if number in self._works and not self._works[number].state.has_ended:
                self._set(number, **changes)

    def _set(self, number: int, **changes: Any) -> Work:
        work = self._works[number] = replace(self._works[number], **changes)
        self._changed.notify_all()
        return work

    def _forget(self) -> None:
        ended = [number for number, work in self._works.items() if work.state.has_ended]
        for number in ended[: max(0, len(self._works) - _REMEMBERED)]:
            del self._works[number]


class Lanes:
    """Two queues: one for plans, which somebody waits for, and one for what takes minutes."""

    def __init__(self) -> None:
        numbers = count(1)
        self.plans, self.long = Works("plans", numbers), Works("long", numbers)

    def of_key(self, key: str) -> Work | None:
        """Last work of a key, in either."""
        return self.plans.of_key(key) or self.long.of_key(key)

    def find(self, number: int) -> Work | None:
        """Work of a number in either."""
        return self.plans.find(number) or self.long.find(number)

    def stop(self, number: int) -> Work | None:
        """Work after it was stopped, in either."""
        return self.plans.stop(number) or self.long.stop(number)

    def close(self) -> None:
        """Stop everything."""
        self.plans.close()
        self.long.close()
