"""The tables of the record, the same for SQLite and PostgreSQL."""

from __future__ import annotations

from sqlalchemy import (
    DDL,
    BigInteger,
    CheckConstraint,
    Column,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    event,
)

__all__ = ["REVISION", "TEXT", "WHOLE", "entries", "files", "marks", "metadata", "revisions", "states"]

#: Revision of the schema that `metadata` describes: the last of `store/migrations/versions`.
REVISION = "r0002"

metadata = MetaData()

#: Text that is ordered by its bytes whatever the server's locale, as SQLite does.
TEXT = Text(collation="C").with_variant(Text(), "sqlite")
#: Whole number; in SQLite the kind that a key may be.
WHOLE = BigInteger().with_variant(Integer(), "sqlite")

entries = Table(
    "entries",
    metadata,
    Column("number", WHOLE, primary_key=True, autoincrement=False, comment="Place in the ledger, from 1, no gaps."),
    Column("at", TEXT, nullable=False, comment="When it happened, RFC 3339 in UTC with microseconds."),
    Column("written", TEXT, nullable=False, comment="When it was written, RFC 3339 in UTC with microseconds."),
    Column("kind", TEXT, nullable=False, comment="What happened, family first: gear.inspected."),
    Column("subject", TEXT, nullable=False, comment="What it happened to, family first: gear/R-001."),
    Column("by", TEXT, nullable=False, comment="Who did it or says so; never blank."),
    Column("body", TEXT, nullable=False, comment="The particulars, canonical JSON (RFC 8785); the unit in each key."),
    Column("previous", TEXT, nullable=False, comment="hash of the entry before; 64 zeros in the first."),
    Column("hash", TEXT, nullable=False, comment="SHA-256 of the canonical JSON of all the other columns, hex."),
    CheckConstraint("number > 0", name="entries_number_from_1"),
    CheckConstraint("length(hash) = 64", name="entries_hash_whole"),
    Index("entries_by_subject", "subject", "number"),
    comment="What happened, append-only; everything else follows from it.",
    sqlite_strict=True,
)

states = Table(
    "states",
    metadata,
    Column("subject", TEXT, primary_key=True, comment="As in entries."),
    Column("family", TEXT, nullable=False, comment="The subject's part before the slash."),
    Column("standing", TEXT, nullable=False, comment="One word a list can be cut by, such as: in service."),
    Column("due", TEXT, nullable=True, comment="Day by which something must be done, ISO 8601; NULL for nothing."),
    Column("words", TEXT, nullable=False, comment="Lower-case text that a search looks in."),
    Column("body", TEXT, nullable=False, comment="All the rest, canonical JSON."),
    Column("number", WHOLE, nullable=False, comment="The last entry counted."),
    Index("states_by_family", "family", "subject"),
    Index("states_by_standing", "family", "standing", "subject"),
    Index("states_by_due", "family", "due", "subject"),
    comment="What follows for each subject from all its entries; can be made anew from them.",
    sqlite_strict=True,
)

files = Table(
    "files",
    metadata,
    Column("hash", TEXT, primary_key=True, comment="SHA-256 of the content, 64 lower-case hexadecimal digits."),
    Column("kind", TEXT, nullable=False, comment="Media type, such as image/jpeg."),
    Column("content", LargeBinary, nullable=False, comment="The bytes."),
    comment="Photos that entries name by their hash.",
    sqlite_strict=True,
)

marks = Table(
    "marks",
    metadata,
    Column("name", TEXT, primary_key=True, comment="folds: which version of the folds the states were made with."),
    Column("value", TEXT, nullable=False, comment="The value, as text."),
    comment="What the program notes about the record itself.",
    sqlite_strict=True,
)

#: As Alembic makes it, under a name of its own, so that others may keep theirs in the same PostgreSQL database.
revisions = Table(
    "record_revision",
    metadata,
    Column("version_num", String(32), nullable=False),
    PrimaryKeyConstraint("version_num", name="record_revision_pkc"),
)

#: The database itself refuses to change or drop what was written, so that no slip of a program can.
_KEPT_SQLITE = (
    "CREATE TRIGGER entries_keep_{act} BEFORE {act} ON entries "
    "BEGIN SELECT RAISE(ABORT, 'entries of the record are never changed or dropped'); END"
)
_KEPT_FUNCTION = (
    "CREATE FUNCTION entries_keep() RETURNS trigger LANGUAGE plpgsql AS "
    "$$ BEGIN RAISE EXCEPTION 'entries of the record are never changed or dropped'; END $$"
)
_KEPT_POSTGRESQL = (
    "CREATE TRIGGER entries_keep BEFORE UPDATE OR DELETE OR TRUNCATE ON entries "
    "FOR EACH STATEMENT EXECUTE FUNCTION entries_keep()"
)

for _act in ("UPDATE", "DELETE"):
    _refused = DDL(_KEPT_SQLITE.format(act=_act))  # type: ignore[no-untyped-call]
    event.listen(entries, "after_create", _refused.execute_if(dialect="sqlite"))
for _text in (_KEPT_FUNCTION, _KEPT_POSTGRESQL):
    _refused = DDL(_text)  # type: ignore[no-untyped-call]
    event.listen(entries, "after_create", _refused.execute_if(dialect="postgresql"))
