"""Every table, as it is at the newest revision; the migrations lead there."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    Date,
    Float,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from laydown.store.columns import UtcTime, metadata, one_of
from laydown.store.schema_claims import claims
from laydown.store.schema_dryer import probe_checks, probe_logs
from laydown.store.schema_lab import feeds, findings, import_mappings, measures, readings, swatch_steps, swatches
from laydown.store.words import JOB_STATES, ORDER_STATES, PRESS_ENTRIES, ROLES, SHELF_KINDS

__all__ = [
    "REVISION",
    "api_tokens",
    "change_log",
    "claims",
    "feeds",
    "file_chunks",
    "files",
    "findings",
    "import_mappings",
    "jobs",
    "measures",
    "metadata",
    "order_files",
    "order_versions",
    "orders",
    "plans",
    "press_entries",
    "probe_checks",
    "probe_logs",
    "readings",
    "sessions",
    "shelf_items",
    "swatch_steps",
    "swatches",
    "users",
]

REVISION = "0005"
"""Revision that these tables stand for; the newest of `laydown.store.migrations`."""


shelf_items = Table(
    "shelf_items",
    metadata,
    Column("id", Integer, autoincrement=True, nullable=False),
    Column("kind", String(20), nullable=False),
    Column("name", String(80), nullable=False),
    Column("position", Integer, nullable=False),
    Column("document", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("changed_at", UtcTime, nullable=False),
    Column("changed_by", String(80), nullable=False),
    PrimaryKeyConstraint("id", name="pk_shelf_items"),
    UniqueConstraint("kind", "name", name="uq_shelf_items_kind_name"),
    CheckConstraint(one_of("kind", SHELF_KINDS), name="ck_shelf_items_kind"),
)

files = Table(
    "files",
    metadata,
    Column("sha256", String(64), nullable=False),
    Column("size", Integer, nullable=False),
    Column("added_at", UtcTime, nullable=False),
    PrimaryKeyConstraint("sha256", name="pk_files"),
)

file_chunks = Table(
    "file_chunks",
    metadata,
    Column("sha256", String(64), nullable=False),
    Column("number", Integer, nullable=False),
    Column("packed", Boolean, nullable=False),
    Column("data", LargeBinary, nullable=False),
    PrimaryKeyConstraint("sha256", "number", name="pk_file_chunks"),
    ForeignKeyConstraint(["sha256"], ["files.sha256"], name="fk_file_chunks_file"),
)

orders = Table(
    "orders",
    metadata,
    Column("id", Integer, autoincrement=True, nullable=False),
    Column("identifier", String(80), nullable=False),
    Column("name", String(80), nullable=False),
    Column("garment", Text, nullable=False),
    Column("quantity", Integer, nullable=False),
    Column("due", Date, nullable=False),
    Column("placed", Date),
    Column("state", String(20), nullable=False),
    Column("version", Integer, nullable=False),
    Column("approved_plan", Integer),
    Column("searched", Text, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("created_at", UtcTime, nullable=False),
    Column("changed_at", UtcTime, nullable=False),
    Column("changed_by", String(80), nullable=False),
    PrimaryKeyConstraint("id", name="pk_orders"),
    CheckConstraint(one_of("state", ORDER_STATES), name="ck_orders_state"),
    CheckConstraint("quantity > 0", name="ck_orders_quantity"),
    Index("ix_orders_state_due", "state", "due"),
)

order_versions = Table(
    "order_versions",
    metadata,
    Column("order_id", Integer, nullable=False),
    Column("version", Integer, nullable=False),
    Column("text", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("made_at", UtcTime, nullable=False),
    Column("made_by", String(80), nullable=False),
    PrimaryKeyConstraint("order_id", "version", name="pk_order_versions"),
    ForeignKeyConstraint(["order_id"], ["orders.id"], name="fk_order_versions_order"),
)

order_files = Table(
    "order_files",
    metadata,
    Column("order_id", Integer, nullable=False),
    Column("version", Integer, nullable=False),
    Column("name", String(200), nullable=False),
    Column("sha256", String(64), nullable=False),
    PrimaryKeyConstraint("order_id", "version", "name", name="pk_order_files"),
    ForeignKeyConstraint(
        ["order_id", "version"], ["order_versions.order_id", "order_versions.version"], name="fk_order_files_version"
    ),
    ForeignKeyConstraint(["sha256"], ["files.sha256"], name="fk_order_files_file"),
)

plans = Table(
    "plans",
    metadata,
    Column("order_id", Integer, nullable=False),
    Column("number", Integer, nullable=False),
    Column("order_version", Integer, nullable=False),
    Column("plan_sha256", String(64), nullable=False),
    Column("shop_sha256", String(64), nullable=False),
    Column("seed", BigInteger, nullable=False),
    Column("samples", Integer, nullable=False),
    Column("laydown_model", String(40), nullable=False),
    Column("program", String(40), nullable=False),
    Column("complete", Boolean, nullable=False),
    Column("changed_from", Integer),
    Column("change", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("made_at", UtcTime, nullable=False),
    Column("made_by", String(80), nullable=False),
    PrimaryKeyConstraint("order_id", "number", name="pk_plans"),
    ForeignKeyConstraint(
        ["order_id", "order_version"], ["order_versions.order_id", "order_versions.version"], name="fk_plans_version"
    ),
    ForeignKeyConstraint(["plan_sha256"], ["files.sha256"], name="fk_plans_plan"),
    ForeignKeyConstraint(["shop_sha256"], ["files.sha256"], name="fk_plans_shop"),
)

press_entries = Table(
    "press_entries",
    metadata,
    Column("id", Integer, autoincrement=True, nullable=False),
    Column("order_id", Integer, nullable=False),
    Column("key", String(80), nullable=False),
    Column("kind", String(20), nullable=False),
    Column("document", Text, nullable=False),
    Column("happened_at", UtcTime, nullable=False),
    Column("received_at", UtcTime, nullable=False),
    Column("made_by", String(80), nullable=False),
    PrimaryKeyConstraint("id", name="pk_press_entries"),
    UniqueConstraint("key", name="uq_press_entries_key"),
    ForeignKeyConstraint(["order_id"], ["orders.id"], name="fk_press_entries_order"),
    CheckConstraint(one_of("kind", PRESS_ENTRIES), name="ck_press_entries_kind"),
    Index("ix_press_entries_order", "order_id"),
)

users = Table(
    "users",
    metadata,
    Column("id", Integer, autoincrement=True, nullable=False),
    Column("name", String(80), nullable=False),
    Column("folded", String(240), nullable=False),
    Column("role", String(20), nullable=False),
    Column("password_hash", Text),
    Column("active", Boolean, nullable=False),
    Column("preferences", Text, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("created_at", UtcTime, nullable=False),
    Column("changed_at", UtcTime, nullable=False),
    PrimaryKeyConstraint("id", name="pk_users"),
    UniqueConstraint("folded", name="uq_users_folded"),
    CheckConstraint(one_of("role", ROLES), name="ck_users_role"),
)

sessions = Table(
    "sessions",
    metadata,
    Column("token_hash", String(64), nullable=False),
    Column("user_id", Integer, nullable=False),
    Column("csrf", String(64), nullable=False),
    Column("device", Text, nullable=False),
    Column("created_at", UtcTime, nullable=False),
    Column("expires_at", UtcTime, nullable=False),
    PrimaryKeyConstraint("token_hash", name="pk_sessions"),
    ForeignKeyConstraint(["user_id"], ["users.id"], name="fk_sessions_user"),
    Index("ix_sessions_user", "user_id"),
)

api_tokens = Table(
    "api_tokens",
    metadata,
    Column("id", Integer, autoincrement=True, nullable=False),
    Column("user_id", Integer, nullable=False),
    Column("name", String(80), nullable=False),
    Column("token_hash", String(64), nullable=False),
    Column("role", String(20), nullable=False),
    Column("created_at", UtcTime, nullable=False),
    Column("expires_at", UtcTime),
    Column("revoked_at", UtcTime),
    PrimaryKeyConstraint("id", name="pk_api_tokens"),
    UniqueConstraint("token_hash", name="uq_api_tokens_token_hash"),
    ForeignKeyConstraint(["user_id"], ["users.id"], name="fk_api_tokens_user"),
    CheckConstraint(one_of("role", ROLES), name="ck_api_tokens_role"),
)

jobs = Table(
    "jobs",
    metadata,
    Column("id", Integer, autoincrement=True, nullable=False),
    Column("kind", String(40), nullable=False),
    Column("state", String(20), nullable=False),
    Column("request", Text, nullable=False),
    Column("progress", Float, nullable=False),
    Column("message", Text, nullable=False),
    Column("result", Text, nullable=False),
    Column("cancel_asked", Boolean, nullable=False),
    Column("worker", String(80), nullable=False),
    Column("heard_at", UtcTime),
    Column("created_at", UtcTime, nullable=False),
    Column("started_at", UtcTime),
    Column("ended_at", UtcTime),
    Column("made_by", String(80), nullable=False),
    PrimaryKeyConstraint("id", name="pk_jobs"),
    CheckConstraint(one_of("state", JOB_STATES), name="ck_jobs_state"),
    CheckConstraint("progress >= 0 AND progress <= 1", name="ck_jobs_progress"),
    Index("ix_jobs_state", "state"),
)

change_log = Table(
    "change_log",
    metadata,
    Column("id", Integer, autoincrement=True, nullable=False),
    Column("at", UtcTime, nullable=False),
    Column("who", String(80), nullable=False),
    Column("action", String(20), nullable=False),
    Column("kind", String(40), nullable=False),
    Column("key", String(200), nullable=False),
    Column("before", Text),
    Column("after", Text),
    PrimaryKeyConstraint("id", name="pk_change_log"),
    Index("ix_change_log_kind_key", "kind", "key"),
    sqlite_autoincrement=True,
)
