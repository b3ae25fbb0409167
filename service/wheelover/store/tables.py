"""The tables of the store. Migrations make them; this file says what they are now.

Nothing that is frozen is ever changed: editions, revisions and blobs are inserted once, and
triggers refuse to change or remove them. A plan's draft is a list of steps with a pointer into it.
"""

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    Integer,
    LargeBinary,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    UniqueConstraint,
)

metadata = MetaData()

blob = Table(
    "blob",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("size_count", Integer, nullable=False),
    Column("body", LargeBinary, nullable=False),
)
"""Bytes under their own digest, compressed: dangers, ships, frozen revisions."""

library_item = Table(
    "library_item",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("kind", String(20), nullable=False),
    Column("edition", Integer, nullable=False),
    Column("created_utc", String(30), nullable=False),
    Column("changed_seq", Integer, nullable=False, unique=True),
    Column("vessel_id", String(64), nullable=True),
    CheckConstraint("edition >= 1", name="library_item_edition"),
)
"""A ship's particulars, a hazard set or a limit set; ``edition`` is its newest.

Without vessel it is for all.
"""

library_edition = Table(
    "library_edition",
    metadata,
    Column("item_id", String(64), ForeignKey("library_item.id"), nullable=False),
    Column("edition", Integer, nullable=False),
    Column("name", String(200), nullable=False),
    Column("source", String(200), nullable=True),
    Column("item_count", Integer, nullable=False),
    Column("sha256", String(64), ForeignKey("blob.sha256"), nullable=False),
    Column("created_utc", String(30), nullable=False),
    PrimaryKeyConstraint("item_id", "edition"),
)

plan = Table(
    "plan",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("name", String(200), nullable=False),
    Column("demonstration", Boolean, nullable=False),
    Column("edit", Integer, nullable=False),
    Column("step", Integer, nullable=False),
    Column("first_step", Integer, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("waypoint_count", Integer, nullable=False),
    Column("created_utc", String(30), nullable=False),
    Column("changed_utc", String(30), nullable=False),
    Column("changed_seq", Integer, nullable=False, unique=True),
    Column("vessel_id", String(64), nullable=False, server_default="own"),
    Column("pen_account", String(64), nullable=True),
    Column("pen_name", String(200), nullable=True),
    Column("pen_since_utc", String(30), nullable=True),
    Column("pen_asked", Text, nullable=True),
    Column("editors", Text, nullable=True),
    CheckConstraint("step >= first_step", name="plan_step_order"),
)
"""A plan and its draft: ``step`` is where it stands, ``first_step`` how far undo reaches back,
``edit`` counts every change of the draft, undo and redo among them. The pen is the right to edit;
``pen_asked`` are the notes of those who wait for it, as JSON."""

plan_step = Table(
    "plan_step",
    metadata,
    Column("plan_id", String(64), ForeignKey("plan.id"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("label", String(300), nullable=False),
    Column("inputs", Text, nullable=False),
    Column("at_utc", String(30), nullable=False),
    PrimaryKeyConstraint("plan_id", "number"),
)
"""The inputs after each step, as canonical JSON; dangers given inline stand as a blob."""

plan_revision = Table(
    "plan_revision",
    metadata,
    Column("plan_id", String(64), ForeignKey("plan.id"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("sha256", String(64), ForeignKey("blob.sha256"), nullable=False),
    Column("inputs_sha256", String(64), nullable=False),
    Column("engine_version", String(40), nullable=False),
    Column("created_utc", String(30), nullable=False),
    PrimaryKeyConstraint("plan_id", "number"),
)

vessel = Table(
    "vessel",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("name", String(200), nullable=False),
    Column("fleet", String(200), nullable=False),
    Column("created_utc", String(30), nullable=False),
)
"""A real ship, to which plans belong. Where there are no accounts there is one, ``own``."""

plan_event = Table(
    "plan_event",
    metadata,
    Column("plan_id", String(64), ForeignKey("plan.id"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("kind", String(40), nullable=False),
    Column("at_utc", String(30), nullable=False),
    Column("name", String(200), nullable=True),
    Column("rank", String(100), nullable=True),
    Column("account_id", String(64), nullable=True),
    Column("claimed", Boolean, nullable=False),
    Column("body", Text, nullable=False),
    PrimaryKeyConstraint("plan_id", "number"),
)
"""What is recorded beside the revisions, in order; never changed. Revision 0 is the draft."""

approval_use = Table(
    "approval_use",
    metadata,
    Column("plan_id", String(64), ForeignKey("plan.id"), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("kind", String(20), nullable=False),
    Column("item_id", String(200), nullable=False),
    Column("edition", Integer, nullable=False),
    PrimaryKeyConstraint("plan_id", "revision", "kind", "item_id"),
)
"""What each standing approval hangs on: stored ship, hazard sets and engine, to find it by them."""

audit = Table(
    "audit",
    metadata,
    Column("vessel_id", String(64), nullable=False),
    Column("number", Integer, nullable=False),
    Column("at_utc", String(30), nullable=False),
    Column("entry", Text, nullable=False),
    Column("hash", String(64), nullable=False),
    PrimaryKeyConstraint("vessel_id", "number"),
)
"""Every change, one chain per vessel: each hash covers the one before it and the entry."""

idempotency = Table(
    "idempotency",
    metadata,
    Column("key_sha256", String(64), primary_key=True),
    Column("request_sha256", String(64), nullable=False),
    Column("at_utc", String(30), nullable=False),
    Column("place", String(300), nullable=True),
    Column("status", Integer, nullable=True),
    Column("headers", Text, nullable=True),
    Column("body", LargeBinary, nullable=True),
)
"""Keys of requests that changed something, kept with the change; the answer comes after it."""

lease = Table(
    "lease",
    metadata,
    Column("name", String(200), primary_key=True),
    Column("holder", String(64), nullable=False),
    Column("until_s", Double, nullable=False),
)
"""Work that one process at a time may do; seconds since 1970 by the database's clock."""

webhook = Table(
    "webhook",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("url", String(500), nullable=False),
    Column("secret", Text, nullable=False),
    Column("vessel_id", String(64), nullable=False),
    Column("kinds", Text, nullable=False),
    Column("active", Boolean, nullable=False),
    Column("sent_number", Integer, nullable=False),
    Column("attempt_count", Integer, nullable=False),
    Column("next_utc", String(30), nullable=False),
    Column("created_utc", String(30), nullable=False),
)
"""Where other systems hear of changes. ``sent_number`` is the last entry of the audit log that was
delivered or given up."""

webhook_delivery = Table(
    "webhook_delivery",
    metadata,
    Column("webhook_id", String(64), ForeignKey("webhook.id"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("entry_number", Integer, nullable=False),
    Column("attempt", Integer, nullable=False),
    Column("at_utc", String(30), nullable=False),
    Column("outcome", String(20), nullable=False),
    Column("status", Integer, nullable=True),
    Column("detail", String(300), nullable=False),
    PrimaryKeyConstraint("webhook_id", "number"),
)
"""Every attempt to deliver, in order."""

thread = Table(
    "thread",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("plan_id", String(64), ForeignKey("plan.id"), nullable=False, index=True),
    Column("anchor_kind", String(20), nullable=False),
    Column("anchor_id", String(1000), nullable=False),
)
"""What people talk about: one thing of a plan by its stable id. Never changed."""

thread_note = Table(
    "thread_note",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("plan_id", String(64), ForeignKey("plan.id"), nullable=False),
    Column("thread_id", String(64), ForeignKey("thread.id"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("kind", String(20), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("newest_revision", Integer, nullable=False),
    Column("at_utc", String(30), nullable=False),
    Column("name", String(200), nullable=True),
    Column("rank", String(100), nullable=True),
    Column("account_id", String(64), nullable=True),
    Column("claimed", Boolean, nullable=False),
    Column("side", String(5), nullable=False),
    Column("words", Text, nullable=False),
    Column("seen", Text, nullable=False),
    UniqueConstraint("plan_id", "number", name="thread_note_order"),
    CheckConstraint("kind IN ('note', 'resolved', 'reopened')", name="thread_note_kind"),
    CheckConstraint("side IN ('ship', 'shore')", name="thread_note_side"),
)
"""What was said, in the order it came in here; that a thread was resolved is a note too. ``seen``
are the ids of the notes it had then, with spaces between."""
