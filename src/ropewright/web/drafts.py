"""What is being typed is kept as it is typed, so that a reload or a lost connection loses nothing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Path
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from ropewright.web.forms import Posted
from ropewright.web.security_session import CurrentUser, current_user
from ropewright.web.store import StoreOf

__all__ = ["FormKey", "Typed", "drop_typed", "router", "typed"]

FormKey = Annotated[str, Path(pattern="^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60)]

#: Most characters of one form.
_MOST = 1 << 20

router = APIRouter()


@dataclass(frozen=True, slots=True)
class Typed:
    """Texts of a form: those typed before, or those it begins with; `since` is when they were kept."""

    texts: dict[str, str]
    since: datetime | None


def typed(request: Request, form: str, texts: dict[str, str]) -> Typed:
    """Texts of a form as somebody left it; those given if they didn't begin.

    Parameters
    ----------
    request : Request
    form : str
        Its key: ``job-new``, ``job-3-text``.
    texts : dict
        What it begins with.
    """
    draft = request.app.state.store.drafts.find(current_user(request).name, form)
    return Typed(texts, None) if draft is None else Typed({**texts, **draft.fields}, draft.updated)


def drop_typed(request: Request, form: str) -> None:
    """Forget what was typed into a form: it was sent."""
    request.app.state.store.drafts.drop(current_user(request).name, form)


@router.post("/{form}")
def keep(form: FormKey, sent: Posted, store: StoreOf, user: CurrentUser) -> Response:
    """Keep what stands in a form."""
    texts = sent.texts()
    if sum(len(name) + len(text) for name, text in texts.items()) > _MOST:
        raise HTTPException(413)
    return JSONResponse({"kept": store.drafts.keep(user.name, form, texts).isoformat()})


@router.post("/{form}/drop")
def drop(form: FormKey, store: StoreOf, user: CurrentUser) -> Response:
    """Forget what was typed, and begin again."""
    store.drafts.drop(user.name, form)
    return RedirectResponse("/", status_code=303)
