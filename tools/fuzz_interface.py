#!/usr/bin/env python3
"""Ask the JSON interface what nobody would: schemathesis over /openapi.json for a bounded number of examples.

    python tools/fuzz_interface.py [EXAMPLES]    # for each operation; 25 if left out. Exit status 1: something broke

The server runs on a store in a temporary folder that holds the invented example.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from pathlib import Path

import httpx

TOOLS = Path(sys.executable).parent
CHECKS = "not_a_server_error,response_schema_conformance,content_type_conformance"


def main(arguments: list[str]) -> int:
    examples = arguments[0] if arguments else "25"
    with tempfile.TemporaryDirectory() as folder:
        serve = [str(TOOLS / "ropewright"), "--store", f"{folder}/record.db", "serve", "--no-browser", "--port", "0"]
        with subprocess.Popen(serve, stdout=subprocess.PIPE, text=True) as server:
            assert server.stdout is not None
            link = server.stdout.readline().split()[1]
            try:
                return fuzz(link, examples)
            finally:
                server.terminate()


def fuzz(link: str, examples: str) -> int:
    address = link.split("/enter", maxsplit=1)[0]
    with httpx.Client(base_url=address, timeout=60) as client:
        client.get(link)
        found = re.search(r'name="csrf-token" content="([^"]+)"', client.get("/settings").text)
        assert found
        client.headers["x-csrf-token"] = found[1]
        client.post("/settings", data={"person": "A. Roofer"})
        client.post("/jobs/example")
        cookies = "; ".join(f"{name}={value}" for name, value in client.cookies.items())
    command = [str(TOOLS / "schemathesis"), "run", f"{address}/openapi.json", "--max-examples", examples]
    command += ["-H", f"Cookie: {cookies}", "-H", f"X-CSRF-Token: {found[1]}", "--checks", CHECKS]
    return subprocess.run([*command, "--request-timeout", "60"], check=False).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
