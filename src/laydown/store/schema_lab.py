"""Tables of the lab: swatches, what is done to them, what is read off them, and what came of it."""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    ForeignKeyConstraint,
    Index,
    Integer,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from laydown.store.columns import UtcTime, metadata, one_of
from laydown.store.words import FINDING_LEVELS, MAPPINGS, READS, SHOP_MEASURES, SWATCH_STATES

swatches = Table(
    "swatches",
    metadata,
    Column("id", Integer, autoincrement=True, nullable=False),
    Column("key", String(80), nullable=False),
    Column("protocol", String(80), nullable=False),
    Column("garment", String(80), nullable=False),
    Column("lot", String(80), nullable=False),
    Column("ink", String(80), nullable=False),
    Column("document", Text, nullable=False),
    Column("state", String(20), nullable=False),
    Column("made_at", UtcTime),
    Column("order_id", Integer),
    Column("plan_number", Integer),
    Column("note", Text, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("started_at", UtcTime, nullable=False),
    Column("started_by", String(80), nullable=False),
    Column("changed_at", UtcTime, nullable=False),
    Column("changed_by", String(80), nullable=False),
    PrimaryKeyConstraint("id", name="pk_swatches"),
    UniqueConstraint("key", name="uq_swatches_key"),
    ForeignKeyConstraint(["order_id"], ["orders.id"], name="fk_swatches_order"),
    CheckConstraint(one_of("state", SWATCH_STATES), name="ck_swatches_state"),
    Index("ix_swatches_state", "state"),
    Index("ix_swatches_garment_lot", "garment", "lot"),
)

swatch_steps = Table(
    "swatch_steps",
    metadata,
    Column("id", Integer, autoincrement=True, nullable=False),
    Column("swatch_id", Integer, nullable=False),
    Column("key", String(80), nullable=False),
    Column("step", Integer, nullable=False),
    Column("done", Boolean, nullable=False),
    Column("happened_at", UtcTime, nullable=False),
    Column("received_at", UtcTime, nullable=False),
    Column("made_by", String(80), nullable=False),
    PrimaryKeyConstraint("id", name="pk_swatch_steps"),
    UniqueConstraint("key", name="uq_swatch_steps_key"),
    ForeignKeyConstraint(["swatch_id"], ["swatches.id"], name="fk_swatch_steps_swatch"),
    Index("ix_swatch_steps_swatch", "swatch_id"),
)

readings = Table(
    "readings",
    metadata,
    Column("id", Integer, autoincrement=True, nullable=False),
    Column("swatch_id", Integer, nullable=False),
    Column("key", String(80), nullable=False),
    Column("reads", String(20), nullable=False),
    Column("part", String(80), nullable=False),
    Column("area", String(80), nullable=False),
    Column("document", Text, nullable=False),
    Column("taken_at", UtcTime, nullable=False),
    Column("operator", String(80), nullable=False),
    Column("corrects", Integer),
    Column("note", Text, nullable=False),
    Column("file_sha256", String(64)),
    Column("received_at", UtcTime, nullable=False),
    Column("made_by", String(80), nullable=False),
    PrimaryKeyConstraint("id", name="pk_readings"),
    UniqueConstraint("key", name="uq_readings_key"),
    UniqueConstraint("corrects", name="uq_readings_corrects"),
    ForeignKeyConstraint(["swatch_id"], ["swatches.id"], name="fk_readings_swatch"),
    ForeignKeyConstraint(["corrects"], ["readings.id"], name="fk_readings_corrects"),
    ForeignKeyConstraint(["file_sha256"], ["files.sha256"], name="fk_readings_file"),
    CheckConstraint(one_of("reads", READS), name="ck_readings_reads"),
    Index("ix_readings_swatch", "swatch_id"),
)

import_mappings = Table(
    "import_mappings",
    metadata,
    Column("kind", String(20), nullable=False),
    Column("name", String(80), nullable=False),
    Column("document", Text, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("changed_at", UtcTime, nullable=False),
    Column("changed_by", String(80), nullable=False),
    PrimaryKeyConstraint("kind", "name", name="pk_import_mappings"),
    CheckConstraint(one_of("kind", MAPPINGS), name="ck_import_mappings_kind"),
)

findings = Table(
    "findings",
    metadata,
    Column("id", Integer, autoincrement=True, nullable=False),
    Column("level", String(20), nullable=False),
    Column("garment", String(80), nullable=False),
    Column("lot", String(80), nullable=False),
    Column("dye", String(40), nullable=False),
    Column("finding_sha256", String(64), nullable=False),
    Column("report_sha256", String(64)),
    Column("rests_on", Text, nullable=False),
    Column("fitted_at", UtcTime, nullable=False),
    Column("made_by", String(80), nullable=False),
    PrimaryKeyConstraint("id", name="pk_findings"),
    ForeignKeyConstraint(["finding_sha256"], ["files.sha256"], name="fk_findings_finding"),
    ForeignKeyConstraint(["report_sha256"], ["files.sha256"], name="fk_findings_report"),
    CheckConstraint(one_of("level", FINDING_LEVELS), name="ck_findings_level"),
    Index("ix_findings_about", "level", "garment", "lot", "dye"),
)

measures = Table(
    "measures",
    metadata,
    Column("id", Integer, autoincrement=True, nullable=False),
    Column("kind", String(20), nullable=False),
    Column("subject", String(80), nullable=False),
    Column("document", Text, nullable=False),
    Column("rests_on", Text, nullable=False),
    Column("fitted_at", UtcTime, nullable=False),
    Column("made_by", String(80), nullable=False),
    PrimaryKeyConstraint("id", name="pk_measures"),
    CheckConstraint(one_of("kind", SHOP_MEASURES), name="ck_measures_kind"),
    Index("ix_measures_about", "kind", "subject"),
)

feeds = Table(
    "feeds",
    metadata,
    Column("token_hash", String(64), nullable=False),
    Column("user_id", Integer),
    Column("created_at", UtcTime, nullable=False),
    PrimaryKeyConstraint("token_hash", name="pk_feeds"),
    ForeignKeyConstraint(["user_id"], ["users.id"], name="fk_feeds_user"),
)
