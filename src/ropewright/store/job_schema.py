"""The tables that keep jobs, in the database of the record; unlike the ledger they may be changed."""

from __future__ import annotations

from sqlalchemy import Column, ForeignKeyConstraint, Index, LargeBinary, Table

from ropewright.store.schema import TEXT, WHOLE, metadata

__all__ = ["drafts", "job_files", "job_plans", "job_versions", "jobs"]

jobs = Table(
    "jobs",
    metadata,
    Column("number", WHOLE, primary_key=True, autoincrement=False, comment="From 1; never given twice."),
    Column("name", TEXT, nullable=False, comment="As the job file of the last version has it."),
    Column("archived", WHOLE, nullable=False, comment="1: put away, not in the list; 0: in it."),
    Column("version", WHOLE, nullable=False, comment="The last version."),
    Column("updated", TEXT, nullable=False, comment="When the last version was made, RFC 3339 in UTC."),
    Index("jobs_by_updated", "archived", "updated"),
    comment="Jobs: one roof with its anchors, lines and crew.",
    sqlite_strict=True,
)

job_versions = Table(
    "job_versions",
    metadata,
    Column("job", WHOLE, primary_key=True, autoincrement=False, comment="As in jobs."),
    Column("version", WHOLE, primary_key=True, autoincrement=False, comment="From 1, without gaps in a job."),
    Column("text", TEXT, nullable=False, comment="The whole job file, TOML."),
    Column("by", TEXT, nullable=False, comment="Who made it; never blank."),
    Column("made", TEXT, nullable=False, comment="When, RFC 3339 in UTC."),
    Column("note", TEXT, nullable=False, comment="What was changed, in words; may be blank."),
    Column("answer", TEXT, nullable=True, comment="Verdicts of its plan, JSON; NULL: not worked out yet."),
    ForeignKeyConstraint(["job"], ["jobs.number"]),
    comment="Every state of every job; none is ever changed but for its answer.",
    sqlite_strict=True,
)

job_files = Table(
    "job_files",
    metadata,
    Column("job", WHOLE, primary_key=True, autoincrement=False, comment="As in jobs."),
    Column("name", TEXT, primary_key=True, comment="As the job file names it: no folder, never a path."),
    Column("content", LargeBinary, nullable=False, comment="The bytes."),
    ForeignKeyConstraint(["job"], ["jobs.number"]),
    comment="Files that job files name: roofs that other programs wrote, plans to draw over.",
    sqlite_strict=True,
)

job_plans = Table(
    "job_plans",
    metadata,
    Column("job", WHOLE, primary_key=True, autoincrement=False, comment="As in jobs."),
    Column("version", WHOLE, primary_key=True, autoincrement=False, comment="As in job_versions."),
    Column("units", TEXT, primary_key=True, comment="us or metric: what its texts are worded in."),
    Column("content", TEXT, nullable=False, comment="What the page of the plan shows, JSON."),
    Column("findings", TEXT, nullable=False, comment="findings.json."),
    Column("map", TEXT, nullable=False, comment="The map, SVG."),
    Column("pdf", LargeBinary, nullable=False, comment="The plan on paper."),
    Column("program", TEXT, nullable=False, comment="Version of the program that worked it out."),
    ForeignKeyConstraint(["job"], ["jobs.number"]),
    comment="Plans that were worked out; can be made anew from job_versions.",
    sqlite_strict=True,
)

drafts = Table(
    "drafts",
    metadata,
    Column("who", TEXT, primary_key=True, comment="Who types; as their name is."),
    Column("form", TEXT, primary_key=True, comment="Which form: job-new, job-3-text."),
    Column("fields", TEXT, nullable=False, comment="What stands in its fields, JSON."),
    Column("updated", TEXT, nullable=False, comment="When it was last kept, RFC 3339 in UTC."),
    comment="What is being typed and was not sent yet.",
    sqlite_strict=True,
)
