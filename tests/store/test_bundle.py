"""A bundle holds the whole record, proves itself, and a broken or hostile one is refused whole."""

from __future__ import annotations

import json
import random
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from zipfile import ZIP_BZIP2, ZIP_DEFLATED, ZipFile, ZipInfo

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from record_helpers import draft, filled, record_at
from record_tampering import COLUMNS, photo, rechained, rows_of, shell

from ropewright.errors import InputError
from ropewright.store.bundle import entry_line, write_bundle
from ropewright.store.bundle_reading import take_in, verify_bundle
from ropewright.store.canonical import json_text, read_json
from ropewright.store.entry import Head
from ropewright.store.ledger import Ledger
from ropewright.store.signing import key_path, public_bytes, public_pem, signing_key
from ropewright.store.verify import verify

#: Broken bundles tried at each run.
TRIES = 250


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Folder with a record of 21 entries, one of which names a photo, and a bundle of it."""
    folder = tmp_path_factory.mktemp("source")
    record = filled(folder / "record.db")
    digest = record.keep_file(photo(), "image/png")
    record.write(lambda _: [draft(photo=digest)])
    write_bundle(record, folder / "bundle.zip")
    record.close()
    return folder


def everything(record: Ledger) -> object:
    with record.read() as view:
        return view.head(), list(view.entries()), view.states("gear")


def test_a_bundle_holds_the_whole_record(source: Path, place: str) -> None:
    record, here = record_at(source / "record.db"), record_at(place)
    manifest, new = take_in(here, source / "bundle.zip")
    assert (manifest.head.count, new) == (21, 21)
    assert everything(here) == everything(record)
    assert here.file(str(list(here_entries(here))[-1].body["photo"])).content == photo()
    assert verify(here, manifest.head).whole


def here_entries(record: Ledger):
    with record.read() as view:
        yield from view.entries()


def test_a_bundle_of_a_server_s_record_opens_in_a_file(postgresql: str, tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))  # where the key of a server's record is kept
    record = filled(postgresql)
    head, _ = write_bundle(record, tmp_path / "b.zip")
    assert take_in(record_at(tmp_path / "r.db"), tmp_path / "b.zip")[0].head == head


def test_lines_are_the_canonical_json_of_whole_entries(source: Path) -> None:
    for row in rows_of(source / "record.db"):
        whole = dict(zip(COLUMNS, row, strict=True)) | {"body": read_json(row[6])}
        assert entry_line(row) == json_text(whole)


def test_a_later_bundle_adds_what_is_new(source: Path, tmp_path: Path) -> None:
    shutil.copytree(source, tmp_path / "s")
    record, here = record_at(tmp_path / "s/record.db"), record_at(tmp_path / "here.db")
    take_in(here, source / "bundle.zip")
    record.write(lambda _: [draft("new")])
    write_bundle(record, tmp_path / "later.zip")
    assert take_in(here, tmp_path / "later.zip")[1] == 1
    assert take_in(here, tmp_path / "later.zip")[1] == 0
    assert everything(here) == everything(record)
    before = everything(here)
    with pytest.raises(InputError, match="the record holds 22 entries already"):
        take_in(here, source / "bundle.zip")
    assert everything(here) == before


def test_a_record_of_its_own_takes_no_other_bundle(source: Path, tmp_path: Path) -> None:
    here = record_at(tmp_path / "here.db")
    here.write(lambda _: [draft(by="Bo")])
    with pytest.raises(InputError, match="the record holds other entries"):
        take_in(here, source / "bundle.zip")


def test_a_bundle_is_held_against_a_printed_head(source: Path) -> None:
    rows = rows_of(source / "record.db")
    for head, why in ((Head(21, rows[20][8]), None), (Head(5, rows[4][8]), None), (Head(0, "0" * 64), None)):
        assert verify_bundle(source / "bundle.zip", head)[1] is why
    for head, why in ((Head(22, rows[20][8]), "cut-off"), (Head(21, "f" * 64), "rewritten")):
        bad = verify_bundle(source / "bundle.zip", head)[1]
        assert bad is not None
        assert bad.why == why


@pytest.mark.skipif(shutil.which("openssl") is None, reason="openssl isn't installed")
def test_the_signature_verifies_with_another_tool(source: Path, tmp_path: Path) -> None:
    with ZipFile(source / "bundle.zip") as bundle:
        bundle.extractall(tmp_path)
    verifying = ["openssl", "pkeyutl", "-verify", "-rawin", "-pubin", "-inkey", "public-key.pem"]
    files = ["-sigfile", "manifest.sig", "-in", "manifest.json"]
    told = subprocess.run([*verifying, *files], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert "Verified Successfully" in told.stdout


def test_the_key_is_made_once_and_read_by_its_owner_alone(source: Path, tmp_path: Path) -> None:
    record = record_at(tmp_path / "record.db")
    path = key_path(record)
    first = public_bytes(signing_key(path))
    assert path.stat().st_mode & 0o777 == 0o600
    assert public_bytes(signing_key(path)) == first
    path.chmod(0o640)
    with pytest.raises(InputError, match="chmod 600"):
        signing_key(path)
    path.chmod(0o600)
    path.write_text("none")
    with pytest.raises(InputError, match="give a file with an Ed25519 key"):
        signing_key(path)


def test_a_broken_record_makes_no_bundle(tmp_path: Path) -> None:
    record = filled(tmp_path / "record.db")
    with shell(tmp_path / "record.db") as connection:
        connection.execute("UPDATE entries SET by = 'Bo' WHERE number = 7")
    with pytest.raises(InputError, match="entry 7 doesn't follow"):
        write_bundle(record, tmp_path / "b.zip")
    assert not list(tmp_path.glob("*b.zip*"))
    (tmp_path / "b.zip").write_text("mine")
    with pytest.raises(InputError, match="give a new file"):
        write_bundle(record, tmp_path / "b.zip")


Members = dict[str, bytes]


def remade(source: Path, path: Path, change: Callable[[Members], object], *, sign: bool = True) -> Path:
    """Bundle whose members were changed, signed by a stranger so that only its content can give it away."""
    with ZipFile(source / "bundle.zip") as bundle:
        members = {name: bundle.read(name) for name in bundle.namelist()}
    change(members)
    if sign:
        key = Ed25519PrivateKey.generate()
        told = json.loads(members["manifest.json"]) | {"public_key": public_bytes(key).hex()}
        members["manifest.json"] = json_text(told).encode()
        members["manifest.sig"] = key.sign(members["manifest.json"])
        members["public-key.pem"] = public_pem(public_bytes(key))
    with ZipFile(path, "w") as bundle:
        for name, content in members.items():
            bundle.writestr(name, content, ZIP_DEFLATED if name == "entries.jsonl" else None)
    return path


def with_entries(change: Callable[[list[str]], list[str]], **told: object) -> Callable[[Members], None]:
    """Change the lines, and make the manifest say what they are now."""

    def apply(members: Members) -> None:
        from hashlib import sha256

        lines = members["entries.jsonl"].decode().splitlines()
        content = "".join(line + "\n" for line in change(lines)).encode()
        members["entries.jsonl"] = content
        manifest = json.loads(members["manifest.json"])
        manifest["entries"] = {"bytes": len(content), "sha256": sha256(content).hexdigest()}
        members["manifest.json"] = json_text(manifest | told).encode()

    return apply


def last(line: str) -> dict[str, object]:
    return {"count": json.loads(line)["number"], "hash": json.loads(line)["hash"]}


def spaced(lines: list[str]) -> list[str]:
    """A body that means the same and is no canonical JSON, in a chain that was made anew from there."""
    return [lines[0].replace('"length_m":30.5', '"length_m": 30.5'), *lines[1:]]


def forged(change: Callable[[tuple], tuple]) -> Callable[[Members], None]:
    """First entry changed and the whole chain made anew: only what an entry must be gives it away."""

    def apply(members: Members) -> None:
        rows = []
        for line in members["entries.jsonl"].decode().splitlines():
            cells = json.loads(line)
            rows.append(tuple(json_text(cells[name]) if name == "body" else cells[name] for name in COLUMNS))
        new = [entry_line(row) for row in rechained([change(rows[0]), *rows[1:]])]  # type: ignore[list-item]
        with_entries(lambda _: new, **last(new[-1]))(members)

    return apply


def put(column: str, value: str) -> Callable[[tuple], tuple]:
    return lambda row: tuple(value if name == column else cell for name, cell in zip(COLUMNS, row, strict=True))


def unsummed(members: Members) -> None:
    """Other entries of the same length in a chain made anew, of which the manifest still has the old sum."""
    sums = json.loads(members["manifest.json"])["entries"]
    forged(put("by", "Bob"))(members)
    members["manifest.json"] = json_text(json.loads(members["manifest.json"]) | {"entries": sums}).encode()


HOSTILE: dict[str, tuple[Callable[[Members], object], str]] = {
    "entry altered": (with_entries(lambda lines: [line.replace("Ann", "Bob") for line in lines]), "entry 1 "),
    "sum of other entries": (unsummed, "the entries aren't those that were signed"),
    "entry dropped": (with_entries(lambda lines: lines[:6] + lines[7:]), "entry 7 "),
    "tail cut off": (with_entries(lambda lines: lines[:-3]), "holds 18 entries, and says 21"),
    "not canonical": (with_entries(spaced), "isn't written as entries are"),
    "body spaced, chain anew": (forged(put("body", '{"a": 1}')), "isn't written as entries are"),
    "key twice, chain anew": (forged(put("body", '{"a":1,"a":1}')), "isn't written as entries are"),
    "escape codes, chain anew": (forged(put("by", "Ann\x1b[2J")), "printable"),
    "blank author, chain anew": (forged(put("by", " ")), "say who does it"),
    "future, chain anew": (forged(put("at", "2031-01-01T00:00:00.000000Z")), "isn't in the future"),
    "time of another form": (forged(put("written", "2030-05-01 12:00:00+00:00")), "isn't written as entries are"),
    "kind of another form": (forged(put("kind", "X")), "kind must look like"),
    "deep body": (
        forged(put("body", '{"a":' + "[" * 5000 + "]" * 5000 + "}")),
        "maximum recursion depth|nested deeper",
    ),
    "file missing": (
        lambda members: [members.pop(n) for n in list(members) if n.startswith("files/")],
        "other members",
    ),
    "file altered": (
        lambda members: members.update({n: c[:-1] + b"x" for n, c in members.items() if n.startswith("files/")}),
        "isn't what it was",
    ),
    "member added": (lambda members: members.update({"files/../../evil": b"x"}), "other members"),
    "member outside": (lambda members: members.update({"/etc/evil": b"x"}), "other members"),
    "no manifest": (lambda members: members.update({"manifest.json": b"{}"}), "doesn't say 'made'"),
}


@pytest.mark.parametrize(("change", "told"), HOSTILE.values(), ids=HOSTILE.keys())
def test_what_a_stranger_made_is_refused_for_what_it_holds(
    source: Path, tmp_path: Path, change: Callable[[Members], object], told: str
) -> None:
    path = remade(source, tmp_path / "b.zip", change)
    _, bad = verify_bundle(path)
    assert bad is not None
    here = record_at(tmp_path / "here.db")
    with pytest.raises(InputError, match=told):
        take_in(here, path)
    with here.read() as view:
        assert (view.head().count, view.states("gear")) == (0, [])


def test_what_was_not_signed_with_its_key_is_refused(source: Path, tmp_path: Path) -> None:
    def change(members: Members) -> None:
        members["manifest.json"] = members["manifest.json"].replace(b'"count":21', b'"count":20')

    _, bad = verify_bundle(remade(source, tmp_path / "b.zip", change, sign=False))
    assert bad is not None
    assert "wasn't signed with the key" in bad.words


def test_a_zip_that_grows_without_end_is_not_unpacked(source: Path, tmp_path: Path) -> None:
    bomb = with_entries(lambda _: [" " * 30_000_000])
    _, bad = verify_bundle(remade(source, tmp_path / "b.zip", bomb))
    assert bad is not None
    assert "would grow beyond" in bad.words
    with ZipFile(source / "bundle.zip") as old, ZipFile(tmp_path / "c.zip", "w") as new:
        for name in old.namelist():
            new.writestr(ZipInfo(name), old.read(name), ZIP_BZIP2)
    _, bad = verify_bundle(tmp_path / "c.zip")
    assert bad is not None
    assert "packed in a way" in bad.words


def test_a_member_twice_is_refused(source: Path, tmp_path: Path) -> None:
    shutil.copy(source / "bundle.zip", tmp_path / "b.zip")
    with pytest.warns(UserWarning, match="Duplicate name"), ZipFile(tmp_path / "b.zip", "a") as bundle:
        bundle.writestr("entries.jsonl", b"")
    _, bad = verify_bundle(tmp_path / "b.zip")
    assert bad is not None
    assert "names a member twice" in bad.words


def test_no_broken_bundle_passes_or_breaks_the_program(source: Path, tmp_path: Path) -> None:
    """Bytes changed, dropped, doubled or swapped at random: refused, or as whole as before."""
    whole = (source / "bundle.zip").read_bytes()
    manifest, _ = verify_bundle(source / "bundle.zip")
    draws = random.Random(20300501)
    path, refused = tmp_path / "b.zip", 0
    for _ in range(TRIES):
        path.write_bytes(broken(whole, draws))
        found, bad = verify_bundle(path)
        refused += bad is not None
        assert bad is not None or found == manifest
    assert refused > TRIES / 2


def broken(whole: bytes, draws: random.Random) -> bytes:
    content = bytearray(whole)
    for _ in range(draws.choice((1, 1, 1, 3))):
        start = draws.choice((draws.randrange(len(content)), max(0, len(content) - draws.randrange(1, 800))))
        end = min(len(content), start + draws.choice((1, 1, 2, 8, 200)))
        change = draws.randrange(5)
        if change == 0:
            content[start:end] = draws.randbytes(end - start)
        elif change == 1:
            del content[start:end]
        elif change == 2:
            content[start:start] = content[start:end]
        elif change == 3:
            content[start] ^= 1 << draws.randrange(8)
        else:
            content[start:end] = b"\xff" * (end - start)
    return bytes(content)
