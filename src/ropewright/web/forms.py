"""What was sent by a form: its texts and files, and the faults that go back to their fields."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import PurePosixPath
from typing import Annotated

from fastapi import Depends
from starlette.datastructures import UploadFile
from starlette.requests import Request

from ropewright.errors import InputError
from ropewright.web.form_error import FormError
from ropewright.web.security_upload import Upload

__all__ = ["Fault", "Faulty", "Posted", "PostedForm", "faults_of", "posted_form"]

#: Most fields and files of one form, and most bytes of one text.
_FIELDS, _FILES, _TEXT = 2000, 20, 1 << 20


@dataclass(frozen=True)
class PostedForm:
    """Texts and files of a form; a field may come more than once."""

    fields: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    files: Mapping[str, Upload] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """Text of a field, without blanks round it; empty if it did not come."""
        return self.fields.get(name, ("",))[0].strip()

    def flag(self, name: str) -> bool:
        """Whether a box was ticked."""
        return self.text(name) not in ("", "no", "false", "0")

    def texts(self) -> dict[str, str]:
        """First text of every field but the token, so that the form can be shown again as it was."""
        return {name: values[0] for name, values in self.fields.items() if name != "csrf_token"}


async def posted_form(request: Request) -> PostedForm:
    """Form that a request carries; files are read into memory, within the limit of the body."""
    known: PostedForm | None = getattr(request.state, "posted_form", None)
    if known is not None:
        return known
    fields: dict[str, tuple[str, ...]] = {}
    files: dict[str, Upload] = {}
    async with request.form(max_files=_FILES, max_fields=_FIELDS, max_part_size=_TEXT) as form:
        for name, value in form.multi_items():
            if isinstance(value, UploadFile):
                shown = PurePosixPath((value.filename or "").replace("\\", "/")).name
                files[name] = Upload(shown[:200], await value.read())
            else:
                fields[name] = (*fields.get(name, ()), value.replace("\r\n", "\n").replace("\0", ""))
    request.state.posted_form = PostedForm(fields, files)
    return request.state.posted_form  # type: ignore[no-any-return]


Posted = Annotated[PostedForm, Depends(posted_form)]


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with one field.

    Parameters
    ----------
    field : str
    value : str
        What stood there; empty: nothing.
    expected : str
        What would be right.
    is_said : bool
        True if `expected` is in the language spoken already; else it is the engine's English.
    """

    field: str
    value: str
    expected: str
    is_said: bool = False


@dataclass(frozen=True)
class Faulty:
    """Faults of a form, to be found by the fields they belong to."""

    faults: tuple[Fault, ...] = ()

    def at(self, name: str) -> tuple[Fault, ...]:
        """Faults of a field."""
        return tuple(fault for fault in self.faults if fault.field == name)

    def elsewhere(self, names: Sequence[str]) -> tuple[Fault, ...]:
        """Faults of none of these fields; a page shows them above its form."""
        return tuple(fault for fault in self.faults if fault.field not in names)


def faults_of(error: BaseException) -> Faulty:
    """Every fault of an `InputError` or `InputErrors`, each once."""
    return Faulty(tuple(dict.fromkeys(_faults(error))))


def _faults(error: BaseException) -> Iterator[Fault]:
    if isinstance(error, BaseExceptionGroup):
        for one in error.exceptions:
            yield from _faults(one)
    elif isinstance(error, InputError):
        value = "" if error.value is None else str(error.value)
        yield Fault(error.field, value, error.expected, isinstance(error, FormError))
