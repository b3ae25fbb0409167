"""Who changed a draft since its last revision: they cannot be the second person of the next."""

import sqlalchemy as sa
from alembic import op

revision = "m0011_editors"
down_revision = "m0010_leases"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; of changes made before it nobody is known but who offers."""
    op.add_column("plan", sa.Column("editors", sa.Text, nullable=True))


def downgrade() -> None:
    """Refuse: there is no way back from a migration; restore the backup."""
    raise NotImplementedError("there is no way back from a migration; restore the backup")
