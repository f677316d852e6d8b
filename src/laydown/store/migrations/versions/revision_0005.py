"""Fifth revision: readings, probe logs, checks and claims are only ever added to, and the database holds to it."""

from __future__ import annotations

from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

GUARDED = ("readings", "probe_logs", "probe_checks", "claims")


def upgrade() -> None:
    """Refuse changes and removals."""
    sqlite = op.get_bind().dialect.name == "sqlite"
    for table in GUARDED:
        refusal = f"rows of {table} are only ever added: a correction names the row whose place it takes"
        if sqlite:
            for what in ("UPDATE", "DELETE"):
                op.execute(
                    f"CREATE TRIGGER {table}_no_{what.lower()} BEFORE {what} ON {table} "
                    f"BEGIN SELECT RAISE(ABORT, '{refusal}'); END"
                )
            continue
        op.execute(
            f"CREATE FUNCTION {table}_refuse() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE EXCEPTION '{refusal}'; END $$"
        )
        for what, each in (("UPDATE", "ROW"), ("DELETE", "ROW"), ("TRUNCATE", "STATEMENT")):
            op.execute(
                f"CREATE TRIGGER {table}_no_{what.lower()} BEFORE {what} ON {table} "
                f"FOR EACH {each} EXECUTE FUNCTION {table}_refuse()"
            )
