"""Plans of jobs as they were worked out, and what is being typed: both can be lost without loss of a job."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any

from sqlalchemy import delete, insert, select, update

from ropewright.store.database import Database
from ropewright.store.job_schema import drafts, job_plans, job_versions
from ropewright.store.jobs import Answer

__all__ = ["Draft", "Drafts", "Plan", "PlanFiles", "Plans"]

#: Plans are kept of so many versions of a job, the latest; those before are worked out again when they are asked for.
_KEPT = 6


@dataclass(frozen=True, slots=True)
class Plan:
    """A plan as it was worked out.

    Parameters
    ----------
    content : mapping
        What its page shows, JSON.
    map : str
        SVG.
    program : str
        Version of the program that worked it out.
    """

    content: Mapping[str, Any]
    map: str
    program: str


@dataclass(frozen=True, slots=True)
class PlanFiles:
    """Files of a plan, which pages don't show: ``findings.json``, and the plan on paper."""

    findings: str
    pdf: bytes


class Plans:
    """Plans in one database."""

    def __init__(self, database: Database) -> None:
        self.database = database
        self._read = lru_cache(maxsize=16)(_plan)  # many look at one plan

    def find(self, job: int, version: int, units: str, *, program: str) -> Plan | None:
        """Plan of a version; None if it was not worked out, or by another version of the program."""
        shown = select(job_plans.c.content, job_plans.c.map)
        query = shown.where(_own(job, version, units) & (job_plans.c.program == program))
        with self.database.reading() as connection:
            row = connection.execute(query).one_or_none()
        return None if row is None else self._read(row.content, row.map, program)

    def files(self, job: int, version: int, units: str) -> PlanFiles | None:
        """Files of a plan that `find` finds."""
        query = select(job_plans.c.findings, job_plans.c.pdf).where(_own(job, version, units))
        with self.database.reading() as connection:
            row = connection.execute(query).one_or_none()
        return None if row is None else PlanFiles(row.findings, bytes(row.pdf))

    def keep(self, job: int, version: int, units: str, plan: Plan, files: PlanFiles, answer: Answer) -> None:
        """Keep a plan with its files, and its answer with the version."""
        row = {"job": job, "version": version, "units": units, "findings": files.findings, "map": plan.map}
        row |= {"pdf": files.pdf, "program": plan.program, "content": json.dumps(plan.content, ensure_ascii=False)}
        of = (job_versions.c.job == job) & (job_versions.c.version == version)
        old = (job_plans.c.job == job) & (job_plans.c.version <= version - _KEPT)
        with self.database.writing() as connection:
            connection.execute(delete(job_plans).where(_own(job, version, units) | old))
            connection.execute(insert(job_plans), row)
            connection.execute(update(job_versions).where(of), {"answer": json.dumps(answer, ensure_ascii=False)})


def _plan(content: str, drawn: str, program: str) -> Plan:
    return Plan(json.loads(content), drawn, program)


def _own(job: int, version: int, units: str) -> Any:
    return (job_plans.c.job == job) & (job_plans.c.version == version) & (job_plans.c.units == units)


@dataclass(frozen=True, slots=True)
class Draft:
    """What stands in the fields of a form that was not sent yet."""

    fields: Mapping[str, str]
    updated: datetime


class Drafts:
    """What is being typed, by person and form."""

    def __init__(self, database: Database) -> None:
        self.database = database
        self._read = lru_cache(maxsize=16)(_plan)  # many look at one plan

    def find(self, who: str, form: str) -> Draft | None:
        """What somebody typed into a form; None if there is nothing."""
        with self.database.reading() as connection:
            row = connection.execute(select(drafts).where(_typed(who, form))).one_or_none()
        return None if row is None else Draft(json.loads(row.fields), datetime.fromisoformat(row.updated))

    def keep(self, who: str, form: str, fields: Mapping[str, str]) -> datetime:
        """When it was kept, in place of what stood there."""
        now = datetime.now(UTC)
        row = {"who": who, "form": form, "fields": json.dumps(dict(fields)), "updated": now.isoformat()}
        with self.database.writing() as connection:
            connection.execute(delete(drafts).where(_typed(who, form)))
            connection.execute(insert(drafts), row)
        return now

    def drop(self, who: str, form: str) -> None:
        """Forget what was typed: it was sent, or is not wanted."""
        with self.database.writing() as connection:
            connection.execute(delete(drafts).where(_typed(who, form)))


def _typed(who: str, form: str) -> Any:
    return (drafts.c.who == who) & (drafts.c.form == form)
