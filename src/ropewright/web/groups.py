"""The groups of pages, in the order of the sheet index; one line each."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module

from fastapi import APIRouter

from ropewright.web.words import N_

__all__ = ["GROUPS", "PageGroup"]


@dataclass(frozen=True, slots=True)
class PageGroup:
    """Pages that belong together, or the part of the JSON interface beside them.

    Parameters
    ----------
    module : str
        Holds `router`, an `APIRouter`; imported when the app is made, so that its own heavy imports stand inside
        the functions that need them.
    prefix : str
        What their addresses begin with; under ``/api`` it is part of the JSON interface.
    name : str
        In the sheet index and the navigation; empty: in neither.
    about : str
        One line in the sheet index.
    """

    module: str
    prefix: str
    name: str = ""
    about: str = ""

    def router(self) -> APIRouter:
        """Return the routes of the group."""
        router: APIRouter = import_module(self.module).router
        return router


GROUPS: tuple[PageGroup, ...] = (
    PageGroup("ropewright.web.home", ""),
    PageGroup("ropewright.web.static_files", ""),
    PageGroup(
        "ropewright.web.jobs.pages",
        "/jobs",
        N_("Jobs"),
        N_("Roofs with their anchors, lines and crew: what holds, what does not, and what mends it."),
    ),
    PageGroup("ropewright.web.drawing.file_pages", "/jobs"),
    PageGroup("ropewright.web.jobs.guided_pages", "/jobs"),
    PageGroup("ropewright.web.jobs.plan_pages", "/jobs"),
    PageGroup("ropewright.web.jobs.compare_pages", "/jobs"),
    PageGroup("ropewright.web.jobs.anchor_pages", "/jobs"),
    PageGroup("ropewright.web.jobs.api", "/api/jobs"),
    PageGroup("ropewright.web.drawing.pages", "/jobs"),
    PageGroup("ropewright.web.drawing.api", "/api/drawing"),
    PageGroup("ropewright.web.drafts", "/drafts"),
    PageGroup("ropewright.web.work_pages", "/work"),
    PageGroup("ropewright.web.work_api", "/api/work"),
    PageGroup("ropewright.web.gear.pages", "/gear", N_("Gear"), N_("Ropes and hardware from purchase to the bin.")),
    PageGroup("ropewright.web.gear.inspect_pages", "/gear"),
    PageGroup("ropewright.web.crew.pages", "/crew", N_("Crew"), N_("People, their training, and what is missing.")),
    PageGroup(
        "ropewright.web.rope.pages", "/rope", N_("Rope bench"), N_("What rope is worth, how to cut, stow and tie it.")
    ),
    PageGroup("ropewright.web.fall.pages", "/fall", N_("Fall bench"), N_("What one fall does, for a class.")),
    PageGroup("ropewright.web.rules.pages", "/rules", N_("Rules"), N_("The packs clause by clause, and side by side.")),
)
