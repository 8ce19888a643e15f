"""Walking through the app: every route as the app itself tells them, every page that a link leads to."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

from fastapi.routing import iter_route_contexts

#: What stands for the blanks of an address, by their names; any other gets a 1.
BLANKS = {
    "number": "1", "version": "1", "tag": "R-001", "code": "P-07", "pack": "eu-uk", "look": "inspect",
    "doing": "change", "digest": "0" * 64, "form": "job-new", "name": "css/paper.css",
}  # fmt: skip
_SAFE = {"GET", "HEAD", "OPTIONS"}
_VOID = {"input", "meta", "link", "br", "img", "hr", "base", "col", "source", "wbr"}


@dataclass(frozen=True, order=True)
class Way:
    """A method and the address it is sent to, with its blanks filled in; `route` has them blank."""

    method: str
    address: str
    route: str

    @property
    def changes(self) -> bool:
        return self.method not in _SAFE


def ways(app: Any) -> list[Way]:
    """Every method of every route of an app."""
    found = set()
    for one in iter_route_contexts(app.routes):
        assert one.path is not None
        address = re.sub(r"{(\w+)[^}]*}", lambda blank: BLANKS.get(blank[1], "1"), one.path)
        found.update(Way(method, address, one.path) for method in one.methods or ())
    assert len(found) > 30, "the app has lost its routes, or tells them otherwise"
    return sorted(found)


def told(way: Way) -> str:
    return f"{way.method} {way.route}"


@dataclass
class Sheet(HTMLParser):
    """What a page is made of, as a browser would read it."""

    text: list[str] = field(default_factory=list)
    links: set[str] = field(default_factory=set)
    tags: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    labelled: set[str] = field(default_factory=set)
    controls: list[tuple[dict[str, str], bool]] = field(default_factory=list)
    caution: str = ""

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self._open: list[tuple[str, dict[str, str]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        self.tags.append((tag, told))
        if tag == "a" and "href" in told:
            self.links.add(told["href"])
        if tag == "form" and told.get("method", "get") == "get":
            self.links.add(told.get("action", ""))
        if tag == "label" and "for" in told:
            self.labelled.add(told["for"])
        if tag in ("input", "select", "textarea") and told.get("type") not in ("hidden", "submit"):
            self.controls.append((told, any(name == "label" for name, _told in self._open)))
        if tag not in _VOID:
            self._open.append((tag, told))

    def handle_endtag(self, tag: str) -> None:
        while self._open and self._open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if any(tag in ("script", "style") for tag, _told in self._open):
            return
        self.text.append(data)
        if any("caution" in told.get("class", "") for _tag, told in self._open):
            self.caution += data

    def count(self, tag: str) -> int:
        return sum(name == tag for name, _told in self.tags)

    def unlabelled(self) -> list[dict[str, str]]:
        """Controls that nothing names."""
        return [
            told
            for told, in_label in self.controls
            if not in_label
            and told.get("id") not in self.labelled
            and not told.keys() & {"aria-label", "aria-labelledby"}
        ]


def read(html: str) -> Sheet:
    sheet = Sheet()
    sheet.feed(html)
    sheet.close()
    return sheet


def crawled(client: Any) -> Iterator[tuple[str, Any]]:
    """Every answer that a link leads to, from the sheet index and from every route without blanks."""
    left = sorted({way.address for way in ways(client.app) if way.method == "GET" and "{" not in way.route})
    left = [address for address in left if address not in ("/enter", "/openapi.json")]
    seen = set(left)
    while left:
        address = left.pop()
        answer = client.get(address, headers={"accept": "text/html"})
        yield address, answer
        assert len(seen) < 500, "links lead round and round"
        if not answer.headers.get("content-type", "").startswith("text/html"):
            continue
        for link in sorted(read(answer.text).links):
            where = link.partition("#")[0]
            if where.startswith("/") and where not in seen:
                seen.add(where)
                left.append(where)
