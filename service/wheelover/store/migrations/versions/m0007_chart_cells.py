"""Cells of electronic charts with their editions."""

import sqlalchemy as sa
from alembic import op

from wheelover.store.migrations.frozen import freeze

revision = "m0007_chart_cells"
down_revision = "m0006_other_systems"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "chart_cell",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("name", sa.String(20), nullable=False),
        sa.Column("edition", sa.Integer, nullable=False),
        sa.Column("created_utc", sa.String(30), nullable=False),
        sa.Column("changed_seq", sa.Integer, nullable=False, unique=True),
        sa.Column("vessel_id", sa.String(64), nullable=True),
        sa.Column("withdrawn_utc", sa.String(30), nullable=True),
        sa.CheckConstraint("edition >= 1", name="chart_cell_edition"),
    )
    op.create_index("chart_cell_name", "chart_cell", ["name"])
    op.create_table(
        "chart_edition",
        sa.Column("cell_id", sa.String(64), sa.ForeignKey("chart_cell.id"), nullable=False),
        sa.Column("edition", sa.Integer, nullable=False),
        sa.Column("producer_edition", sa.Integer, nullable=False),
        sa.Column("producer_update", sa.Integer, nullable=False),
        sa.Column("sha256", sa.String(64), sa.ForeignKey("blob.sha256"), nullable=False),
        sa.Column("object_count", sa.Integer, nullable=False),
        sa.Column("west_deg", sa.Float(53), nullable=False),
        sa.Column("south_deg", sa.Float(53), nullable=False),
        sa.Column("east_deg", sa.Float(53), nullable=False),
        sa.Column("north_deg", sa.Float(53), nullable=False),
        sa.Column("said", sa.Text, nullable=False),
        sa.Column("created_utc", sa.String(30), nullable=False),
        sa.PrimaryKeyConstraint("cell_id", "edition"),
    )
    freeze("chart_edition")


def downgrade() -> None:
    """Refuse: a way back would throw charts away. Restore the backup instead."""
    raise NotImplementedError("there is no way back from a migration; restore the backup")
