"""The first tables of the record: entries, states, files, marks."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "r0001"
down_revision = None

_TEXT = sa.Text(collation="C").with_variant(sa.Text(), "sqlite")
_WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Make the tables, and what keeps entries from being changed."""
    op.create_table(
        "entries",
        sa.Column(
            "number", _WHOLE, primary_key=True, autoincrement=False, comment="Place in the ledger, from 1, no gaps."
        ),
        sa.Column("at", _TEXT, nullable=False, comment="When it happened, RFC 3339 in UTC with microseconds."),
        sa.Column("written", _TEXT, nullable=False, comment="When it was written, RFC 3339 in UTC with microseconds."),
        sa.Column("kind", _TEXT, nullable=False, comment="What happened, family first: gear.inspected."),
        sa.Column("subject", _TEXT, nullable=False, comment="What it happened to, family first: gear/R-001."),
        sa.Column("by", _TEXT, nullable=False, comment="Who did it or says so; never blank."),
        sa.Column(
            "body", _TEXT, nullable=False, comment="The particulars, canonical JSON (RFC 8785); the unit in each key."
        ),
        sa.Column("previous", _TEXT, nullable=False, comment="hash of the entry before; 64 zeros in the first."),
        sa.Column(
            "hash", _TEXT, nullable=False, comment="SHA-256 of the canonical JSON of all the other columns, hex."
        ),
        sa.CheckConstraint("number > 0", name="entries_number_from_1"),
        sa.CheckConstraint("length(hash) = 64", name="entries_hash_whole"),
        comment="What happened, append-only; everything else follows from it.",
        sqlite_strict=True,
    )
    op.create_index("entries_by_subject", "entries", ["subject", "number"])
    op.create_table(
        "states",
        sa.Column("subject", _TEXT, primary_key=True, comment="As in entries."),
        sa.Column("family", _TEXT, nullable=False, comment="The subject's part before the slash."),
        sa.Column("standing", _TEXT, nullable=False, comment="One word a list can be cut by, such as: in service."),
        sa.Column(
            "due", _TEXT, nullable=True, comment="Day by which something must be done, ISO 8601; NULL for nothing."
        ),
        sa.Column("words", _TEXT, nullable=False, comment="Lower-case text that a search looks in."),
        sa.Column("body", _TEXT, nullable=False, comment="All the rest, canonical JSON."),
        sa.Column("number", _WHOLE, nullable=False, comment="The last entry counted."),
        comment="What follows for each subject from all its entries; can be made anew from them.",
        sqlite_strict=True,
    )
    op.create_index("states_by_family", "states", ["family", "subject"])
    op.create_index("states_by_standing", "states", ["family", "standing", "subject"])
    op.create_index("states_by_due", "states", ["family", "due", "subject"])
    op.create_table(
        "files",
        sa.Column("hash", _TEXT, primary_key=True, comment="SHA-256 of the content, 64 lower-case hexadecimal digits."),
        sa.Column("kind", _TEXT, nullable=False, comment="Media type, such as image/jpeg."),
        sa.Column("content", sa.LargeBinary, nullable=False, comment="The bytes."),
        comment="Photos that entries name by their hash.",
        sqlite_strict=True,
    )
    op.create_table(
        "marks",
        sa.Column(
            "name",
            _TEXT,
            primary_key=True,
            comment="folds: which version of the folds the states were made with.",
        ),
        sa.Column("value", _TEXT, nullable=False, comment="The value, as text."),
        comment="What the program notes about the record itself.",
        sqlite_strict=True,
    )
    for statement in _KEEPING[op.get_bind().dialect.name]:
        op.execute(statement)


_SAYS = "entries of the record are never changed or dropped"
_KEEPING = {
    "sqlite": [
        f"CREATE TRIGGER entries_keep_{act} BEFORE {act} ON entries BEGIN SELECT RAISE(ABORT, '{_SAYS}'); END"
        for act in ("UPDATE", "DELETE")
    ],
    "postgresql": [
        (
            "CREATE FUNCTION entries_keep() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE EXCEPTION '{_SAYS}'; END $$"
        ),
        (
            "CREATE TRIGGER entries_keep BEFORE UPDATE OR DELETE OR TRUNCATE ON entries "
            "FOR EACH STATEMENT EXECUTE FUNCTION entries_keep()"
        ),
    ],
}
