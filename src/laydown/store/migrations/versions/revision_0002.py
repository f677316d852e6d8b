"""Second revision: the lab's swatches, readings, findings and measures, and tests of the shop's own on a shelf."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_KINDS = (
    "kind IN ('garments', 'inks', 'meshes', 'screens', 'presses', 'dryers', 'rules', 'protocols', "
    "'shop', 'preferences', 'climate', 'costs', 'practice')"
)


def upgrade() -> None:
    """Let tests stand on a shelf, and make the lab's tables."""
    _allow_protocols()
    _swatches()
    _readings()
    _results()


def _allow_protocols() -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.drop_constraint("ck_shelf_items_kind", "shelf_items", type_="check")
        op.create_check_constraint("ck_shelf_items_kind", "shelf_items", _KINDS)
        return
    # SQLite cannot change a constraint: the rows move to a table that has the new one.
    op.rename_table("shelf_items", "shelf_items_before")
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
        sa.CheckConstraint(_KINDS, name="ck_shelf_items_kind"),
    )
    columns = "id, kind, name, position, document, note, revision, changed_at, changed_by"
    op.execute(f"INSERT INTO shelf_items ({columns}) SELECT {columns} FROM shelf_items_before")  # noqa: S608 - own names
    op.drop_table("shelf_items_before")


def _swatches() -> None:
    op.create_table(
        "swatches",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("key", sa.String(80), nullable=False),
        sa.Column("protocol", sa.String(80), nullable=False),
        sa.Column("garment", sa.String(80), nullable=False),
        sa.Column("lot", sa.String(80), nullable=False),
        sa.Column("ink", sa.String(80), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("state", sa.String(20), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True)),
        sa.Column("order_id", sa.Integer()),
        sa.Column("plan_number", sa.Integer()),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("started_by", sa.String(80), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_swatches"),
        sa.UniqueConstraint("key", name="uq_swatches_key"),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name="fk_swatches_order"),
        sa.CheckConstraint("state IN ('planned', 'made', 'read', 'dropped')", name="ck_swatches_state"),
    )
    op.create_index("ix_swatches_state", "swatches", ["state"])
    op.create_index("ix_swatches_garment_lot", "swatches", ["garment", "lot"])
    op.create_table(
        "swatch_steps",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("swatch_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(80), nullable=False),
        sa.Column("step", sa.Integer(), nullable=False),
        sa.Column("done", sa.Boolean(), nullable=False),
        sa.Column("happened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_swatch_steps"),
        sa.UniqueConstraint("key", name="uq_swatch_steps_key"),
        sa.ForeignKeyConstraint(["swatch_id"], ["swatches.id"], name="fk_swatch_steps_swatch"),
    )
    op.create_index("ix_swatch_steps_swatch", "swatch_steps", ["swatch_id"])


def _readings() -> None:
    op.create_table(
        "readings",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("swatch_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(80), nullable=False),
        sa.Column("reads", sa.String(20), nullable=False),
        sa.Column("part", sa.String(80), nullable=False),
        sa.Column("area", sa.String(80), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("taken_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("operator", sa.String(80), nullable=False),
        sa.Column("corrects", sa.Integer()),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("file_sha256", sa.String(64)),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_readings"),
        sa.UniqueConstraint("key", name="uq_readings_key"),
        sa.UniqueConstraint("corrects", name="uq_readings_corrects"),
        sa.ForeignKeyConstraint(["swatch_id"], ["swatches.id"], name="fk_readings_swatch"),
        sa.ForeignKeyConstraint(["corrects"], ["readings.id"], name="fk_readings_corrects"),
        sa.ForeignKeyConstraint(["file_sha256"], ["files.sha256"], name="fk_readings_file"),
        sa.CheckConstraint(
            "reads IN ('colour', 'staining grade', 'change grade', 'mass', 'temperature', 'tone', 'pass or fail', "
            "'photo')",
            name="ck_readings_reads",
        ),
    )
    op.create_index("ix_readings_swatch", "readings", ["swatch_id"])
    op.create_table(
        "import_mappings",
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("kind", "name", name="pk_import_mappings"),
        sa.CheckConstraint("kind IN ('measurements', 'probe log')", name="ck_import_mappings_kind"),
    )


def _results() -> None:
    op.create_table(
        "findings",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("level", sa.String(20), nullable=False),
        sa.Column("garment", sa.String(80), nullable=False),
        sa.Column("lot", sa.String(80), nullable=False),
        sa.Column("dye", sa.String(40), nullable=False),
        sa.Column("finding_sha256", sa.String(64), nullable=False),
        sa.Column("report_sha256", sa.String(64)),
        sa.Column("rests_on", sa.Text(), nullable=False),
        sa.Column("fitted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_findings"),
        sa.ForeignKeyConstraint(["finding_sha256"], ["files.sha256"], name="fk_findings_finding"),
        sa.ForeignKeyConstraint(["report_sha256"], ["files.sha256"], name="fk_findings_report"),
        sa.CheckConstraint("level IN ('lot', 'cloth', 'dye class', 'ink film')", name="ck_findings_level"),
    )
    op.create_index("ix_findings_about", "findings", ["level", "garment", "lot", "dye"])
    op.create_table(
        "measures",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("subject", sa.String(80), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("rests_on", sa.Text(), nullable=False),
        sa.Column("fitted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_measures"),
        sa.CheckConstraint("kind IN ('transfer', 'optics', 'tone')", name="ck_measures_kind"),
    )
    op.create_index("ix_measures_about", "measures", ["kind", "subject"])
    op.create_table(
        "feeds",
        sa.Column("token_hash", sa.String(64), nullable=False),
        sa.Column("user_id", sa.Integer()),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("token_hash", name="pk_feeds"),
        sa.ForeignKeyConstraint(["user_id"], ["users.id"], name="fk_feeds_user"),
    )
