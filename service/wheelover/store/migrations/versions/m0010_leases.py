"""Which process does work that several see."""

import sqlalchemy as sa
from alembic import op

revision = "m0010_leases"
down_revision = "m0009_sealed_secrets"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "lease",
        sa.Column("name", sa.String(200), primary_key=True),
        sa.Column("holder", sa.String(64), nullable=False),
        sa.Column("until_s", sa.Double, nullable=False),
    )


def downgrade() -> None:
    """Refuse: there is no way back from a migration; restore the backup."""
    raise NotImplementedError("there is no way back from a migration; restore the backup")
