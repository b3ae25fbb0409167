"""Plans with their steps and revisions, ships and hazard sets with their editions."""

import sqlalchemy as sa
from alembic import op

from wheelover.store.migrations.frozen import freeze

revision = "m0001_plans_ships_hazard_sets"
down_revision = None
branch_labels = None
depends_on = None

_FROZEN = ("blob", "library_edition", "plan_revision")


def upgrade() -> None:
    """Make the first tables."""
    _library()
    _plans()
    freeze(*_FROZEN)


def _library() -> None:
    """Make the tables of blobs, ships and hazard sets."""
    op.create_table(
        "blob",
        sa.Column("sha256", sa.String(64), primary_key=True),
        sa.Column("size_count", sa.Integer, nullable=False),
        sa.Column("body", sa.LargeBinary, nullable=False),
    )
    op.create_table(
        "library_item",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("edition", sa.Integer, nullable=False),
        sa.Column("created_utc", sa.String(30), nullable=False),
        sa.Column("changed_seq", sa.Integer, nullable=False, unique=True),
        sa.CheckConstraint("kind IN ('ship', 'hazard_set')", name="library_item_kind"),
        sa.CheckConstraint("edition >= 1", name="library_item_edition"),
    )
    op.create_table(
        "library_edition",
        sa.Column("item_id", sa.String(64), sa.ForeignKey("library_item.id"), nullable=False),
        sa.Column("edition", sa.Integer, nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("source", sa.String(200), nullable=True),
        sa.Column("item_count", sa.Integer, nullable=False),
        sa.Column("sha256", sa.String(64), sa.ForeignKey("blob.sha256"), nullable=False),
        sa.Column("created_utc", sa.String(30), nullable=False),
        sa.PrimaryKeyConstraint("item_id", "edition"),
    )


def _plans() -> None:
    """Make the tables of plans."""
    op.create_table(
        "plan",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("demonstration", sa.Boolean, nullable=False),
        sa.Column("edit", sa.Integer, nullable=False),
        sa.Column("step", sa.Integer, nullable=False),
        sa.Column("first_step", sa.Integer, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("waypoint_count", sa.Integer, nullable=False),
        sa.Column("created_utc", sa.String(30), nullable=False),
        sa.Column("changed_utc", sa.String(30), nullable=False),
        sa.Column("changed_seq", sa.Integer, nullable=False, unique=True),
        sa.CheckConstraint("step >= first_step", name="plan_step_order"),
    )
    op.create_table(
        "plan_step",
        sa.Column("plan_id", sa.String(64), sa.ForeignKey("plan.id"), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("label", sa.String(300), nullable=False),
        sa.Column("inputs", sa.Text, nullable=False),
        sa.Column("at_utc", sa.String(30), nullable=False),
        sa.PrimaryKeyConstraint("plan_id", "number"),
    )
    op.create_table(
        "plan_revision",
        sa.Column("plan_id", sa.String(64), sa.ForeignKey("plan.id"), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("sha256", sa.String(64), sa.ForeignKey("blob.sha256"), nullable=False),
        sa.Column("inputs_sha256", sa.String(64), nullable=False),
        sa.Column("engine_version", sa.String(40), nullable=False),
        sa.Column("created_utc", sa.String(30), nullable=False),
        sa.PrimaryKeyConstraint("plan_id", "number"),
    )


def downgrade() -> None:
    """Refuse: a way back would throw plans away. Restore the backup instead."""
    raise NotImplementedError("there is no way back from a migration; restore the backup")
