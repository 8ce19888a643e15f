"""A PostgreSQL server of the tests' own, on a socket in a folder of its own."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

PROGRAMS = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))


@contextmanager
def running_server() -> Iterator[str]:
    """Folder of the socket of a server that runs while the block does."""
    folder = Path(tempfile.mkdtemp(prefix="pg-", dir="/tmp"))  # a socket's path must be short
    programs = PROGRAMS[-1].parent
    # the server refuses to run as root; a user of its own is there wherever it is installed
    user = {"user": "postgres", "group": "postgres", "extra_groups": []} if os.geteuid() == 0 else {}
    if user:
        shutil.chown(folder, "postgres", "postgres")
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "cwd": folder, **user}
    try:
        making = [
            programs / "initdb",
            "--no-sync",
            "-A",
            "trust",
            "-U",
            "crew",
            "-E",
            "UTF8",
            "--locale=C",
            "-D",
            "data",
        ]
        subprocess.run(making, check=True, **quiet)
        options = f"-F -k {folder} -c listen_addresses= -c max_connections=40 -c wal_level=minimal -c max_wal_senders=0"
        control = [programs / "pg_ctl", "-D", "data", "-w"]
        subprocess.run([*control, "-o", options, "-l", folder / "log", "start"], check=True, **quiet)
        try:
            yield str(folder)
        finally:
            subprocess.run([*control, "-m", "immediate", "stop"], check=True, **quiet)
    finally:
        shutil.rmtree(folder)


def new_database(socket: str, name: str) -> str:
    """URL of a place of its own for a record: a schema, which is made in a thousandth of a database's time."""
    import psycopg

    with psycopg.connect(host=socket, user="crew", dbname="postgres", autocommit=True) as connection:
        connection.execute(f"CREATE SCHEMA {name}")
    return f"postgresql://crew@/postgres?host={socket}&options=-csearch_path%3D{name}"
