"""The library takes limit sets: which kinds of things it holds the code alone says from now on."""

import sqlalchemy as sa
from alembic import op

revision = "m0008_limit_sets"
down_revision = "m0007_chart_cells"
branch_labels = None
depends_on = None

_COLUMNS = "id, kind, edition, created_utc, changed_seq, vessel_id"


def upgrade() -> None:
    """Take away the check of the kind of a thing."""
    if op.get_bind().dialect.name == "postgresql":
        op.execute("ALTER TABLE library_item DROP CONSTRAINT IF EXISTS library_item_kind")
        return
    # SQLite drops no constraint. Other tables point at this one: it is made anew under its own
    # name, and whether they still find what they point at is looked at when the rows are back.
    op.execute("PRAGMA defer_foreign_keys=ON")
    op.execute(f"CREATE TABLE library_item_kept AS SELECT {_COLUMNS} FROM library_item")
    op.execute("DROP TABLE library_item")
    op.create_table(
        "library_item",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("edition", sa.Integer, nullable=False),
        sa.Column("created_utc", sa.String(30), nullable=False),
        sa.Column("changed_seq", sa.Integer, nullable=False, unique=True),
        sa.Column("vessel_id", sa.String(64), nullable=True),
        sa.CheckConstraint("edition >= 1", name="library_item_edition"),
    )
    op.execute(f"INSERT INTO library_item ({_COLUMNS}) SELECT {_COLUMNS} FROM library_item_kept")
    op.execute("DROP TABLE library_item_kept")


def downgrade() -> None:
    """Refuse: a way back would throw limit sets away. Restore the backup instead."""
    raise NotImplementedError("there is no way back from a migration; restore the backup")
