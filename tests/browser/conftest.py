"""A real browser on a real server: Chromium, the app in a thread on a free port, a store of its own."""

from __future__ import annotations

import os
import shutil
import socket
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

#: Set to anything, and screenshots are written to docs/images/web/; set to ``all``, those in the dark too.
SHOTS = "ROPEWRIGHT_SCREENSHOTS"
FOLDER = Path(__file__).parents[2] / "docs/images/web"
#: Longest picture that is kept; what is further down is looked at in the browser. [px]
LONGEST = 2400
WIDTHS = {"wide": (1280, 900), "phone": (390, 844)}
_ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip


@dataclass
class Site:
    """A server that runs, and its app."""

    address: str
    link: str
    app: Any


@dataclass
class Watch:
    """What a page asked for and complained of."""

    addresses: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def on(self, page: Page) -> None:
        page.on("request", lambda request: self.addresses.append(request.url))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("console", lambda said: self.complaints.append(said.text) if said.type == "error" else None)

    def check(self) -> None:
        """Nothing left this machine, and nothing was complained of but the statuses of refused forms."""
        outside = [one for one in self.addresses if urlsplit(one).hostname not in (None, "127.0.0.1")]
        assert outside == []
        refused = "Failed to load resource: the server responded with a status of 4"
        assert [one for one in self.complaints if not one.startswith(refused)] == []


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """The browser, once for all tests."""
    found = shutil.which("chromium")
    if found is None:
        pytest.skip("Chromium is not installed")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=_ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    """The app on a free port, with a store in a temporary folder."""
    import uvicorn

    from ropewright.web.app import create_app
    from ropewright.web.settings import Settings

    with socket.create_server(("127.0.0.1", 0)) as ear:
        settings = Settings(place=str(tmp_path / "record.db"), port=ear.getsockname()[1])
        app = create_app(settings)
        config = uvicorn.Config(app, log_level="warning", access_log=False, ws="none", timeout_graceful_shutdown=1)
        server = uvicorn.Server(config)
        thread = Thread(target=server.run, kwargs={"sockets": [ear]}, daemon=True)
        thread.start()
        yield Site(f"http://127.0.0.1:{settings.port}", settings.link, app)
        server.should_exit = True
        thread.join(timeout=20)
        assert not thread.is_alive()


@pytest.fixture
def context(chromium: Browser, site: Site) -> Iterator[BrowserContext]:
    """Somebody's browser with cookies of its own, let in under the name A. Roofer."""
    context = chromium.new_context(base_url=site.address, locale="en-GB")
    context.set_default_timeout(15_000)
    page = context.new_page()
    page.goto(site.link)
    page.get_by_label("Your name").fill("A. Roofer")
    page.get_by_role("button", name="Save").click()
    page.wait_for_url(f"{site.address}/")
    page.close()
    yield context
    context.close()


@pytest.fixture
def browser_page(context: BrowserContext) -> Iterator[Page]:
    """A page that must fetch nothing from outside and complain of nothing."""
    page = context.new_page()
    watch = Watch()
    watch.on(page)
    yield page
    watch.check()


@pytest.fixture(scope="session")
def axe_script() -> str:
    """axe-core, from the package that carries it."""
    import axe_playwright_python

    return (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")


@pytest.fixture
def violations(axe_script: str) -> Callable[[Page], list[str]]:
    """What axe-core finds wrong with a page by WCAG 2.2 A and AA and its best practices; nothing is right."""

    def found(page: Page) -> list[str]:
        # evaluated over the debugging protocol, so that the page's own policy need not be loosened for it
        page.evaluate(axe_script)
        tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
        result = page.evaluate("tags => axe.run({runOnly: {type: 'tag', values: tags}})", tags)
        return [
            f"{one['id']} ({one['impact']}): {node['target']} {node['failureSummary']}"
            for one in result["violations"]
            for node in one["nodes"]
        ]

    return found


@pytest.fixture
def looked_at(browser_page: Page, violations: Callable[[Page], list[str]]) -> Callable[..., None]:
    """Look at a page on both widths, light and dark: no violation, nothing cut off at the side; keep a shot if asked.

    `looked_at(name)` looks at the page as it stands; `looked_at(name, path)` goes there first.
    """

    def look(name: str, path: str | None = None) -> None:
        page = browser_page
        if path is not None:
            page.goto(path)
        for width, size in WIDTHS.items():
            page.set_viewport_size({"width": size[0], "height": size[1]})
            for scheme in ("light", "dark"):
                page.emulate_media(color_scheme=scheme)
                page.evaluate("document.fonts.ready")
                assert violations(page) == [], f"{name}, {width}, {scheme}"
                if scheme == "light" or os.environ.get(SHOTS) == "all":
                    shoot(page, f"{name}-{width}-{scheme}")
            room = page.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]")
            assert room[0] <= room[1], f"{name} is cut off at the side on {width}"
        page.emulate_media(color_scheme="light")
        page.set_viewport_size({"width": 1280, "height": 900})

    return look


def shoot(page: Page, name: str, **more: Any) -> None:
    """Keep a picture of a page in the docs, if the environment asks for it: 64 colours are plenty for one ink."""
    from PIL import Image

    if os.environ.get(SHOTS):
        taken = Image.open(BytesIO(page.screenshot(full_page=True, **more)))
        shown = taken.crop((0, 0, taken.width, min(taken.height, LONGEST)))
        few = shown.convert("RGB").quantize(64, dither=Image.Dither.NONE)
        FOLDER.mkdir(parents=True, exist_ok=True)
        few.save(FOLDER / f"{name}.png", optimize=True)


@pytest.fixture
def shot() -> Callable[..., None]:
    """`shot(page, name)`: keep a picture, if the environment asks for it."""
    return shoot
