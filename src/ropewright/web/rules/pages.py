"""Pages of the rules packs: which there are, one of them clause by clause, several side by side."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from fastapi import APIRouter, Query
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse

from ropewright.web.view import render

if TYPE_CHECKING:
    from ropewright.rules import Allowance, Comparison, Definition, Limit, Pack

__all__ = ["ComparePage", "Packs", "RulesPage", "Said", "Topic", "router"]

router = APIRouter()

#: Most packs side by side.
_MOST = 5


@dataclass(frozen=True)
class Topic:
    """One fact, with what a pack asks about it."""

    fact: str
    question: str
    meaning: str
    limits: tuple[Limit, ...]


@dataclass(frozen=True)
class Packs:
    """All packs."""

    packs: tuple[Pack, ...]


class Said:
    """What a limit asks and where it stands, for the templates."""

    @staticmethod
    def demand(limit: Limit) -> str:
        """Return what it asks, with the names of facts as words."""
        from ropewright.rules.words import demand_text

        return demand_text(limit).replace("_", " ")

    @staticmethod
    def cases(conditions: Iterable[object]) -> str:
        """Return conditions that must be met together."""
        return " and ".join(map(str, conditions)).replace("_", " ")

    @staticmethod
    def cited(one: Limit | Definition | Allowance) -> str:
        """Return its document and clause."""
        from ropewright.rules.words import cited

        return cited(one.source, one.confidence)


@dataclass(frozen=True)
class RulesPage(Said):
    """One pack, by fact.

    Parameters
    ----------
    pack : Pack
    topics : tuple of Topic
        Those that hold the words searched for; all if none were.
    search : str
    """

    pack: Pack
    topics: tuple[Topic, ...]
    search: str


@dataclass(frozen=True)
class ComparePage(Said):
    """Several packs side by side.

    Parameters
    ----------
    all_packs, packs : tuple of Pack
        That there are, and that are compared.
    rows : tuple of (Topic, Comparison)
    search : str
    only_differing : bool
    """

    all_packs: tuple[Pack, ...]
    packs: tuple[Pack, ...]
    rows: tuple[tuple[Topic, Comparison], ...]
    search: str
    only_differing: bool


def _packs() -> tuple[Pack, ...]:
    from ropewright.rules import load_pack, pack_names

    return tuple(load_pack(name) for name in pack_names())


def _topic(fact: str, limits: Sequence[Limit]) -> Topic:
    from ropewright.rules import FACTS

    known = FACTS[fact]
    return Topic(fact, known.question, known.meaning, tuple(limits))


def _speaks_of(topic: Topic, search: str) -> bool:
    """Whether every word searched for stands somewhere in a topic, its limits or their clauses."""
    limits = " ".join(f"{one.id} {one.summary} {one.source.document} {one.source.clause}" for one in topic.limits)
    text = f"{topic.fact.replace('_', ' ')} {topic.question} {topic.meaning} {limits}".casefold()
    return all(word in text for word in search.casefold().split())


@router.get("", include_in_schema=False)
def index(request: Request) -> HTMLResponse:
    """List the packs."""
    return render(request, "rules/index.html", Packs(_packs()))


@router.get("/compare", include_in_schema=False)
def compare(
    request: Request,
    pack: Annotated[list[str] | None, Query()] = None,
    search: Annotated[str, Query(max_length=100)] = "",
    differing: str = "",
) -> HTMLResponse:
    """Set packs side by side, fact by fact."""
    from ropewright.rules import compare as compare_packs

    known = _packs()
    chosen = tuple(one for one in known if one.id in (pack or ()))[:_MOST] or known[-2:]
    rows = []
    for row in compare_packs(chosen):
        topic = _topic(row.fact, [limit for cell in row.limits for limit in cell])
        if _speaks_of(topic, search) and not (differing == "yes" and _agree(row)):
            rows.append((topic, row))
    page = ComparePage(known, chosen, tuple(rows), search, differing == "yes")
    return render(request, "rules/compare.html", page)


def _agree(row: Comparison) -> bool:
    """Whether all packs ask the same of a fact, in the same words."""
    from ropewright.rules.words import demand_text

    said = [sorted(demand_text(limit) for limit in cell) for cell in row.limits]
    return all(one == said[0] for one in said)


@router.get("/{pack}", include_in_schema=False, name="rules_pack")
def pack_page(request: Request, pack: str, search: Annotated[str, Query(max_length=100)] = "") -> HTMLResponse:
    """Show one pack clause by clause."""
    found = next((one for one in _packs() if one.id == pack), None)
    if found is None:
        raise HTTPException(404)
    topics = (_topic(fact, [limit for limit in found.limits if limit.fact == fact]) for fact in found.facts)
    kept = tuple(topic for topic in topics if _speaks_of(topic, search))
    return render(request, "rules/pack.html", RulesPage(found, kept, search))
