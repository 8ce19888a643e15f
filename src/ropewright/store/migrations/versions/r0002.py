"""Jobs beside the record: jobs, job_versions, job_files, job_plans, drafts."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "r0002"
down_revision = "r0001"

_TEXT = sa.Text(collation="C").with_variant(sa.Text(), "sqlite")
_WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def _whole(name: str, comment: str, *, key: bool = False) -> sa.Column[int]:
    return sa.Column(name, _WHOLE, primary_key=key, autoincrement=False, nullable=False, comment=comment)


def _text(name: str, comment: str, *, key: bool = False, known: bool = True) -> sa.Column[str]:
    return sa.Column(name, _TEXT, primary_key=key, nullable=not known, comment=comment)


def _of_job() -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(["job"], ["jobs.number"])


def upgrade() -> None:
    """Make the tables."""
    _jobs()
    op.create_table(
        "job_plans",
        _whole("job", "As in jobs.", key=True),
        _whole("version", "As in job_versions.", key=True),
        _text("units", "us or metric: what its texts are worded in.", key=True),
        _text("content", "What the page of the plan shows, JSON."),
        _text("findings", "findings.json."),
        _text("map", "The map, SVG."),
        sa.Column("pdf", sa.LargeBinary, nullable=False, comment="The plan on paper."),
        _text("program", "Version of the program that worked it out."),
        _of_job(),
        comment="Plans that were worked out; can be made anew from job_versions.",
        sqlite_strict=True,
    )
    op.create_table(
        "drafts",
        _text("who", "Who types; as their name is.", key=True),
        _text("form", "Which form: job-new, job-3-text.", key=True),
        _text("fields", "What stands in its fields, JSON."),
        _text("updated", "When it was last kept, RFC 3339 in UTC."),
        comment="What is being typed and was not sent yet.",
        sqlite_strict=True,
    )


def _jobs() -> None:
    op.create_table(
        "jobs",
        _whole("number", "From 1; never given twice.", key=True),
        _text("name", "As the job file of the last version has it."),
        _whole("archived", "1: put away, not in the list; 0: in it."),
        _whole("version", "The last version."),
        _text("updated", "When the last version was made, RFC 3339 in UTC."),
        comment="Jobs: one roof with its anchors, lines and crew.",
        sqlite_strict=True,
    )
    op.create_index("jobs_by_updated", "jobs", ["archived", "updated"])
    op.create_table(
        "job_versions",
        _whole("job", "As in jobs.", key=True),
        _whole("version", "From 1, without gaps in a job.", key=True),
        _text("text", "The whole job file, TOML."),
        _text("by", "Who made it; never blank."),
        _text("made", "When, RFC 3339 in UTC."),
        _text("note", "What was changed, in words; may be blank."),
        _text("answer", "Verdicts of its plan, JSON; NULL: not worked out yet.", known=False),
        _of_job(),
        comment="Every state of every job; none is ever changed but for its answer.",
        sqlite_strict=True,
    )
    op.create_table(
        "job_files",
        _whole("job", "As in jobs.", key=True),
        _text("name", "As the job file names it: no folder, never a path.", key=True),
        sa.Column("content", sa.LargeBinary, nullable=False, comment="The bytes."),
        _of_job(),
        comment="Files that job files name: roofs that other programs wrote, plans to draw over.",
        sqlite_strict=True,
    )
