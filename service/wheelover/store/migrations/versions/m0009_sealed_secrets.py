"""Room for secrets under a seal. They are sealed when the store is opened, which has the key."""

import sqlalchemy as sa
from alembic import op

revision = "m0009_sealed_secrets"
down_revision = "m0008_limit_sets"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Let the columns of secrets hold longer texts; SQLite holds no text to its length."""
    if op.get_bind().dialect.name != "postgresql":
        return
    for table, column in (
        ("instance_key", "private_key"),
        ("webhook", "secret"),
        ("peer", "push_key"),
    ):
        op.alter_column(table, column, type_=sa.Text())


def downgrade() -> None:
    """Refuse: a way back would put secrets in clear. Restore the backup instead."""
    raise NotImplementedError("there is no way back from a migration; restore the backup")
