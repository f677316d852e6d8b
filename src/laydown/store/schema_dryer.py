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
    String,
    Table,
    Text,
)

from laydown.domain.probe_check import CheckKind
from laydown.store.columns import UtcTime, added_columns, added_constraints, identity_columns, metadata, one_of

probe_logs = Table(
    "probe_logs",
    metadata,
    *identity_columns(),
    Column("dryer", String(80), nullable=False),
    Column("name", String(200), nullable=False),
    Column("taken_on", Date, nullable=False),
    Column("file_sha256", String(64), nullable=False),
    Column("mapping", Text, nullable=False),
    Column("document", Text, nullable=False),
    *added_columns("received_at"),
    *added_constraints("probe_logs"),
    ForeignKeyConstraint(["file_sha256"], ["files.sha256"], name="fk_probe_logs_file"),
    Index("ix_probe_logs_dryer", "dryer"),
)

probe_checks = Table(
    "probe_checks",
    metadata,
    *identity_columns(),
    Column("machine", String(80), nullable=False),
    Column("kind", String(20), nullable=False),
    Column("value", Float, nullable=False),
    Column("anew", Boolean, nullable=False),
    Column("note", Text, nullable=False),
    Column("happened_at", UtcTime, nullable=False),
    *added_columns("received_at"),
    *added_constraints("probe_checks"),
    CheckConstraint(one_of("kind", tuple(str(kind) for kind in CheckKind)), name="ck_probe_checks_kind"),
    Index("ix_probe_checks_machine", "machine", "kind"),
)
