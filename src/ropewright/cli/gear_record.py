"""`ropewright gear verify`, `head`, `backup`, `restore`, `bundle`, `open-bundle`, `rebuild`: the record as a whole."""

from __future__ import annotations

import re
import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.crew_text import as_json_text, head_json
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.options import json_option
from ropewright.cli.store_options import open_store
from ropewright.errors import InputError

if TYPE_CHECKING:
    from ropewright.store.bundle_reading import Manifest
    from ropewright.store.chain import Break
    from ropewright.store.entry import Head

__all__ = ["backup", "bundle", "head", "open_bundle", "rebuild", "restore", "verify"]

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command(epilog="Example: ropewright gear verify --head 1204:9f2c...e1 --json")
@click.option("--head", "printed", metavar="COUNT:HASH", help="From a print, an export or a backup: finds a cut tail.")
@click.option("--bundle", "bundle_file", type=_FILE, metavar="FILE", help="Verify a signed bundle, not the record.")
@click.option("--entries-only", is_flag=True, help="Only the chain of entries: much faster where there are very many.")
@json_option
@click.pass_context
@shows_input_errors
def verify(
    ctx: click.Context, /, *, printed: str | None, bundle_file: Path | None, entries_only: bool, as_json: bool
) -> None:
    """Prove that no entry was altered, dropped, reordered or inserted, or name the first that was.

    States, photos and the tables themselves are held against the entries too. Exit status 0: whole. 1: broken.
    The chain alone can't tell that its last entries were cut off, or that all of it was made anew: give --head with
    what was printed or exported earlier.
    """
    against = None if printed is None else _read_head(printed)
    told = (
        _of_record(ctx, against, entries_only=entries_only) if bundle_file is None else _of_bundle(bundle_file, against)
    )
    bad = told["first_bad"]
    if as_json:
        click.echo(as_json_text(told))
    elif bad is None:
        click.echo(f"whole: {_in_words(told['count'], told['hash'])}")
        if bundle_file is not None:
            click.echo(f"signed with the key {told['key']}, made {told['made']}")
    else:
        click.echo(f"broken: {bad['words']}")
    sys.exit(0 if bad is None else 1)


def _of_record(ctx: click.Context, printed: Head | None, *, entries_only: bool) -> dict[str, Any]:
    from ropewright.store.chain import Break
    from ropewright.store.database import DamagedError
    from ropewright.store.verify import verify as verified
    from ropewright.store.verify import verify_entries

    try:
        record = open_store(ctx, create=False)
        verdict = (verify_entries if entries_only else verified)(record, printed)
    except DamagedError as error:
        bad = Break("tables", None, "unreadable", f"the record can't be read: {error.expected}")
        return {"whole": False, "count": None, "hash": None, "first_bad": asdict(bad)}
    return _told(verdict.count, verdict.hash, verdict.first_bad)


def _of_bundle(path: Path, printed: Head | None) -> dict[str, Any]:
    from ropewright.store.bundle_reading import verify_bundle

    manifest, bad = verify_bundle(path, printed)
    if manifest is None:
        return _told(None, None, bad) | {"key": None, "public_key": None, "made": None}
    return _told(manifest.head.count, manifest.head.hash, bad) | _signed(manifest)


def _told(count: int | None, digest: str | None, bad: Break | None) -> dict[str, Any]:
    return {"whole": bad is None, "count": count, "hash": digest, "first_bad": None if bad is None else asdict(bad)}


def _signed(manifest: Manifest) -> dict[str, Any]:
    return {"key": manifest.fingerprint, "public_key": manifest.public_key, "made": manifest.made}


def _read_head(text: str) -> Head:
    """Count and hash of a print."""
    from ropewright.store.entry import Head

    found = re.fullmatch(r"\s*(\d{1,15})\s*:\s*([0-9a-fA-F]{64})\s*", text)
    if found is None:
        raise InputError("--head", text, "give the count and the 64 digits of the last hash as printed: COUNT:HASH")
    return Head(int(found[1]), found[2].lower())


def _in_words(count: int, digest: str) -> str:
    return f"{count:,} {'entry' if count == 1 else 'entries'}, head {count}:{digest}"


def _say(told: dict[str, Any], line: str, *, as_json: bool) -> None:
    click.echo(as_json_text(told) if as_json else line)


@click.command(epilog="Example: ropewright gear head")
@json_option
@click.pass_context
@shows_input_errors
def head(ctx: click.Context, /, *, as_json: bool) -> None:
    """Say how many entries there are and the hash of the last: write both down, and verify against them later."""
    with open_store(ctx, create=False).read() as view:
        now = view.head()
    _say({"head": head_json(now)}, f"{now.count}:{now.hash}", as_json=as_json)


@click.command(epilog="Example: ropewright gear backup record-2030-05-01.db")
@click.argument("file", type=_FILE)
@json_option
@click.pass_context
@shows_input_errors
def backup(ctx: click.Context, /, *, file: Path, as_json: bool) -> None:
    """Write a copy of the whole record to one file: entries, photos, jobs.

    An earlier backup of the same record is replaced; any other file is left alone. No backup is made of a record that
    isn't whole.
    """
    from ropewright.store.backup import back_up

    now = back_up(open_store(ctx, create=False), file)
    told = {"file": str(file), "head": head_json(now)}
    _say(told, f"wrote {file}: {_in_words(now.count, now.hash)}", as_json=as_json)


@click.command(epilog="Example: ropewright --store new.db gear restore record-2030-05-01.db")
@click.argument("file", type=_FILE)
@json_option
@click.pass_context
@shows_input_errors
def restore(ctx: click.Context, /, *, file: Path, as_json: bool) -> None:
    """Make the record anew from a backup, all of it or nothing.

    The place given by --store must be empty, or hold the beginning of what the backup holds.
    """
    from ropewright.store.backup import restore_into

    now, new = restore_into(lambda: open_store(ctx), file)
    told = {"file": str(file), "head": head_json(now), "new": new}
    _say(told, f"restored {file}: {_in_words(now.count, now.hash)}; {new:,} of them new here", as_json=as_json)


@click.command(epilog="Example: ropewright gear bundle for-the-inspector.zip")
@click.argument("file", type=_FILE)
@json_option
@click.pass_context
@shows_input_errors
def bundle(ctx: click.Context, /, *, file: Path, as_json: bool) -> None:
    """Write a signed bundle of entries and photos that verifies on its own.

    The key that signs is made on first use and kept beside the record; give its fingerprint to those who verify, by
    another way than the bundle.
    """
    from ropewright.store.bundle import write_bundle
    from ropewright.store.signing import fingerprint

    now, public = write_bundle(open_store(ctx, create=False), file)
    key = fingerprint(public)
    told = {"file": str(file), "head": head_json(now), "key": key, "public_key": public.hex()}
    line = f"wrote {file}: {_in_words(now.count, now.hash)}"
    _say(told, f"{line}\nsigned with the key {key}\n(its public half is {public.hex()})", as_json=as_json)


@click.command(name="open-bundle", epilog="Example: ropewright --store copy.db gear open-bundle for-the-inspector.zip")
@click.argument("file", type=_FILE)
@json_option
@click.pass_context
@shows_input_errors
def open_bundle(ctx: click.Context, /, *, file: Path, as_json: bool) -> None:
    """Verify a signed bundle and read it into the record, all of it or nothing.

    The place given by --store must be empty, or hold the beginning of what the bundle holds.
    """
    from ropewright.store.bundle_reading import proved_bundle, take_in

    proved = proved_bundle(file)  # before a place is made for what isn't there
    manifest, new = take_in(open_store(ctx), file, proved)
    told = {"file": str(file), "head": head_json(manifest.head), "new": new, **_signed(manifest)}
    line = f"read {file}: {_in_words(manifest.head.count, manifest.head.hash)}; {new:,} of them new here"
    _say(told, f"{line}\nsigned with the key {manifest.fingerprint}", as_json=as_json)


@click.command(epilog="Example: ropewright gear rebuild")
@json_option
@click.pass_context
@shows_input_errors
def rebuild(ctx: click.Context, /, *, as_json: bool) -> None:
    """Work out the states of all gear and people anew from the entries, where `verify` found one that doesn't follow.

    Entries aren't touched.
    """
    count = open_store(ctx, create=False).rebuild()
    _say({"states": count}, f"worked out {count:,} states anew", as_json=as_json)
