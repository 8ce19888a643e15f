"""A job that is no file: its text, and the files that it names, without a path of anybody's."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from ropewright.errors import FileError, InputError, InputErrors
from ropewright.job.file import job_from_mapping
from ropewright.job.model import Job
from ropewright.job.toml_file import read_toml
from ropewright.rules import pack_names

__all__ = ["in_units", "named_files", "opened_job", "opened_tables"]

#: Fields that name a file beside the job, by their table.
_FILES = (("roof", "file"), ("roof", "cityjson"))
_NAME = "job.toml"


@contextmanager
def opened_job(text: str, files: Mapping[str, bytes]) -> Iterator[Job]:
    """Job of a text; its files are there, under a temporary folder, as long as it is open.

    Parameters
    ----------
    text : str
        A job file.
    files : mapping of str to bytes
        The files it may name; names without folders.

    Yields
    ------
    Job

    Raises
    ------
    InputError, InputErrors
        As `read_job`; also where it names a file that is not among these, or rules of the user's own: those may name
        further files, and are read by the command ``ropewright plan`` alone.
    """
    with TemporaryDirectory(prefix="ropewright-") as name:
        path = Path(name) / _NAME
        try:
            path.write_bytes(_encoded(text))
            job = _job(read_toml(path, "a job file"), files, path)
        except (InputError, InputErrors) as error:
            raise _without_place(error) from error
        yield job


@contextmanager
def opened_tables(raw: Mapping[str, object], files: Mapping[str, bytes]) -> Iterator[Job]:
    """Job of tables as `tomllib` reads them; as `opened_job` else, but for a text that need not be read again."""
    with TemporaryDirectory(prefix="ropewright-") as name:
        try:
            job = _job(raw, files, Path(name) / _NAME)
        except (InputError, InputErrors) as error:
            raise _without_place(error) from error
        yield job


def _job(raw: Mapping[str, object], files: Mapping[str, bytes], path: Path) -> Job:
    """Read a job, with the files that it names beside its place."""
    _check_names(raw, files)
    for file in named_files(raw):
        (path.parent / file).write_bytes(files[file])
    return job_from_mapping(raw, path=path)


def named_files(raw: Mapping[str, object]) -> tuple[str, ...]:
    """Names of files beside the job that its tables name."""
    found = (table.get(key) for section, key in _FILES if isinstance(table := raw.get(section), Mapping))
    return tuple(name for name in found if isinstance(name, str))


def _encoded(text: str) -> bytes:
    try:
        return text.encode()
    except UnicodeEncodeError as error:
        raise FileError("text", None, "half a character stands in it; type it again") from error


def _check_names(raw: Mapping[str, object], files: Mapping[str, bytes]) -> None:
    """Refuse names of files that are not among those given, before anything looks for them."""
    faults = []
    for section, key in _FILES:
        table = raw.get(section)
        name = table.get(key) if isinstance(table, Mapping) else None
        if isinstance(name, str) and (name not in files or Path(name).name != name):
            there = ", ".join(map(repr, sorted(files))) or "none"
            faults.append(InputError(f"{section}.{key}", name, f"attach this file to the job; attached: {there}"))
    head = raw.get("job")
    if isinstance(head, Mapping):
        rules = head.get("rules")
        if isinstance(rules, str) and rules.endswith(".toml"):
            faults.append(InputError("job.rules", rules, f"here only these packs are read: {', '.join(pack_names())}"))
        if head.get("local_rules") is not None:
            faults.append(InputError("job.local_rules", head["local_rules"], "take it out: not read here"))
    if faults:
        raise faults[0] if len(faults) == 1 else InputErrors(f"{len(faults)} faults", faults)


def _without_place(error: InputError | InputErrors) -> InputError | InputErrors:
    """Return faults that don't tell of the temporary folder."""
    if isinstance(error, InputError):
        return type(error)(error.field, error.value, error.expected)
    faults = [_without_place(one) for one in error.exceptions if isinstance(one, (InputError, InputErrors))]
    return InputErrors(f"{len(faults)} faults", faults)  # type: ignore[arg-type]


def in_units(job: Job, units: str) -> Job:
    """Return the job with its answers shown in other units."""
    from ropewright.quantity import UnitSystem

    return replace(job, units=UnitSystem(units))
