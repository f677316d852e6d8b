"""Table of what customers came back with; only ever added to."""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    Column,
    Date,
    ForeignKeyConstraint,
    Index,
    Integer,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from laydown.store.columns import UtcTime, metadata

claims = Table(
    "claims",
    metadata,
    Column("id", Integer, autoincrement=True, nullable=False),
    Column("key", String(80), nullable=False),
    Column("order_id", Integer, nullable=False),
    Column("cause", String(80), nullable=False),
    Column("pieces", Integer, nullable=False),
    Column("received_on", Date, nullable=False),
    Column("note", Text, nullable=False),
    Column("replaces", Integer),
    Column("aside", Boolean, nullable=False),
    Column("entered_at", UtcTime, nullable=False),
    Column("made_by", String(80), nullable=False),
    PrimaryKeyConstraint("id", name="pk_claims"),
    UniqueConstraint("key", name="uq_claims_key"),
    UniqueConstraint("replaces", name="uq_claims_replaces"),
    ForeignKeyConstraint(["order_id"], ["orders.id"], name="fk_claims_order"),
    ForeignKeyConstraint(["replaces"], ["claims.id"], name="fk_claims_replaces"),
    Index("ix_claims_order", "order_id"),
)
