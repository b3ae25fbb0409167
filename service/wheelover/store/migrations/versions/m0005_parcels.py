"""Parcels between ship and shore: identity, peers, what went and what came, other revisions."""

import sqlalchemy as sa
from alembic import op

from wheelover.store.migrations.frozen import freeze

revision = "m0005_parcels"
down_revision = "m0004_threads"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    _identity()
    _peers()
    _homes()
    _parcels()
    _uploads()
    for table in ("revision_other", "event_origin", "note_origin"):
        freeze(table)


def _peer(*, primary_key: bool = False) -> sa.Column[str]:
    """Return the column that names a peer."""
    return sa.Column(
        "peer_id", sa.String(64), sa.ForeignKey("peer.id"), nullable=False, primary_key=primary_key
    )


def _identity() -> None:
    """Make the tables of this installation and its keys."""
    op.create_table(
        "instance",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("side", sa.String(5), nullable=False),
        sa.Column("made_utc", sa.String(30), nullable=False),
        sa.CheckConstraint("side IN ('ship', 'shore')", name="instance_side"),
    )
    op.create_table(
        "instance_key",
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("public_key", sa.String(64), nullable=False, unique=True),
        sa.Column("private_key", sa.String(64), nullable=True),
        sa.Column("made_utc", sa.String(30), nullable=False),
    )


def _peers() -> None:
    """Make the tables of peers and their keys."""
    op.create_table(
        "peer",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("side", sa.String(5), nullable=False),
        sa.Column("vessel_id", sa.String(64), sa.ForeignKey("vessel.id"), nullable=False),
        sa.Column("state", sa.String(10), nullable=False),
        sa.Column("our_key", sa.String(64), nullable=False),
        sa.Column("paired_utc", sa.String(30), nullable=False),
        sa.Column("revoked_utc", sa.String(30), nullable=True),
        sa.Column("push_url", sa.String(500), nullable=True),
        sa.Column("push_key", sa.String(200), nullable=True),
        sa.CheckConstraint("side IN ('ship', 'shore')", name="peer_side"),
        sa.CheckConstraint("state IN ('paired', 'revoked')", name="peer_state"),
    )
    op.create_table(
        "peer_key",
        sa.Column("key_id", sa.String(64), primary_key=True),
        _peer(),
        sa.Column("public_key", sa.String(64), nullable=False),
        sa.Column("from_sequence", sa.Integer, nullable=False),
        sa.Column("state", sa.String(10), nullable=False),
        sa.Column("pinned_utc", sa.String(30), nullable=False),
        sa.CheckConstraint("state IN ('pinned', 'revoked')", name="peer_key_state"),
    )
    op.create_table(
        "peer_plan",
        _peer(),
        sa.Column("plan_id", sa.String(64), sa.ForeignKey("plan.id"), nullable=False),
        sa.Column("chosen_utc", sa.String(30), nullable=False),
        sa.PrimaryKeyConstraint("peer_id", "plan_id"),
    )


def _homes() -> None:
    """Make what says of plans, their record and the library where they came from."""
    op.create_table(
        "plan_home",
        sa.Column("plan_id", sa.String(64), sa.ForeignKey("plan.id"), primary_key=True),
        _peer(),
    )
    op.create_table(
        "library_home",
        sa.Column("item_id", sa.String(64), sa.ForeignKey("library_item.id"), primary_key=True),
        _peer(),
    )
    op.create_table(
        "event_origin",
        sa.Column("plan_id", sa.String(64), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        _peer(),
        sa.Column("their_number", sa.Integer, nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.PrimaryKeyConstraint("plan_id", "number"),
        sa.UniqueConstraint("plan_id", "peer_id", "their_number", name="event_origin_theirs"),
    )
    op.create_table(
        "note_origin",
        sa.Column("note_id", sa.String(64), sa.ForeignKey("thread_note.id"), primary_key=True),
        _peer(),
        sa.Column("sha256", sa.String(64), nullable=False),
    )
    op.create_table(
        "revision_other",
        sa.Column("plan_id", sa.String(64), sa.ForeignKey("plan.id"), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("sha256", sa.String(64), sa.ForeignKey("blob.sha256"), nullable=False),
        sa.Column("inputs_sha256", sa.String(64), nullable=False),
        sa.Column("engine_version", sa.String(40), nullable=False),
        sa.Column("created_utc", sa.String(30), nullable=False),
        _peer(),
        sa.PrimaryKeyConstraint("plan_id", "number", "sha256"),
    )


def _parcels() -> None:
    """Make the tables of parcels made and taken."""
    op.create_table(
        "parcel_out",
        _peer(),
        sa.Column("sequence", sa.Integer, nullable=False),
        sa.Column("manifest_sha256", sa.String(64), nullable=False),
        sa.Column("previous_sha256", sa.String(64), nullable=True),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("size_count", sa.Integer, nullable=False),
        sa.Column("next_key", sa.String(64), nullable=True),
        sa.Column("summary", sa.Text, nullable=False),
        sa.Column("made_utc", sa.String(30), nullable=False),
        sa.Column("pushed_utc", sa.String(30), nullable=True),
        sa.Column("acknowledged_utc", sa.String(30), nullable=True),
        sa.Column("body", sa.LargeBinary, nullable=True),
        sa.PrimaryKeyConstraint("peer_id", "sequence"),
    )
    op.create_table(
        "parcel_item",
        _peer(),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("sequence", sa.Integer, nullable=False),
        sa.Column("came_sequence", sa.Integer, nullable=True),
        sa.PrimaryKeyConstraint("peer_id", "kind", "name"),
    )
    op.create_table(
        "parcel_in",
        _peer(),
        sa.Column("sequence", sa.Integer, nullable=False),
        sa.Column("manifest_sha256", sa.String(64), nullable=False),
        sa.Column("previous_sha256", sa.String(64), nullable=True),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("size_count", sa.Integer, nullable=False),
        sa.Column("summary", sa.Text, nullable=False),
        sa.Column("received_utc", sa.String(30), nullable=False),
        sa.Column("taken_utc", sa.String(30), nullable=True),
        sa.Column("body", sa.LargeBinary, nullable=True),
        sa.PrimaryKeyConstraint("peer_id", "sequence"),
        sa.UniqueConstraint("peer_id", "manifest_sha256", name="parcel_in_manifest"),
    )


def _uploads() -> None:
    """Make the tables of parcels that come in pieces."""
    op.create_table(
        "parcel_upload",
        sa.Column("sha256", sa.String(64), primary_key=True),
        sa.Column("size_count", sa.Integer, nullable=False),
        sa.Column("begun_utc", sa.String(30), nullable=False),
    )
    op.create_table(
        "parcel_chunk",
        sa.Column("upload", sa.String(64), sa.ForeignKey("parcel_upload.sha256"), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("body", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("upload", "number"),
    )


def downgrade() -> None:
    """Refuse: a way back would throw away what came. Restore the backup instead."""
    raise NotImplementedError("there is no way back from a migration; restore the backup")
