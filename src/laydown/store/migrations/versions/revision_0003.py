"""Third revision: probe logs and daily checks of dryers and flash units."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables of the dryer."""
    op.create_table(
        "probe_logs",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("key", sa.String(80), nullable=False),
        sa.Column("dryer", sa.String(80), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("taken_on", sa.Date(), nullable=False),
        sa.Column("file_sha256", sa.String(64), nullable=False),
        sa.Column("mapping", sa.Text(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("replaces", sa.Integer()),
        sa.Column("aside", sa.Boolean(), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_probe_logs"),
        sa.UniqueConstraint("key", name="uq_probe_logs_key"),
        sa.UniqueConstraint("replaces", name="uq_probe_logs_replaces"),
        sa.ForeignKeyConstraint(["file_sha256"], ["files.sha256"], name="fk_probe_logs_file"),
        sa.ForeignKeyConstraint(["replaces"], ["probe_logs.id"], name="fk_probe_logs_replaces"),
    )
    op.create_index("ix_probe_logs_dryer", "probe_logs", ["dryer"])
    op.create_table(
        "probe_checks",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("key", sa.String(80), nullable=False),
        sa.Column("machine", sa.String(80), nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("value", sa.Float(), nullable=False),
        sa.Column("anew", sa.Boolean(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("happened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("replaces", sa.Integer()),
        sa.Column("aside", sa.Boolean(), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_probe_checks"),
        sa.UniqueConstraint("key", name="uq_probe_checks_key"),
        sa.UniqueConstraint("replaces", name="uq_probe_checks_replaces"),
        sa.ForeignKeyConstraint(["replaces"], ["probe_checks.id"], name="fk_probe_checks_replaces"),
        sa.CheckConstraint("kind IN ('panel', 'peak', 'belt', 'flash')", name="ck_probe_checks_kind"),
    )
    op.create_index("ix_probe_checks_machine", "probe_checks", ["machine", "kind"])
