"""Vessels, what is recorded beside the revisions, the chained audit log, and who holds the pen."""

from typing import Any

import rfc8785
import sqlalchemy as sa
from alembic import op

from wheelover.store.audit import START, chained
from wheelover.store.migrations.frozen import freeze

revision = "m0002_record_and_audit"
down_revision = "m0001_plans_ships_hazard_sets"
branch_labels = None
depends_on = None

_OF_THE_LOG = ("vessel_id", "number", "at_utc", "entry")


def upgrade() -> None:
    """Make the tables, and let every revision frozen so far stand as offered."""
    _vessels()
    _record()
    op.execute(
        "INSERT INTO plan_event (plan_id, number, revision, kind, at_utc, name, rank, account_id, "
        "claimed, body) SELECT plan_id, number, number, 'offered', created_utc, NULL, NULL, NULL, "
        f"{_true()}, '{{}}' FROM plan_revision"
    )
    _begin_log()
    freeze("plan_event", "audit")


def _begin_log() -> None:
    """Note the revisions frozen so far in the first entry of the log: none is slipped in later."""
    wanted = "SELECT plan_id, number, sha256 FROM plan_revision ORDER BY plan_id, number"
    rows = [list(row) for row in op.get_bind().exec_driver_sql(wanted)]
    if not rows:
        return
    at_utc = "2026-11-26T00:00:00.000Z"
    entry: Any = {
        "what": "store.migrated",
        "revisions": rows,
        "vessel_id": "own",
        "number": 1,
        "at_utc": at_utc,
    }
    text = rfc8785.dumps(entry).decode()
    op.execute(
        sa.table("audit", *(sa.column(one) for one in (*_OF_THE_LOG, "hash")))
        .insert()
        .values(
            vessel_id="own",
            number=1,
            at_utc=at_utc,
            entry=text,
            hash=chained(START, text),
        )
    )


def _true() -> str:
    """Return how the database writes true."""
    return "1" if op.get_bind().dialect.name == "sqlite" else "TRUE"


def _vessels() -> None:
    """Make the vessels, and give every plan to the one on board of which this runs."""
    op.create_table(
        "vessel",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("fleet", sa.String(200), nullable=False),
        sa.Column("created_utc", sa.String(30), nullable=False),
    )
    op.execute(
        "INSERT INTO vessel (id, name, fleet, created_utc) "
        "VALUES ('own', 'Own ship', '', '2026-11-26T00:00:00.000Z')"
    )
    own = sa.Column("vessel_id", sa.String(64), nullable=False, server_default="own")
    op.add_column("plan", own)
    op.add_column("library_item", sa.Column("vessel_id", sa.String(64), nullable=True))
    for column in (
        sa.Column("pen_account", sa.String(64), nullable=True),
        sa.Column("pen_name", sa.String(200), nullable=True),
        sa.Column("pen_since_utc", sa.String(30), nullable=True),
        sa.Column("pen_asked", sa.Text, nullable=True),
    ):
        op.add_column("plan", column)


def _record() -> None:
    """Make what is kept beside the revisions."""
    op.create_table(
        "plan_event",
        sa.Column("plan_id", sa.String(64), sa.ForeignKey("plan.id"), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("at_utc", sa.String(30), nullable=False),
        sa.Column("name", sa.String(200), nullable=True),
        sa.Column("rank", sa.String(100), nullable=True),
        sa.Column("account_id", sa.String(64), nullable=True),
        sa.Column("claimed", sa.Boolean, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("plan_id", "number"),
    )
    op.create_table(
        "approval_use",
        sa.Column("plan_id", sa.String(64), sa.ForeignKey("plan.id"), nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("item_id", sa.String(200), nullable=False),
        sa.Column("edition", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("plan_id", "revision", "kind", "item_id"),
    )
    op.create_index("approval_use_item", "approval_use", ["kind", "item_id"])
    op.create_table(
        "audit",
        sa.Column("vessel_id", sa.String(64), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("at_utc", sa.String(30), nullable=False),
        sa.Column("entry", sa.Text, nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
        sa.PrimaryKeyConstraint("vessel_id", "number"),
    )


def downgrade() -> None:
    """Refuse: a way back would throw the record away. Restore the backup instead."""
    raise NotImplementedError("there is no way back from a migration; restore the backup")
