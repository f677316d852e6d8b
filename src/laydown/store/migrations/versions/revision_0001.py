"""First revision: shelves, orders, files, plans, press entries, people, jobs and the log."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_REFUSAL = "the log is only ever added to"


def upgrade() -> None:
    """Make every table."""
    op.create_table(
        "shelf_items",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_shelf_items"),
        sa.UniqueConstraint("kind", "name", name="uq_shelf_items_kind_name"),
        sa.CheckConstraint(
            "kind IN ('garments', 'inks', 'meshes', 'screens', 'presses', 'dryers', 'rules', "
            "'shop', 'preferences', 'climate', 'costs', 'practice')",
            name="ck_shelf_items_kind",
        ),
    )
    op.create_table(
        "files",
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_files"),
    )
    op.create_table(
        "file_chunks",
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("packed", sa.Boolean(), nullable=False),
        sa.Column("data", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("sha256", "number", name="pk_file_chunks"),
        sa.ForeignKeyConstraint(["sha256"], ["files.sha256"], name="fk_file_chunks_file"),
    )
    op.create_table(
        "orders",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("identifier", sa.String(80), nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("garment", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("due", sa.Date(), nullable=False),
        sa.Column("placed", sa.Date()),
        sa.Column("state", sa.String(20), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("approved_plan", sa.Integer()),
        sa.Column("searched", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_orders"),
        sa.CheckConstraint(
            "state IN ('new', 'planned', 'approved', 'printing', 'done', 'cancelled')", name="ck_orders_state"
        ),
        sa.CheckConstraint("quantity > 0", name="ck_orders_quantity"),
    )
    op.create_index("ix_orders_state_due", "orders", ["state", "due"])
    op.create_table(
        "order_versions",
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("order_id", "version", name="pk_order_versions"),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name="fk_order_versions_order"),
    )
    op.create_table(
        "order_files",
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.PrimaryKeyConstraint("order_id", "version", "name", name="pk_order_files"),
        sa.ForeignKeyConstraint(
            ["order_id", "version"],
            ["order_versions.order_id", "order_versions.version"],
            name="fk_order_files_version",
        ),
        sa.ForeignKeyConstraint(["sha256"], ["files.sha256"], name="fk_order_files_file"),
    )
    op.create_table(
        "plans",
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("order_version", sa.Integer(), nullable=False),
        sa.Column("plan_sha256", sa.String(64), nullable=False),
        sa.Column("shop_sha256", sa.String(64), nullable=False),
        sa.Column("seed", sa.BigInteger(), nullable=False),
        sa.Column("samples", sa.Integer(), nullable=False),
        sa.Column("laydown_model", sa.String(40), nullable=False),
        sa.Column("program", sa.String(40), nullable=False),
        sa.Column("complete", sa.Boolean(), nullable=False),
        sa.Column("changed_from", sa.Integer()),
        sa.Column("change", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("order_id", "number", name="pk_plans"),
        sa.ForeignKeyConstraint(
            ["order_id", "order_version"],
            ["order_versions.order_id", "order_versions.version"],
            name="fk_plans_version",
        ),
        sa.ForeignKeyConstraint(["plan_sha256"], ["files.sha256"], name="fk_plans_plan"),
        sa.ForeignKeyConstraint(["shop_sha256"], ["files.sha256"], name="fk_plans_shop"),
    )
    op.create_table(
        "press_entries",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(80), nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("happened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_press_entries"),
        sa.UniqueConstraint("key", name="uq_press_entries_key"),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name="fk_press_entries_order"),
        sa.CheckConstraint(
            "kind IN ('set-up step', 'strike-off', 'count', 'misprint', 'probe reading', 'note', 'withdrawal')",
            name="ck_press_entries_kind",
        ),
    )
    op.create_index("ix_press_entries_order", "press_entries", ["order_id"])
    op.create_table(
        "users",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("folded", sa.String(240), nullable=False),
        sa.Column("role", sa.String(20), nullable=False),
        sa.Column("password_hash", sa.Text()),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.Column("preferences", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_users"),
        sa.UniqueConstraint("folded", name="uq_users_folded"),
        sa.CheckConstraint("role IN ('viewer', 'press', 'lead', 'owner')", name="ck_users_role"),
    )
    op.create_table(
        "sessions",
        sa.Column("token_hash", sa.String(64), nullable=False),
        sa.Column("user_id", sa.Integer(), nullable=False),
        sa.Column("csrf", sa.String(64), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("token_hash", name="pk_sessions"),
        sa.ForeignKeyConstraint(["user_id"], ["users.id"], name="fk_sessions_user"),
    )
    op.create_index("ix_sessions_user", "sessions", ["user_id"])
    op.create_table(
        "api_tokens",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("user_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("token_hash", sa.String(64), nullable=False),
        sa.Column("role", sa.String(20), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True)),
        sa.Column("revoked_at", sa.DateTime(timezone=True)),
        sa.PrimaryKeyConstraint("id", name="pk_api_tokens"),
        sa.UniqueConstraint("token_hash", name="uq_api_tokens_token_hash"),
        sa.ForeignKeyConstraint(["user_id"], ["users.id"], name="fk_api_tokens_user"),
        sa.CheckConstraint("role IN ('viewer', 'press', 'lead', 'owner')", name="ck_api_tokens_role"),
    )
    op.create_table(
        "jobs",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("state", sa.String(20), nullable=False),
        sa.Column("request", sa.Text(), nullable=False),
        sa.Column("progress", sa.Float(), nullable=False),
        sa.Column("message", sa.Text(), nullable=False),
        sa.Column("result", sa.Text(), nullable=False),
        sa.Column("cancel_asked", sa.Boolean(), nullable=False),
        sa.Column("worker", sa.String(80), nullable=False),
        sa.Column("heard_at", sa.DateTime(timezone=True)),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True)),
        sa.Column("ended_at", sa.DateTime(timezone=True)),
        sa.Column("made_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_jobs"),
        sa.CheckConstraint("state IN ('waiting', 'running', 'done', 'failed', 'cancelled')", name="ck_jobs_state"),
        sa.CheckConstraint("progress >= 0 AND progress <= 1", name="ck_jobs_progress"),
    )
    op.create_index("ix_jobs_state", "jobs", ["state"])
    op.create_table(
        "change_log",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.String(80), nullable=False),
        sa.Column("action", sa.String(20), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("key", sa.String(200), nullable=False),
        sa.Column("before", sa.Text()),
        sa.Column("after", sa.Text()),
        sa.PrimaryKeyConstraint("id", name="pk_change_log"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_change_log_kind_key", "change_log", ["kind", "key"])
    if op.get_bind().dialect.name == "sqlite":
        _refuse_on_sqlite()
    else:
        _refuse_on_postgresql()


def _refuse_on_sqlite() -> None:
    for what in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER change_log_no_{what.lower()} BEFORE {what} ON change_log "
            f"BEGIN SELECT RAISE(ABORT, '{_REFUSAL}'); END"
        )


def _refuse_on_postgresql() -> None:
    op.execute(
        "CREATE FUNCTION change_log_refuse() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{_REFUSAL}'; END $$"
    )
    for what, each in (("UPDATE", "ROW"), ("DELETE", "ROW"), ("TRUNCATE", "STATEMENT")):
        op.execute(
            f"CREATE TRIGGER change_log_no_{what.lower()} BEFORE {what} ON change_log "
            f"FOR EACH {each} EXECUTE FUNCTION change_log_refuse()"
        )
