"""Roof files that were sent, while somebody chooses a building in them."""

from __future__ import annotations

import re
from collections import OrderedDict
from dataclasses import dataclass
from pathlib import Path, PurePath
from secrets import token_urlsafe
from tempfile import TemporaryDirectory
from threading import Lock
from typing import TYPE_CHECKING

import numpy as np

from ropewright.errors import FileError, InputError
from ropewright.web.form_error import FormError
from ropewright.web.security_upload import Upload
from ropewright.web.words import _

if TYPE_CHECKING:
    from ropewright.readers import BuildingRoof
    from ropewright.roof.surface import Roof

__all__ = ["Building", "Offer", "Offers", "read_offer"]

#: Files that are kept at most, and bytes of them together.
_MOST, _BYTES = 12, 96 << 20
#: A small plan is so wide and high at most. [px]
_WIDE = 120.0


@dataclass(frozen=True, slots=True)
class Building:
    """One building of a file as the list shows it.

    Parameters
    ----------
    id : str
    usable : bool
    notes : tuple of str
        What was mended or is doubtful; or why it is refused.
    facets : int
    area : float
        Of its facets. [m2]
    pitches : tuple of float
        Least and greatest. [deg]
    eave : float or None
        Above the ground. [m]
    has_ground : bool
        The file says where it is.
    place : tuple of float
        Where an anchor can stand, from the low corner of its extent. [m]
    north : float
    picture : tuple of (str, str)
        Kind and path of each line of its small plan, which is `width` by `height` large.
    """

    id: str
    usable: bool
    notes: tuple[str, ...]
    facets: int = 0
    area: float = 0.0
    pitches: tuple[float, float] = (0.0, 0.0)
    eave: float | None = None
    has_ground: bool = False
    place: tuple[float, float] = (0.0, 0.0)
    north: float = 0.0
    picture: tuple[tuple[str, str], ...] = ()
    width: float = 0.0
    height: float = 0.0


@dataclass(frozen=True, slots=True)
class Offer:
    """A file with what can be chosen in it."""

    name: str
    content: bytes
    length_unit: str
    buildings: tuple[Building, ...]

    def building(self, wanted: str) -> Building:
        """Return the building of an id.

        Raises
        ------
        FormError
            If there is none, or it has no roof that can be used.
        """
        found = next((one for one in self.buildings if one.id == wanted), None)
        if found is None or not found.usable:
            raise FormError("building", wanted[:80], _("choose one of the buildings that can be used"))
        return found


class Offers:
    """Offers by a key that can't be guessed; the oldest go first. They last no longer than the program."""

    def __init__(self) -> None:
        self._kept: OrderedDict[str, Offer] = OrderedDict()
        self._lock = Lock()

    def keep(self, offer: Offer) -> str:
        """Key under which an offer is found from now on."""
        key = token_urlsafe(12)
        with self._lock:
            self._kept[key] = offer
            while len(self._kept) > 1 and (
                len(self._kept) > _MOST or sum(len(one.content) for one in self._kept.values()) > _BYTES
            ):
                self._kept.popitem(last=False)
        return key

    def find(self, key: str) -> Offer | None:
        """Offer of a key, if it is still there."""
        with self._lock:
            return self._kept.get(key)


def read_offer(upload: Upload, length_unit: str) -> Offer:
    """Read a roof file that was sent.

    Parameters
    ----------
    upload : Upload
    length_unit : str
        Of a file that says none; empty: it says so itself.

    Raises
    ------
    InputError
        On ``file`` or ``length_unit``: what is wrong with it.
    """
    from ropewright.readers import read_roofs

    name = _file_name(upload.name)
    with TemporaryDirectory(prefix="ropewright-") as folder:
        path = Path(folder) / name  # a file with one building may call it by its own name
        path.write_bytes(upload.content)
        try:
            found = read_roofs(path, length_unit=length_unit or None)
        except FileError as error:
            raise _fault(error, upload.name, length_unit) from error
    return Offer(name, upload.content, length_unit, tuple(_building(one) for one in found))


def _fault(error: FileError, name: str, length_unit: str) -> InputError:
    if "unit" in error.field:
        return InputError("length_unit", length_unit or None, error.expected)
    what = "" if error.field in ("file", "text") else f"{error.field}: "
    got = "" if error.value is None else f"got {error.value!r:.80}; "
    return InputError("file", name, f"{what}{got}{error.expected}")


def _file_name(name: str) -> str:
    """Name under which the job keeps the file: plain letters, the ending as it was."""
    path = PurePath(name)
    stem = re.sub(r"[^A-Za-z0-9]+", "-", path.name[: -len(path.suffix)]).strip("-")[:60] or "roof"
    return stem + path.suffix.lower()


def _building(one: BuildingRoof) -> Building:
    from ropewright.job.roof_text import high_place
    from ropewright.roof.facets import facet_area, facet_pitch

    if one.roof is None:
        return Building(one.id, usable=False, notes=one.notes)
    pitches = [facet_pitch(facet) for facet in one.roof.facets]
    picture, width, height = _picture(one.roof)
    return Building(
        one.id,
        usable=True,
        notes=one.notes,
        facets=len(one.roof.facets),
        area=sum(facet_area(facet) for facet in one.roof.facets),
        pitches=(min(pitches), max(pitches)),
        eave=one.eave_height,
        has_ground=one.ground is not None,
        place=high_place(one.roof),
        north=one.north,
        picture=picture,
        width=width,
        height=height,
    )


def _picture(roof: Roof) -> tuple[tuple[tuple[str, str], ...], float, float]:
    """Lines of a small plan, y upward, with its width and height. [px]"""
    corners = np.vstack([facet.ring[:, :2] for facet in roof.facets])
    low, high = corners.min(axis=0), corners.max(axis=0)
    scale = _WIDE / max(float((high - low).max()), 1e-9)
    width, height = ((high - low) * scale).tolist()

    def path(points: np.ndarray) -> str:
        placed = (points[:, :2] - low) * scale
        return "M" + "L".join(f"{x:.1f} {height - y:.1f}" for x, y in placed.tolist())

    facets = [("facet", "".join(f"{path(ring)}Z" for ring in (one.ring, *one.holes))) for one in roof.facets]
    edges = [(f"edge edge-{one.type.value}", path(np.vstack([one.start, one.end]))) for one in roof.edges]
    return (*facets, *edges), width, height
