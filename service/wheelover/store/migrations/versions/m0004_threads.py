"""Threads about one thing of a plan, and their notes."""

import sqlalchemy as sa
from alembic import op

from wheelover.store.migrations.frozen import freeze

revision = "m0004_threads"
down_revision = "m0003_accounts"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables; both take new rows only."""
    op.create_table(
        "thread",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("plan_id", sa.String(64), sa.ForeignKey("plan.id"), nullable=False),
        sa.Column("anchor_kind", sa.String(20), nullable=False),
        sa.Column("anchor_id", sa.String(1000), nullable=False),
    )
    op.create_index("ix_thread_plan_id", "thread", ["plan_id"])
    op.create_table(
        "thread_note",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("plan_id", sa.String(64), sa.ForeignKey("plan.id"), nullable=False),
        sa.Column("thread_id", sa.String(64), sa.ForeignKey("thread.id"), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("newest_revision", sa.Integer, nullable=False),
        sa.Column("at_utc", sa.String(30), nullable=False),
        sa.Column("name", sa.String(200), nullable=True),
        sa.Column("rank", sa.String(100), nullable=True),
        sa.Column("account_id", sa.String(64), nullable=True),
        sa.Column("claimed", sa.Boolean, nullable=False),
        sa.Column("side", sa.String(5), nullable=False),
        sa.Column("words", sa.Text, nullable=False),
        sa.Column("seen", sa.Text, nullable=False),
        sa.UniqueConstraint("plan_id", "number", name="thread_note_order"),
        sa.CheckConstraint("kind IN ('note', 'resolved', 'reopened')", name="thread_note_kind"),
        sa.CheckConstraint("side IN ('ship', 'shore')", name="thread_note_side"),
    )
    for table in ("thread", "thread_note"):
        freeze(table)


def downgrade() -> None:
    """Refuse: a way back would throw away what people said. Restore the backup instead."""
    raise NotImplementedError("there is no way back from a migration; restore the backup")
