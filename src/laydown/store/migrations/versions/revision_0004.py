"""Fourth revision: what customers came back with."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table of claims."""
    op.create_table(
        "claims",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("key", sa.String(80), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("cause", sa.String(80), nullable=False),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("received_on", sa.Date(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("replaces", sa.Integer()),
        sa.Column("aside", sa.Boolean(), nullable=False),
        sa.Column("entered_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_claims"),
        sa.UniqueConstraint("key", name="uq_claims_key"),
        sa.UniqueConstraint("replaces", name="uq_claims_replaces"),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name="fk_claims_order"),
        sa.ForeignKeyConstraint(["replaces"], ["claims.id"], name="fk_claims_replaces"),
    )
    op.create_index("ix_claims_order", "claims", ["order_id"])
