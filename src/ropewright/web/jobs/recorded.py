"""What a job's plan takes from the record: the gear and people that it names, as they stand today."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING, Any

from ropewright import __version__
from ropewright.web.store import Store

if TYPE_CHECKING:
    from ropewright.job.recorded import Recorded
    from ropewright.store.jobs import Version

__all__ = ["made_by", "recorded_for"]


def made_by(store: Store, version: Version) -> str:
    """What a plan of a version was made by: the program and, where gear or people are named, the record of today.

    A plan made by anything else is worked out anew, since a rope that was fit yesterday may be quarantined now.
    """
    if not _names_any(version.text):
        return __version__
    from ropewright.store.day import today

    with store.record.read() as view:
        head = view.head()
    return f"{__version__} {head.count}:{head.hash} {today().isoformat()}"


def recorded_for(store: Store, version: Version) -> Recorded | None:
    """What the record says of the gear and people that a version names; None if it names none.

    Raises
    ------
    InputError, InputErrors
        If the job can't be read.
    """
    if not _names_any(version.text):
        return None
    from ropewright.job.opened import opened_job
    from ropewright.job.recorded import recorded_of
    from ropewright.store.day import today

    with opened_job(version.text, store.jobs.files(version.job)) as job, store.record.read() as view:
        return recorded_of(view, job, today())


def _names_any(text: str) -> bool:
    """Whether a job's text names gear by tag or people by code; a look at its tables, without reading the roof."""
    raw: dict[str, Any] = tomllib.loads(text)  # it was read before it was kept
    lines, crew = (_tables(raw.get(key)) for key in ("line", "crew"))
    rescue = _tables([raw.get("rescue")])
    return any(one.get("tag") or one.get("gear") for one in lines) or any(one.get("person") for one in (*crew, *rescue))


def _tables(value: object) -> list[dict[str, Any]]:
    return [one for one in value if isinstance(one, dict)] if isinstance(value, list) else []
