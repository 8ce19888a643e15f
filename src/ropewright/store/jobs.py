"""Jobs with all their states, kept in the database of the record."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, TypeAlias

from sqlalchemy import Connection, Row, delete, func, insert, select, update

from ropewright.errors import InputError
from ropewright.store.database import Database
from ropewright.store.entry import JsonValue
from ropewright.store.job_schema import job_files, job_versions, jobs
from ropewright.store.ledger import Clock

__all__ = ["Job", "JobChangedError", "Jobs", "UnknownJobError", "Version", "is_file_name"]

Answer: TypeAlias = Mapping[str, JsonValue]

_FILE_NAME = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9._ ()-]{0,98}[A-Za-z0-9])?")
#: Most bytes of all files of one job.
_MOST = 64 << 20


class UnknownJobError(InputError):
    """A job, a version or a file of a job that is not there."""


class JobChangedError(InputError):
    """Somebody made another version meanwhile."""


def is_file_name(name: str) -> bool:
    """Whether a file of a job may be called so: no folder, nothing hidden, nothing odd.

    Examples
    --------
    >>> is_file_name("house.city.json"), is_file_name("../house.json"), is_file_name(".hidden"), is_file_name("a/b")
    (True, False, False, False)
    """
    return _FILE_NAME.fullmatch(name) is not None and ".." not in name


@dataclass(frozen=True, slots=True)
class Job:
    """A job in the list; `answer` is that of its last version, None if that was not worked out yet."""

    number: int
    name: str
    archived: bool
    version: int
    updated: datetime
    by: str
    answer: Answer | None


@dataclass(frozen=True, slots=True)
class Version:
    """One state of a job; `note` says what was changed."""

    job: int
    version: int
    text: str
    by: str
    made: datetime
    note: str
    answer: Answer | None


class Jobs:
    """Jobs in one database.

    Parameters
    ----------
    database : Database
        With the schema in it.
    clock : callable, optional
        Gives the present moment with its zone; that of the machine if left out.
    """

    def __init__(self, database: Database, clock: Clock | None = None) -> None:
        self.database = database
        self._clock = clock or (lambda: datetime.now(UTC))

    # jobs ------------------------------------------------------------------------------------------------------------

    def listed(self, *, archived: bool = False, limit: int = 500) -> list[Job]:
        """Jobs in the list or put away, those changed last first."""
        query = _JOBS.where(jobs.c.archived == int(archived)).order_by(jobs.c.updated.desc(), jobs.c.number.desc())
        with self.database.reading() as connection:
            return [_job(row) for row in connection.execute(query.limit(limit))]

    def job(self, number: int) -> Job:
        """Job of a number.

        Raises
        ------
        UnknownJobError
        """
        with self.database.reading() as connection:
            return _found(connection, number)

    def create(self, name: str, text: str, *, by: str, note: str = "", files: Mapping[str, bytes] | None = None) -> Job:
        """Job that is new, with its first version.

        Parameters
        ----------
        name : str
            As the job file has it.
        text : str
            The job file.
        by : str
            Who made it.
        note : str
        files : mapping of str to bytes, optional
            Those that the job file names.
        """
        with self.database.writing() as connection:
            number = (connection.execute(select(func.max(jobs.c.number))).scalar() or 0) + 1
            row = {"number": number, "name": name, "archived": 0, "version": 1, "updated": self._now()}
            connection.execute(insert(jobs), row)
            self._append(connection, number, 1, text, by, note)
            for file, content in (files or {}).items():
                _keep_file(connection, number, file, content)
            return _found(connection, number)

    def save(self, number: int, name: str, text: str, *, by: str, note: str = "", based_on: int) -> Job:
        """Job with a further version; the same job if nothing was changed.

        Parameters
        ----------
        number : int
        name, text, by, note
            As in `create`.
        based_on : int
            Version that was changed.

        Raises
        ------
        UnknownJobError
        JobChangedError
            If that is not the last version any more; nothing is written.
        """
        with self.database.writing() as connection:
            job = _found(connection, number)
            if job.version != based_on:
                raise JobChangedError(
                    "version", based_on, f"{job.by} made version {job.version} meanwhile; look at it first"
                )
            if _version(connection, number, based_on).text == text:
                return job
            changed = {"name": name, "version": based_on + 1, "updated": self._now()}
            self._append(connection, number, based_on + 1, text, by, note)
            connection.execute(update(jobs).where(jobs.c.number == number), changed)
            return _found(connection, number)

    def archive(self, number: int, *, archived: bool) -> None:
        """Put a job away, or back into the list.

        Raises
        ------
        UnknownJobError
        """
        with self.database.writing() as connection:
            _found(connection, number)
            connection.execute(update(jobs).where(jobs.c.number == number), {"archived": int(archived)})

    # versions --------------------------------------------------------------------------------------------------------

    def version(self, number: int, version: int | None = None) -> Version:
        """State of a job; the last if none is named.

        Raises
        ------
        UnknownJobError
        """
        with self.database.reading() as connection:
            last = _found(connection, number).version
            return _version(connection, number, last if version is None else version)

    def versions(self, number: int) -> list[Version]:
        """Every state of a job, the last first.

        Raises
        ------
        UnknownJobError
        """
        query = select(job_versions).where(job_versions.c.job == number).order_by(job_versions.c.version.desc())
        with self.database.reading() as connection:
            _found(connection, number)
            return [_read_version(row) for row in connection.execute(query)]

    # files -----------------------------------------------------------------------------------------------------------

    def files(self, number: int) -> dict[str, bytes]:
        """Files of a job by their names."""
        query = select(job_files.c.name, job_files.c.content).where(job_files.c.job == number)
        with self.database.reading() as connection:
            return {row.name: bytes(row.content) for row in connection.execute(query.order_by(job_files.c.name))}

    def keep_file(self, number: int, name: str, content: bytes) -> None:
        """Keep a file of a job, in place of one of the same name.

        Raises
        ------
        InputError
            If the name is none that a file may have here, or the files become too large together.
        UnknownJobError
        """
        with self.database.writing() as connection:
            _found(connection, number)
            _keep_file(connection, number, name, content)

    def _append(self, connection: Connection, number: int, version: int, text: str, by: str, note: str) -> None:
        row = {"job": number, "version": version, "text": text, "by": by, "made": self._now(), "note": note}
        connection.execute(insert(job_versions), {**row, "answer": None})

    def _now(self) -> str:
        return self._clock().astimezone(UTC).isoformat(timespec="microseconds")


_JOBS = select(jobs, job_versions.c.by, job_versions.c.answer).join(
    job_versions, (job_versions.c.job == jobs.c.number) & (job_versions.c.version == jobs.c.version)
)


def _found(connection: Connection, number: int) -> Job:
    row = connection.execute(_JOBS.where(jobs.c.number == number)).one_or_none()
    if row is None:
        raise UnknownJobError("job", number, "there is no such job")
    return _job(row)


def _version(connection: Connection, number: int, version: int) -> Version:
    query = select(job_versions).where((job_versions.c.job == number) & (job_versions.c.version == version))
    row = connection.execute(query).one_or_none()
    if row is None:
        raise UnknownJobError("version", version, "this job has no such version")
    return _read_version(row)


def _keep_file(connection: Connection, number: int, name: str, content: bytes) -> None:
    if not is_file_name(name):
        raise InputError("file", name, "name it with letters, digits, dots and dashes, and no folder")
    own = (job_files.c.job == number) & (job_files.c.name == name)
    connection.execute(delete(job_files).where(own))
    connection.execute(insert(job_files), {"job": number, "name": name, "content": content})
    size = select(func.sum(func.length(job_files.c.content))).where(job_files.c.job == number)
    if connection.execute(size).scalar_one() > _MOST:
        raise InputError("file", name, f"the files of a job hold at most {_MOST >> 20} MiB together")


def _job(row: Row[Any]) -> Job:
    updated = datetime.fromisoformat(row.updated)
    return Job(row.number, row.name, bool(row.archived), row.version, updated, row.by, _answer(row.answer))


def _read_version(row: Row[Any]) -> Version:
    made = datetime.fromisoformat(row.made)
    return Version(row.job, row.version, row.text, row.by, made, row.note, _answer(row.answer))


def _answer(text: str | None) -> Answer | None:
    return None if text is None else json.loads(text)
