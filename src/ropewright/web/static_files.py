"""Styles, scripts and letters: found once at the start, so that no name from outside ever reaches the file system."""

from __future__ import annotations

import gzip
import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from importlib import resources
from importlib.resources.abc import Traversable
from io import BytesIO
from threading import Lock

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

__all__ = ["Statics", "router"]

_KINDS: Mapping[str, str] = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".woff": "font/woff",
}
_FACES = {"fonts/sans.woff": "SourceSansPro-Regular.ttf", "fonts/sans-semibold.woff": "SourceSansPro-Semibold.ttf"}
#: Letters that English and Spanish need, with the marks of formulas, arrows and fractions.
_LETTERS = (
    *range(0x20, 0x7F), *range(0xA0, 0x180), *range(0x2010, 0x2040), 0x20AC, *range(0x2190, 0x2194),
    0x2212, 0x2248, 0x2260, 0x2264, 0x2265, 0x00BD, 0x00BC, 0x00BE, 0x0394, 0x03B1, 0x03B8, 0x03BC, 0x03C0,
)  # fmt: skip
_YEAR = "public, max-age=31536000, immutable"

router = APIRouter()


@dataclass(frozen=True, slots=True)
class _File:
    content: bytes
    packed: bytes
    kind: str
    mark: str


class Statics:
    """The files by their names, with marks that change when they do."""

    def __init__(self) -> None:
        root = resources.files("ropewright.web").joinpath("static")
        self._files = {name: _file(place.read_bytes(), name) for name, place in _walk(root, "")}
        self._lock = Lock()

    @cached_property
    def _faces(self) -> dict[str, _File]:
        return {name: _file(_face(source), name) for name, source in _FACES.items()}

    def find(self, name: str) -> _File | None:
        """File of a name; None if there is none."""
        if name in _FACES:
            with self._lock:
                return self._faces[name]
        return self._files.get(name)

    def url(self, name: str) -> str:
        """Address of a file, which changes when its content does.

        Raises
        ------
        KeyError
            If there is no such file: a template names one that is not there.
        """
        return f"/static/{name}?v={self._files[name].mark}"

    @property
    def names(self) -> frozenset[str]:
        """Names of all files but those of letters."""
        return frozenset(self._files)


@router.get("/static/{name:path}", include_in_schema=False)
def static_file(name: str, request: Request, v: str = "") -> Response:
    """Return a file; with its mark in the address it may be kept for good."""
    statics: Statics = request.app.state.statics
    file = statics.find(name)
    if file is None:
        raise HTTPException(404)
    headers = {"etag": f'"{file.mark}"', "cache-control": _YEAR if v == file.mark or name in _FACES else "no-cache"}
    if request.headers.get("if-none-match") == headers["etag"]:
        return Response(status_code=304, headers=headers)
    packed = "gzip" in request.headers.get("accept-encoding", "") and len(file.packed) < len(file.content)
    if packed:
        headers |= {"content-encoding": "gzip", "vary": "accept-encoding"}
    return Response(file.packed if packed else file.content, media_type=file.kind, headers=headers)


def _walk(folder: Traversable, path: str) -> Iterator[tuple[str, Traversable]]:
    for place in folder.iterdir():
        if place.is_dir():
            yield from _walk(place, f"{path}{place.name}/")
        elif "." + place.name.rpartition(".")[2] in _KINDS:
            yield f"{path}{place.name}", place


def _file(content: bytes, name: str) -> _File:
    kind = _KINDS["." + name.rpartition(".")[2]]
    return _File(content, gzip.compress(content, mtime=0), kind, hashlib.sha256(content).hexdigest()[:16])


@cache
def _face(source: str) -> bytes:
    """Letters of the installed face that the pages use, packed: 19 KB instead of 294 KB."""
    from fontTools import subset  # type: ignore[import-untyped]

    from ropewright.sheets.pdf import font_folder

    options = subset.Options(flavor="woff", hinting=False, name_IDs=[0, 13, 14], layout_features=["kern", "tnum"])
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=_LETTERS)
    made = BytesIO()
    with subset.load_font(str(font_folder() / source), options) as font:
        subsetter.subset(font)
        font.flavor = "woff"
        font.save(made)
    return made.getvalue()
