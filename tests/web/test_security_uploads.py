"""What somebody sends: bombs, names with paths, files of other kinds; no text of theirs reaches the file system."""

from __future__ import annotations

import io
import re
import struct
import sys
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from filled_store import EXAMPLE, PERSON, ROPE, fill_jobs, fill_record, png
from walking import crawled, ways

from ropewright.store.gear_points import points_of
from ropewright.store.gear_words import gear_kinds

MARK = "zq-mark"


@pytest.fixture
def rope(client):
    assert client.send("/gear/new", ROPE).status_code == 303
    return client


def entries(client) -> int:
    with client.app.state.store.record.read() as view:
        return view.head().count


def inspected(client, content, name="seam.png", kind="image/png"):
    """Answer to an inspection with one photo."""
    points = points_of(gear_kinds()["rope"])
    answers = {f"answer {one.key}": "fault" for one in points}
    return client.send("/gear/R-001/inspect", answers, files={f"photo {points[0].key}": (name, content, kind)})


def uploaded(client, text, **more):
    return client.send("/jobs/upload", files={"file": ("barn.toml", text, "application/toml"), **more})


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def bomb(width: int, height: int) -> bytes:
    """A PNG of few bytes that says it has so many pixels."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    "content",
    [
        bomb(100_000, 100_000), bomb(2**31 - 1, 2**31 - 1), bomb(9_000, 9_000), bomb(0, 0), png()[:-30], png()[:40],
        b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"RIFF\x00\x00\x00\x00WEBP", b"RIFF\x00\x00\x00\x00WAVEfmt ",
        png()[:33] + chunk(b"zTXt", b"a\0\0" + zlib.compress(b"a" * 80_000_000)) + png()[33:],
        b"GIF89a" + b"\0" * 50, b"%PDF-1.7", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"",
        b"\xff\xd8\xff" + b"\0" * 99,
    ],
    ids=[
        "huge", "hugest", "large", "none", "torn", "head", "sign", "jpeg sign", "webp sign", "sound", "text bomb",
        "gif", "pdf", "svg", "empty", "zeros",
    ],
)  # fmt: skip
def test_photo_that_is_none_or_a_bomb_is_refused_and_nothing_is_written(rope, content):
    before = entries(rope)
    answer = inspected(rope, content)
    assert answer.status_code == 422
    assert "Traceback" not in answer.text
    assert entries(rope) == before


def test_photo_is_given_back_as_the_kind_that_it_is_whatever_its_name(rope):
    """A browser must never take for a page what somebody sent as a photo."""
    assert inspected(rope, png(), "seam.jpg", "text/html").status_code == 303
    address = re.search(r'src="(/gear/photo/[0-9a-f]{64})"', rope.get("/gear/R-001").text)
    assert rope.get(address[1]).headers["content-type"] == "image/png"


def test_photo_with_markup_in_its_name_is_refused_with_the_name_as_text(rope):
    answer = inspected(rope, b"no picture", "<script>alert(1)</script>.png")
    assert answer.status_code == 422
    assert "<script>alert" not in answer.text


@pytest.mark.parametrize(("field", "limit"), [("file", 1), ("roof", 16)])
def test_file_is_taken_up_to_its_size(client, field, limit):
    too_much = b"#" * (limit * 2**20 + 1)
    files = {"file": ("barn.toml", EXAMPLE, "a/b"), "roof": ("roof.csv", b"x,y,z\n", "a/b")}
    files[field] = (files[field][0], too_much, "a/b")
    answer = client.send("/jobs/upload", files=files)
    assert answer.status_code == 422
    assert f"at most {limit} MiB" in answer.text


@pytest.mark.parametrize("name", ["run.exe", "page.html", "page.svg", "barn.toml.exe", "barn", ".toml", "roof.zip"])
def test_file_of_another_kind_is_refused(client, name):
    answer = client.send("/jobs/upload", files={"file": (name, EXAMPLE, "application/toml")})
    assert answer.status_code == 422
    assert client.app.state.store.jobs.listed() == []


def packed() -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("../../house.csv", b"0" * 50_000_000)
    return made.getvalue()


NAMING = '[job]\nname = "a"\n[roof]\nfile = "{name}"\n'
DEEP = b"[" * 200_000


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("house.ifc", packed()), ("house.json", packed()), ("house.csv", packed()), ("house.dxf", packed()),
        ("house.json", DEEP), ("house.geojson", DEEP), ("house.json", b'{"a":' * 100_000), ("house.jsonl", DEEP),
        ("house.json", b'{"type":"CityJSON","CityObjects":{"a":{"parents":["a"],"children":["a"]}},"vertices":[]}'),
        ("house.geojson", b'{"type":"FeatureCollection","features":[{"type":"Feature","geometry":null}]}'),
        ("house.json", b"1e999"), ("house.json", b'{"vertices":[[1e999,0,0]]}'),
        ("house.csv", b"x,y,z\n" + b"9" * 5000),
        ("house.ifc", b"ISO-10303-21;\nHEADER;ENDSEC;DATA;#1=#1;ENDSEC;END-ISO-10303-21;"),
        ("house.dxf", b"0\nSECTION\n"),
        ("house.csv", b"\xff" * 100), ("house.json", b"null"), ("house.json", b"9" * 10_000),
    ],
)  # fmt: skip
def test_roof_file_that_is_a_bomb_or_broken_is_told_as_a_fault(client, name, content):
    answer = uploaded(client, NAMING.format(name=name), roof=(name, content, "a/b"))
    assert answer.status_code == 422
    sent = client.send("/jobs/from-file", {"length_unit": ""}, files={"file": (name, content, "a/b")})
    if sent.status_code == 303:  # its buildings are shown, each with why it can't be used
        sent = client.get(sent.headers["location"])
        assert 'name="building"' not in sent.text
    else:
        assert sent.status_code == 422
    assert client.app.state.store.jobs.listed() == []


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 100_000, "a." * 50_000 + "b = 1", "a = " + "{a=" * 50_000, "[a" + ".a" * 50_000 + "]",
        "[job]\nname = 1979-99-99", "a = " + "9" * 10_000, "a = 1e999", '[job]\nname = "\\ud800"',
        "[job]\nname = '\u202e'",
        "a = 0x" + "f" * 10_000, EXAMPLE.replace('spacing = "0.25 m"', 'spacing = "1e-300 m"'),
        EXAMPLE.replace('"6 m"', '"1e300 m"'), EXAMPLE.replace('"6 m"', '"nan m"'), EXAMPLE.replace('"6 m"', '"-6 m"'),
    ],
)  # fmt: skip
def test_job_file_that_is_a_bomb_or_broken_is_told_as_a_fault(client, text):
    for answer in (uploaded(client, text), client.api("POST", "/api/jobs/check", {"text": text})):
        assert answer.status_code == 422, answer.text[:300]
        assert "Traceback" not in answer.text


PATHS = [
    "../../{m}.csv", "/tmp/{m}.csv", "..\\..\\{m}.csv", "C:\\{m}.csv", "file:///{m}.csv", "a\0{m}.csv", "{m}.csv/",
    "%2e%2e%2f{m}.csv", "....//{m}.csv", ".{m}.csv", "~/{m}.csv", "-{m}.csv", "con.csv", "{m}" * 200 + ".csv",
]  # fmt: skip


@pytest.mark.parametrize("path", PATHS)
def test_name_of_a_file_is_its_last_part_alone_or_refused(client, path):
    name = path.format(m=MARK)
    client.send("/jobs/example")
    with opened() as places:
        answer = client.send("/jobs/1/files", files={"roof": (name, b"x,y,z\n", "a/b")})
    assert answer.status_code in (303, 400, 422)
    kept = client.app.state.store.jobs.files(1)
    assert not [one for one in kept if set(one) & set("/\\:\0~%") or one.startswith((".", "-"))]
    assert not [one for one in places if MARK in one]


@pytest.mark.parametrize(
    "name", ["../{m}.csv", "/tmp/{m}.csv", "{m}/../x.csv", "{m}.csv", "\\\\a\\{m}.csv", "{m}\\u0000.csv"]
)
def test_file_that_a_job_names_is_looked_for_among_its_own_alone(client, name):
    """Whatever a job names: nothing of that name is opened outside the folder that its own files are written to."""
    with opened() as places:
        answer = uploaded(client, NAMING.format(name=name.format(m=MARK).replace("\\", "\\\\")))
    assert answer.status_code == 422
    assert not [one for one in places if MARK in one]


def test_nothing_typed_is_ever_part_of_a_name_in_the_file_system(client, idle):
    """A word fills the store as name, tag and note, and every page is walked: no file of that word is touched."""
    client.send("/settings", {"person": f"A. {MARK}"})
    with opened() as places:
        fill_jobs(client, EXAMPLE.replace("Orchard Close, tile repairs", f"../{MARK}"), note=f"/{MARK}")
        fill_record(client, f"../{MARK}", f"/{MARK}")
        client.send("/gear/new", {"kind": "bag", "tag": MARK})
        client.send("/crew/new", {**PERSON, "code": MARK, "name": f"/{MARK}"})
        told = {"csrf_token": client.token(), "name": f"../{MARK}", "text": f"/{MARK}", "file": f"../{MARK}"}
        for way in ways(client.app):
            address = way.route.replace("{", f"../{MARK}{{")
            client.request(way.method, f"{client.base_url}{address}".replace("{", "").replace("}", ""), data=told)
            client.request(way.method, way.address, params={"search": f"../{MARK}", "name": f"/{MARK}"}, data=told)
        walked = list(crawled(client))
    assert MARK in " ".join(answer.text for address, answer in walked if address in ("/jobs", "/crew", "/gear"))
    assert len(places) > 10, "nothing was watched"
    assert not [one for one in places if MARK in one]


#: Where the watch on files puts what it sees while it is on; a hook of the interpreter can't be taken out again.
_seen: list[list[str]] = []
_WATCHED = (
    "open",
    "os.mkdir",
    "os.rename",
    "os.remove",
    "os.listdir",
    "os.scandir",
    "os.rmdir",
    "os.link",
    "os.symlink",
)


def _watch(event: str, arguments: tuple[object, ...]) -> None:
    if _seen and event in _WATCHED:
        _seen[-1].extend(one if isinstance(one, str) else repr(one) for one in arguments)


@contextmanager
def opened() -> Iterator[list[str]]:
    """Names of all files and folders that this process touches meanwhile."""
    if _watch not in _hooks:
        sys.addaudithook(_watch)
        _hooks.append(_watch)
    _seen.append([])
    try:
        yield _seen[-1]
    finally:
        _seen.pop()


_hooks: list[object] = []
