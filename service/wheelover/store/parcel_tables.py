"""The tables of parcels: this installation, those it is paired with, what went and what came.

The private key of this installation stands here and not in a file beside: it must be kept,
backed up and restored together with the numbers of the parcels it signed, on both databases and
for every process of the service. It stands here sealed with the key file (``secrets``): the
database or a backup alone signs nothing.
"""

from sqlalchemy import (
    CheckConstraint,
    Column,
    ForeignKey,
    Integer,
    LargeBinary,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from wheelover.store.tables import metadata

instance = Table(
    "instance",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("name", String(200), nullable=False),
    Column("side", String(5), nullable=False),
    Column("made_utc", String(30), nullable=False),
    CheckConstraint("side IN ('ship', 'shore')", name="instance_side"),
)
"""This installation: one row, made when it is first asked for."""

instance_key = Table(
    "instance_key",
    metadata,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("public_key", String(64), nullable=False, unique=True),
    Column("private_key", Text, nullable=True),
    Column("made_utc", String(30), nullable=False),
)
"""Its keys, the newest with the highest number; a private half that no peer needs is wiped."""

peer = Table(
    "peer",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("name", String(200), nullable=False),
    Column("side", String(5), nullable=False),
    Column("vessel_id", String(64), ForeignKey("vessel.id"), nullable=False),
    Column("state", String(10), nullable=False),
    Column("our_key", String(64), nullable=False),
    Column("paired_utc", String(30), nullable=False),
    Column("revoked_utc", String(30), nullable=True),
    Column("push_url", String(500), nullable=True),
    Column("push_key", Text, nullable=True),
    Column("clock_skew_s", Integer, nullable=True),
    Column("clock_noted_utc", String(30), nullable=True),
    CheckConstraint("side IN ('ship', 'shore')", name="peer_side"),
    CheckConstraint("state IN ('paired', 'revoked')", name="peer_state"),
)
"""Another installation. Its plans belong to ``vessel_id`` here; ``our_key`` is the public key of
ours that it is known to have pinned. ``push_url`` is set on this machine alone."""

peer_key = Table(
    "peer_key",
    metadata,
    Column("key_id", String(64), primary_key=True),
    Column("peer_id", String(64), ForeignKey("peer.id"), nullable=False),
    Column("public_key", String(64), nullable=False),
    Column("from_sequence", Integer, nullable=False),
    Column("state", String(10), nullable=False),
    Column("pinned_utc", String(30), nullable=False),
    CheckConstraint("state IN ('pinned', 'revoked')", name="peer_key_state"),
)

peer_plan = Table(
    "peer_plan",
    metadata,
    Column("peer_id", String(64), ForeignKey("peer.id"), nullable=False),
    Column("plan_id", String(64), ForeignKey("plan.id"), nullable=False),
    Column("chosen_utc", String(30), nullable=False),
    PrimaryKeyConstraint("peer_id", "plan_id"),
)
"""Which plans go to a peer."""

plan_home = Table(
    "plan_home",
    metadata,
    Column("plan_id", String(64), ForeignKey("plan.id"), primary_key=True),
    Column("peer_id", String(64), ForeignKey("peer.id"), nullable=False),
)
"""Plans that came from a peer; all others are at home here."""

library_home = Table(
    "library_home",
    metadata,
    Column("item_id", String(64), ForeignKey("library_item.id"), primary_key=True),
    Column("peer_id", String(64), ForeignKey("peer.id"), nullable=False),
)
"""Ships and hazard sets that came from a peer."""

parcel_out = Table(
    "parcel_out",
    metadata,
    Column("peer_id", String(64), ForeignKey("peer.id"), nullable=False),
    Column("sequence", Integer, nullable=False),
    Column("manifest_sha256", String(64), nullable=False),
    Column("previous_sha256", String(64), nullable=True),
    Column("sha256", String(64), nullable=False),
    Column("size_count", Integer, nullable=False),
    Column("next_key", String(64), nullable=True),
    Column("summary", Text, nullable=False),
    Column("made_utc", String(30), nullable=False),
    Column("pushed_utc", String(30), nullable=True),
    Column("acknowledged_utc", String(30), nullable=True),
    Column("body", LargeBinary, nullable=True),
    PrimaryKeyConstraint("peer_id", "sequence"),
)
"""Parcels made; the bytes are kept until the peer acknowledges them."""

parcel_item = Table(
    "parcel_item",
    metadata,
    Column("peer_id", String(64), ForeignKey("peer.id"), nullable=False),
    Column("kind", String(20), nullable=False),
    Column("name", String(200), nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("sequence", Integer, nullable=False),
    Column("came_sequence", Integer, nullable=True),
    PrimaryKeyConstraint("peer_id", "kind", "name"),
)
"""What a peer was sent, or has sent: the parcel of ours that carried it (0 for none), and that of
theirs."""

parcel_in = Table(
    "parcel_in",
    metadata,
    Column("peer_id", String(64), ForeignKey("peer.id"), nullable=False),
    Column("sequence", Integer, nullable=False),
    Column("manifest_sha256", String(64), nullable=False),
    Column("previous_sha256", String(64), nullable=True),
    Column("sha256", String(64), nullable=False),
    Column("size_count", Integer, nullable=False),
    Column("summary", Text, nullable=False),
    Column("received_utc", String(30), nullable=False),
    Column("taken_utc", String(30), nullable=True),
    Column("body", LargeBinary, nullable=True),
    PrimaryKeyConstraint("peer_id", "sequence"),
    UniqueConstraint("peer_id", "manifest_sha256", name="parcel_in_manifest"),
)
"""Parcels taken, and with their bytes those that wait for one before them."""

parcel_upload = Table(
    "parcel_upload",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("size_count", Integer, nullable=False),
    Column("begun_utc", String(30), nullable=False),
)
"""Parcels that come in pieces, under the digest of the whole."""

parcel_chunk = Table(
    "parcel_chunk",
    metadata,
    Column("upload", String(64), ForeignKey("parcel_upload.sha256"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("body", LargeBinary, nullable=False),
    PrimaryKeyConstraint("upload", "number"),
)

event_origin = Table(
    "event_origin",
    metadata,
    Column("plan_id", String(64), nullable=False),
    Column("number", Integer, nullable=False),
    Column("peer_id", String(64), ForeignKey("peer.id"), nullable=False),
    Column("their_number", Integer, nullable=False),
    Column("sha256", String(64), nullable=False),
    PrimaryKeyConstraint("plan_id", "number"),
    UniqueConstraint("plan_id", "peer_id", "their_number", name="event_origin_theirs"),
)
"""Which events came from a peer, and which number they have there."""

note_origin = Table(
    "note_origin",
    metadata,
    Column("note_id", String(64), ForeignKey("thread_note.id"), primary_key=True),
    Column("peer_id", String(64), ForeignKey("peer.id"), nullable=False),
    Column("sha256", String(64), nullable=False),
)
"""Which notes of threads came from a peer."""

revision_other = Table(
    "revision_other",
    metadata,
    Column("plan_id", String(64), ForeignKey("plan.id"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("sha256", String(64), ForeignKey("blob.sha256"), nullable=False),
    Column("inputs_sha256", String(64), nullable=False),
    Column("engine_version", String(40), nullable=False),
    Column("created_utc", String(30), nullable=False),
    Column("peer_id", String(64), ForeignKey("peer.id"), nullable=False),
    PrimaryKeyConstraint("plan_id", "number", "sha256"),
)
"""Revisions of a number that another revision has here: both are kept."""
