"""Table of what customers came back with; only ever added to."""

from __future__ import annotations

from sqlalchemy import (
    Column,
    Date,
    ForeignKeyConstraint,
    Index,
    Integer,
    String,
    Table,
    Text,
)

from laydown.store.columns import added_columns, added_constraints, identity_columns, metadata

claims = Table(
    "claims",
    metadata,
    *identity_columns(),
    Column("order_id", Integer, nullable=False),
    Column("cause", String(80), nullable=False),
    Column("pieces", Integer, nullable=False),
    Column("received_on", Date, nullable=False),
    Column("note", Text, nullable=False),
    *added_columns("entered_at"),
    *added_constraints("claims"),
    ForeignKeyConstraint(["order_id"], ["orders.id"], name="fk_claims_order"),
    Index("ix_claims_order", "order_id"),
)
