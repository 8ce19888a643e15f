"""A photo is opened before it is kept, and an entry names only what is kept."""

from __future__ import annotations

from hashlib import sha256
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from record_helpers import draft, record_at
from record_tampering import photo
from sqlalchemy import func, select

from ropewright.errors import InputError
from ropewright.store.canonical import json_text
from ropewright.store.kept_files import FILE_LIMIT, KINDS, NAMES_FILE, kind_of, named_files
from ropewright.store.schema import files


@pytest.mark.parametrize(("kind", "name"), KINDS.items())
def test_a_photo_is_kept_under_the_hash_of_its_bytes(place: str, kind: str, name: str) -> None:
    record, content = record_at(place), photo("blue", name)
    digest = record.keep_file(content, kind)
    assert digest == sha256(content).hexdigest() == record.keep_file(content, kind)  # twice is once
    kept = record.file(digest)
    assert (kept.hash, kept.kind, kept.content) == (digest, kind, content)
    with record.database.reading() as connection:
        assert connection.execute(select(func.count()).select_from(files)).scalar_one() == 1


def wide(pixels: int) -> bytes:
    """A picture of one colour, small as a file and large when it is opened."""
    file = BytesIO()
    Image.new("1", (pixels // 1000, 1000)).save(file, "PNG")
    return file.getvalue()


def torn() -> bytes:
    """A picture whose first bytes are whole and whose last are missing, as after a broken upload."""
    file = BytesIO()
    Image.effect_noise((300, 300), 90).save(file, "JPEG")
    return file.getvalue()[:20_000]


REFUSED = {
    "no kind we keep": (photo(), "image/gif", "give a photo of one of these kinds"),
    "another kind": (photo(), "image/jpeg", "give a whole photo that is image/jpeg"),
    "no photo": (b"notes", "image/png", "give a whole photo"),
    "nothing": (b"", "image/png", "give a whole photo"),
    "cut off": (photo("red", "JPEG")[:-100], "image/jpeg", "give a whole photo"),
    "torn": (torn(), "image/jpeg", "give a whole photo.*truncated"),
    "too many bytes": (b"x" * (FILE_LIMIT + 1), "image/png", f"at most {FILE_LIMIT:,} bytes"),
    "too many pixels": (wide(61_000_000), "image/png", "at most 60,000,000 pixels"),
    "far too many pixels": (wide(200_000_000), "image/png", "give a whole photo"),
}


@pytest.mark.parametrize(("content", "kind", "told"), REFUSED.values(), ids=REFUSED.keys())
def test_what_is_no_whole_photo_is_refused(tmp_path: Path, content: bytes, kind: str, told: str) -> None:
    record = record_at(tmp_path / "record.db")
    with pytest.raises(InputError, match=told):
        record.keep_file(content, kind)
    with pytest.raises(InputError, match="there is none of this"):
        record.file(sha256(content).hexdigest())


@pytest.mark.parametrize("body", [{"photo": "f" * 64}, {"photos": ["f" * 64]}, {"checks": [{"photo": "f" * 64}]}])
def test_an_entry_that_names_a_photo_that_is_not_kept_is_refused(place: str, body: dict) -> None:
    record = record_at(place)
    with pytest.raises(InputError, match="keep the photo first"):
        record.write(lambda _: [draft(**body)])
    with record.read() as view:
        assert view.head().count == 0


@pytest.mark.parametrize(
    ("body", "names"),
    [
        ({"photo": "a"}, ["a"]),
        ({"photos": ["a", "b"]}, ["a", "b"]),
        ({"points": [{"photo": "a"}, {"photo": ""}, {"photo": None}, {"more": {"photo": "b"}}]}, ["a", "b"]),
        ({"photo": "", "note": '"photo":"a"'}, []),
        ({"photos": [], "photograph": "a"}, []),
    ],
)
def test_photos_are_named_at_any_depth(body: dict, names: list[str]) -> None:
    assert list(named_files(body)) == names
    assert bool(NAMES_FILE.search(json_text(body))) == bool(names)  # what spares reading all other bodies


def test_the_kind_of_what_is_no_photo_is_none() -> None:
    assert [kind_of(content) for content in (b"", b"notes", photo())] == [None, None, "image/png"]
