"""How far the clock of a peer is off ours, as it was last seen."""

import sqlalchemy as sa
from alembic import op

revision = "m0012_peer_clock"
down_revision = "m0011_editors"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the columns."""
    op.add_column("peer", sa.Column("clock_skew_s", sa.Integer, nullable=True))
    op.add_column("peer", sa.Column("clock_noted_utc", sa.String(30), nullable=True))


def downgrade() -> None:
    """Refuse: there is no way back from a migration; restore the backup."""
    raise NotImplementedError("there is no way back from a migration; restore the backup")
