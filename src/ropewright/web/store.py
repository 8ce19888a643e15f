"""What is kept, as the pages reach it: opened once, when it is first needed."""

from __future__ import annotations

from functools import cached_property
from threading import RLock
from typing import TYPE_CHECKING, Annotated

from fastapi import Depends
from starlette.requests import Request

if TYPE_CHECKING:
    from ropewright.store.job_plans import Drafts, Plans
    from ropewright.store.jobs import Jobs
    from ropewright.store.ledger import Ledger

__all__ = ["Store", "StoreOf", "store_of"]


class Store:
    """Record and jobs of one place.

    Parameters
    ----------
    place : str
        A file or the URL of a database.
    """

    def __init__(self, place: str) -> None:
        self.place = place
        self._lock = RLock()

    def open(self) -> None:
        """Open it now.

        Raises
        ------
        InputError
            If it can't be opened.
        """
        _ = self.record

    @property
    def record(self) -> Ledger:
        """The record of gear and people; threads may share it."""
        with self._lock:
            return self._record

    @cached_property
    def _record(self) -> Ledger:
        from ropewright.store.opening import open_record

        return open_record(self.place)

    @cached_property
    def jobs(self) -> Jobs:
        """Jobs with their versions."""
        from ropewright.store.jobs import Jobs

        return Jobs(self.record.database)

    @cached_property
    def plans(self) -> Plans:
        """Plans of jobs as they were worked out."""
        from ropewright.store.job_plans import Plans

        return Plans(self.record.database)

    @cached_property
    def drafts(self) -> Drafts:
        """What is being typed."""
        from ropewright.store.job_plans import Drafts

        return Drafts(self.record.database)

    def close(self) -> None:
        """Close what was opened."""
        with self._lock:
            if "_record" in self.__dict__:
                self._record.close()


def store_of(request: Request) -> Store:
    """Store of the app that a request came to."""
    store: Store = request.app.state.store
    return store


StoreOf = Annotated[Store, Depends(store_of)]
