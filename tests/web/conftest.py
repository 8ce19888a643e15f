"""What tests of the pages share: an app on a store of its own, and somebody who is let in."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from ropewright.web.app import create_app
from ropewright.web.settings import Settings
from ropewright.web.work import FullError, Works

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it would rather have another client beneath it, which isn't installed
    from fastapi.testclient import TestClient

PORT = 8010
ADDRESS = f"http://127.0.0.1:{PORT}"


class Client(TestClient):
    """Somebody at a browser: keeps cookies, and sends the token of their forms where it is asked to."""

    def token(self, page: str = "/settings") -> str:
        """Token that the forms of this session carry."""
        return form_token(self.get(page).text)

    def send(self, url: str, fields: Mapping[str, Any] | None = None, **more: Any) -> Any:  # type: ignore[override]
        """Post a form with its token."""
        if not isinstance(url, str):
            return super().send(url, **more)  # the library's own
        return self.post(url, data={"csrf_token": self.token(), **(fields or {})}, **more)

    def api(self, method: str, url: str, json: object = None) -> Any:
        """Ask the JSON interface."""
        return self.request(method, url, json=json, headers={"x-csrf-token": self.token()})


def form_token(text: str) -> str:
    """Token in a page."""
    found = re.search(r'name="csrf-token" content="([^"]+)"', text)
    assert found, "the page carries no token"
    return found[1]


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    return Settings(place=str(tmp_path / "record.db"), port=PORT)


@pytest.fixture
def stranger(settings: Settings) -> Iterator[Client]:
    """Somebody who has not opened the link."""
    with Client(create_app(settings), base_url=ADDRESS, follow_redirects=False) as client:
        yield client


@pytest.fixture
def client(stranger: Client, settings: Settings) -> Client:
    """Somebody who has, and gave the name A. Roofer."""
    assert stranger.get(settings.link).status_code == 303
    assert stranger.send("/settings", {"person": "A. Roofer"}).status_code == 303
    return stranger


@pytest.fixture(scope="session")
def client_kind() -> type[Client]:
    """What somebody at a browser is made of, for tests that need another."""
    return Client


@pytest.fixture(scope="session")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Client]:
    """Somebody who is let in to a store with something of everything in it; to look, not to change."""
    from filled_store import fill

    settings = Settings(place=str(tmp_path_factory.mktemp("filled") / "record.db"), port=PORT)
    with Client(create_app(settings), base_url=ADDRESS, follow_redirects=False) as client:
        client.get(settings.link)
        client.send("/settings", {"person": "A. Roofer"})
        fill(client)
        yield client


@pytest.fixture
def idle(monkeypatch: pytest.MonkeyPatch) -> None:
    """No long work is begun: its process would take the machine from tests that don't ask what it does."""

    def full(*_order: object, **_more: object) -> None:
        raise FullError

    monkeypatch.setattr(Works, "start", full)
