"""Keys of requests that may be sent again, webhooks and the log of their deliveries."""

import sqlalchemy as sa
from alembic import op

revision = "m0006_other_systems"
down_revision = "m0005_parcels"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "idempotency",
        sa.Column("key_sha256", sa.String(64), primary_key=True),
        sa.Column("request_sha256", sa.String(64), nullable=False),
        sa.Column("at_utc", sa.String(30), nullable=False),
        sa.Column("place", sa.String(300), nullable=True),
        sa.Column("status", sa.Integer, nullable=True),
        sa.Column("headers", sa.Text, nullable=True),
        sa.Column("body", sa.LargeBinary, nullable=True),
    )
    op.create_index("idempotency_at", "idempotency", ["at_utc"])
    op.create_table(
        "webhook",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("url", sa.String(500), nullable=False),
        sa.Column("secret", sa.String(100), nullable=False),
        sa.Column("vessel_id", sa.String(64), nullable=False),
        sa.Column("kinds", sa.Text, nullable=False),
        sa.Column("active", sa.Boolean, nullable=False),
        sa.Column("sent_number", sa.Integer, nullable=False),
        sa.Column("attempt_count", sa.Integer, nullable=False),
        sa.Column("next_utc", sa.String(30), nullable=False),
        sa.Column("created_utc", sa.String(30), nullable=False),
    )
    op.create_table(
        "webhook_delivery",
        sa.Column("webhook_id", sa.String(64), sa.ForeignKey("webhook.id"), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("entry_number", sa.Integer, nullable=False),
        sa.Column("attempt", sa.Integer, nullable=False),
        sa.Column("at_utc", sa.String(30), nullable=False),
        sa.Column("outcome", sa.String(20), nullable=False),
        sa.Column("status", sa.Integer, nullable=True),
        sa.Column("detail", sa.String(300), nullable=False),
        sa.PrimaryKeyConstraint("webhook_id", "number"),
    )


def downgrade() -> None:
    """Refuse: a way back would throw keys and logs away. Restore the backup instead."""
    raise NotImplementedError("there is no way back from a migration; restore the backup")
