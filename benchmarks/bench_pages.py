"""How long the pages take: start of `serve`, the first page in Chromium, and 50 readers at once on one process.

Run it on an idle machine. The readers ask for the list of jobs and a plan that was worked out; each asks 20 times.
"""

from __future__ import annotations

import asyncio
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import httpx
from playwright.sync_api import sync_playwright

COMMAND = str(Path(sys.executable).with_name("ropewright"))
READERS, TIMES = 50, 20


class Server:
    """`ropewright serve` as a process, and somebody who is let in."""

    def __init__(self, folder: str) -> None:
        started = time.perf_counter()
        command = [COMMAND, "--store", f"{folder}/record.db", "serve", "--no-browser", "--port", "0"]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert self.process.stdout is not None
        self.link = self.process.stdout.readline().split()[1]
        self.address = self.link.split("/enter")[0]
        httpx.get(f"{self.address}/healthz").raise_for_status()
        self.start_seconds = time.perf_counter() - started

    def cpu_seconds(self) -> float:
        """Processor time that the server took so far; Linux alone tells it so."""
        fields = Path(f"/proc/{self.process.pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def enter(self) -> httpx.Client:
        """Somebody who came by the link and gave a name."""
        client = httpx.Client(base_url=self.address, timeout=60)
        client.get(self.link)
        found = re.search(r'name="csrf-token" content="([^"]+)"', client.get("/settings").text)
        assert found
        client.headers["x-csrf-token"] = found[1]
        client.post("/settings", data={"person": "A. Roofer"})
        return client


def first_page(address: str, cookies: httpx.Cookies) -> tuple[float, int]:
    """Seconds until everything is there, and bytes on the way, of the first page in a fresh browser."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        context = browser.new_context(base_url=address)
        context.add_cookies([{"name": name, "value": value, "url": address} for name, value in cookies.items()])
        page = context.new_page()
        sizes: list[int] = []
        page.on("requestfinished", lambda request: sizes.append(request.sizes()["responseBodySize"]))
        started = time.perf_counter()
        page.goto("/", wait_until="load")
        page.evaluate("document.fonts.ready")
        seconds = time.perf_counter() - started
        page.wait_for_timeout(500)
        browser.close()
    return seconds, sum(sizes)


async def readers(address: str, cookies: httpx.Cookies) -> list[float]:
    """Seconds of every answer to readers who ask at once."""

    async def read(client: httpx.AsyncClient) -> list[float]:
        took = []
        for number in range(TIMES):
            started = time.perf_counter()
            (await client.get("/jobs" if number % 2 else "/jobs/1")).raise_for_status()
            took.append(time.perf_counter() - started)
        return took

    limits = httpx.Limits(max_connections=READERS)
    async with httpx.AsyncClient(base_url=address, cookies=cookies, limits=limits, timeout=60) as client:
        done = await asyncio.gather(*(read(client) for _ in range(READERS)))
    return [one for took in done for one in took]


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        starts = []
        for number in range(5):
            server = Server(f"{folder}")
            starts.append(server.start_seconds)
            if number < 4:
                server.process.terminate()
                server.process.wait()
        print(f"serve, to the first answer      {statistics.median(starts):6.2f} s")
        client = server.enter()
        seconds, size = first_page(server.address, client.cookies)
        print(f"first page in Chromium          {seconds:6.2f} s  {size / 1000:6.0f} kB   (goals: 1 s, 300 kB)")
        client.post("/jobs/example")
        started = time.perf_counter()
        while "data-work" in client.get("/jobs/1").text:
            time.sleep(0.1)
        print(f"first plan, process included    {time.perf_counter() - started:6.2f} s")
        used = server.cpu_seconds()
        took = sorted(asyncio.run(readers(server.address, client.cookies)))
        p95 = took[int(0.95 * len(took))]
        middle = took[len(took) // 2]
        print(f"{READERS} readers, {len(took)} answers  p50 {middle:.3f} s  p95 {p95:.3f} s   (goal: 0.3 s)")
        each = (server.cpu_seconds() - used) / len(took)
        print(f"the server's own time           {each * 1000:6.2f} ms an answer; the readers share its machine")
        server.process.terminate()


if __name__ == "__main__":
    main()
