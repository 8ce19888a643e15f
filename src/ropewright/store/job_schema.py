"""The tables that keep jobs, in the database of the record; unlike the ledger they may be changed."""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, ForeignKeyConstraint, Index, Integer, LargeBinary, Table, Text

from ropewright.store.schema import metadata

__all__ = ["drafts", "job_files", "job_plans", "job_versions", "jobs"]

_TEXT = Text(collation="C").with_variant(Text(), "sqlite")
_WHOLE = BigInteger().with_variant(Integer(), "sqlite")

jobs = Table(
    "jobs",
    metadata,
    Column("number", _WHOLE, primary_key=True, autoincrement=False, comment="From 1; never given twice."),
    Column("name", _TEXT, nullable=False, comment="As the job file of the last version has it."),
    Column("archived", _WHOLE, nullable=False, comment="1: put away, not in the list; 0: in it."),
    Column("version", _WHOLE, nullable=False, comment="The last version."),
    Column("updated", _TEXT, nullable=False, comment="When the last version was made, RFC 3339 in UTC."),
    Index("jobs_by_updated", "archived", "updated"),
    comment="Jobs: one roof with its anchors, lines and crew.",
    sqlite_strict=True,
)

job_versions = Table(
    "job_versions",
    metadata,
    Column("job", _WHOLE, primary_key=True, autoincrement=False, comment="As in jobs."),
    Column("version", _WHOLE, primary_key=True, autoincrement=False, comment="From 1, without gaps in a job."),
    Column("text", _TEXT, nullable=False, comment="The whole job file, TOML."),
    Column("by", _TEXT, nullable=False, comment="Who made it; never blank."),
    Column("made", _TEXT, nullable=False, comment="When, RFC 3339 in UTC."),
    Column("note", _TEXT, nullable=False, comment="What was changed, in words; may be blank."),
    Column("answer", _TEXT, nullable=True, comment="Verdicts of its plan, JSON; NULL: not worked out yet."),
    ForeignKeyConstraint(["job"], ["jobs.number"]),
    comment="Every state of every job; none is ever changed but for its answer.",
    sqlite_strict=True,
)

job_files = Table(
    "job_files",
    metadata,
    Column("job", _WHOLE, primary_key=True, autoincrement=False, comment="As in jobs."),
    Column("name", _TEXT, primary_key=True, comment="As the job file names it: no folder, never a path."),
    Column("content", LargeBinary, nullable=False, comment="The bytes."),
    ForeignKeyConstraint(["job"], ["jobs.number"]),
    comment="Files that job files name: roofs that other programs wrote, plans to draw over.",
    sqlite_strict=True,
)

job_plans = Table(
    "job_plans",
    metadata,
    Column("job", _WHOLE, primary_key=True, autoincrement=False, comment="As in jobs."),
    Column("version", _WHOLE, primary_key=True, autoincrement=False, comment="As in job_versions."),
    Column("units", _TEXT, primary_key=True, comment="us or metric: what its texts are worded in."),
    Column("content", _TEXT, nullable=False, comment="What the page of the plan shows, JSON."),
    Column("findings", _TEXT, nullable=False, comment="findings.json."),
    Column("map", _TEXT, nullable=False, comment="The map, SVG."),
    Column("pdf", LargeBinary, nullable=False, comment="The plan on paper."),
    Column("program", _TEXT, nullable=False, comment="Version of the program that worked it out."),
    ForeignKeyConstraint(["job"], ["jobs.number"]),
    comment="Plans that were worked out; can be made anew from job_versions.",
    sqlite_strict=True,
)

drafts = Table(
    "drafts",
    metadata,
    Column("who", _TEXT, primary_key=True, comment="Who types; as their name is."),
    Column("form", _TEXT, primary_key=True, comment="Which form: job-new, job-3-text."),
    Column("fields", _TEXT, nullable=False, comment="What stands in its fields, JSON."),
    Column("updated", _TEXT, nullable=False, comment="When it was last kept, RFC 3339 in UTC."),
    comment="What is being typed and was not sent yet.",
    sqlite_strict=True,
)
