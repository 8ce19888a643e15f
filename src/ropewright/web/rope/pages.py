"""The rope bench: its list, and a page for each bench."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse

from ropewright.web.rope import cut
from ropewright.web.rope.bench import add_bench
from ropewright.web.rope.knots import KNOT
from ropewright.web.rope.take import CHOOSE, STOW
from ropewright.web.rope.worth import BATCH, JUDGE, STRETCH
from ropewright.web.view import render
from ropewright.web.words import N_

__all__ = ["BenchList", "router"]

router = APIRouter()

_CUT = ("cut", N_("Cut"), N_("Lines with their ends off the spools in stock, with the least waste, and its labels."))


@dataclass(frozen=True)
class BenchList:
    """All benches.

    Parameters
    ----------
    benches : tuple of (str, str, str)
        Name in the address, title, what it is for.
    """

    benches: tuple[tuple[str, str, str], ...]


@router.get("", include_in_schema=False)
def benches(request: Request) -> HTMLResponse:
    """List the benches."""
    told = [(one.name, one.title, one.about) for one in (JUDGE, STRETCH, CHOOSE, BATCH, STOW, KNOT)]
    return render(request, "rope/index.html", BenchList((*told[:4], _CUT, *told[4:])))


for _bench in (JUDGE, STRETCH, CHOOSE, BATCH, STOW, KNOT):
    add_bench(router, _bench)
router.include_router(cut.router)
