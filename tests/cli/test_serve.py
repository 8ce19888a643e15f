"""`ropewright serve`: listens here alone, lets in by the link it prints, and says what is wrong before it serves."""

from __future__ import annotations

import socket
import subprocess
import sys
from pathlib import Path

import httpx
import pytest
from click.testing import CliRunner

from ropewright.cli.main import main

COMMAND = str(Path(sys.executable).with_name("ropewright"))


@pytest.fixture
def served(tmp_path):
    """Link that a running server printed."""
    command = [COMMAND, "--store", str(tmp_path / "record.db"), "serve", "--port", "0", "--no-browser"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    yield process.stdout.readline().split()[1]
    process.terminate()
    process.communicate(timeout=30)


def test_link_that_is_printed_admits_once(served):
    address = served.split("/enter")[0]
    assert httpx.get(f"{address}/healthz").json() == {"status": "ok"}
    with httpx.Client() as client:
        assert client.get(served).status_code == 303
        assert client.get(f"{address}/").status_code == 200
    assert httpx.get(served).status_code == 401


def test_nobody_else_is_listened_to(served):
    port = int(served.split("/enter")[0].rpartition(":")[2])
    own = socket.gethostbyname(socket.gethostname())
    if own.startswith("127."):
        pytest.skip("this machine has no other address")
    with socket.socket() as caller:
        assert caller.connect_ex((own, port)) != 0


def test_port_that_is_taken_is_named():
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        done = CliRunner().invoke(main, ["serve", "--port", port, "--no-browser"])
    assert done.exit_code == 2
    assert f"--port: got {port}; give a port that is free" in done.stderr


def test_store_that_can_not_be_opened_is_told_before_anything_is_served(tmp_path):
    place = tmp_path / "notes.txt"
    place.write_text("no record at all, and long enough to be none" * 99, encoding="utf-8")
    done = CliRunner().invoke(main, ["--store", str(place), "serve", "--port", "0", "--no-browser"])
    assert done.exit_code == 2
    assert "Open http" not in done.stdout
    assert "notes.txt" in done.stderr
