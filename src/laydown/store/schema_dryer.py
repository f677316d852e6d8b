"""Tables of the dryer: logs of probes that ran through it, and daily checks; only ever added to."""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Date,
    Float,
    ForeignKeyConstraint,
    Index,
    Integer,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from laydown.domain.probe_check import CheckKind
from laydown.store.columns import UtcTime, metadata, one_of

probe_logs = Table(
    "probe_logs",
    metadata,
    Column("id", Integer, autoincrement=True, nullable=False),
    Column("key", String(80), nullable=False),
    Column("dryer", String(80), nullable=False),
    Column("name", String(200), nullable=False),
    Column("taken_on", Date, nullable=False),
    Column("file_sha256", String(64), nullable=False),
    Column("mapping", Text, nullable=False),
    Column("document", Text, nullable=False),
    Column("replaces", Integer),
    Column("aside", Boolean, nullable=False),
    Column("received_at", UtcTime, nullable=False),
    Column("made_by", String(80), nullable=False),
    PrimaryKeyConstraint("id", name="pk_probe_logs"),
    UniqueConstraint("key", name="uq_probe_logs_key"),
    UniqueConstraint("replaces", name="uq_probe_logs_replaces"),
    ForeignKeyConstraint(["file_sha256"], ["files.sha256"], name="fk_probe_logs_file"),
    ForeignKeyConstraint(["replaces"], ["probe_logs.id"], name="fk_probe_logs_replaces"),
    Index("ix_probe_logs_dryer", "dryer"),
)

probe_checks = Table(
    "probe_checks",
    metadata,
    Column("id", Integer, autoincrement=True, nullable=False),
    Column("key", String(80), nullable=False),
    Column("machine", String(80), nullable=False),
    Column("kind", String(20), nullable=False),
    Column("value", Float, nullable=False),
    Column("anew", Boolean, nullable=False),
    Column("note", Text, nullable=False),
    Column("happened_at", UtcTime, nullable=False),
    Column("replaces", Integer),
    Column("aside", Boolean, nullable=False),
    Column("received_at", UtcTime, nullable=False),
    Column("made_by", String(80), nullable=False),
    PrimaryKeyConstraint("id", name="pk_probe_checks"),
    UniqueConstraint("key", name="uq_probe_checks_key"),
    UniqueConstraint("replaces", name="uq_probe_checks_replaces"),
    ForeignKeyConstraint(["replaces"], ["probe_checks.id"], name="fk_probe_checks_replaces"),
    CheckConstraint(one_of("kind", tuple(str(kind) for kind in CheckKind)), name="ck_probe_checks_kind"),
    Index("ix_probe_checks_machine", "machine", "kind"),
)
