"""The tables of accounts: who may sign in, what each may do where, sessions, tries and keys.

Passwords stand as argon2id, tokens and keys as their SHA-256, second factors sealed with a key that
lies outside the database.
"""

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    Integer,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from wheelover.store.tables import metadata

account = Table(
    "account",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("name", String(64), nullable=False, unique=True),
    Column("person", String(200), nullable=False),
    Column("rank", String(100), nullable=False),
    Column("ashore", Boolean, nullable=False),
    Column("disabled", Boolean, nullable=False),
    Column("password_hash", String(200), nullable=True),
    Column("enrol_sha256", String(64), nullable=True),
    Column("enrol_until_utc", String(30), nullable=True),
    Column("factor_sealed", Text, nullable=True),
    Column("factor_step", Integer, nullable=False),
    Column("outside_issuer", String(300), nullable=True),
    Column("outside_subject", String(300), nullable=True),
    Column("edit", Integer, nullable=False),
    Column("created_utc", String(30), nullable=False),
    Column("changed_seq", Integer, nullable=False, unique=True),
    UniqueConstraint("outside_issuer", "outside_subject", name="account_outside"),
)
"""A person who signs in. ``factor_step`` is the time step of the last one-time code that was used;
``outside_subject`` is who the shore office's provider says this is, linked by an administrator."""

account_grant = Table(
    "account_grant",
    metadata,
    Column("account_id", String(64), ForeignKey("account.id"), nullable=False),
    Column("role", String(20), nullable=False),
    Column("reach", String(10), nullable=False),
    Column("of", String(200), nullable=False),
    PrimaryKeyConstraint("account_id", "role", "reach", "of"),
    CheckConstraint(
        "role IN ('reader', 'navigator', 'master', 'superintendent', 'administrator')",
        name="account_grant_role",
    ),
    CheckConstraint("reach IN ('vessel', 'fleet', 'all')", name="account_grant_reach"),
)
"""A role of an account: on the vessel or the fleet that ``of`` names, or on all."""

session = Table(
    "session",
    metadata,
    Column("token_sha256", String(64), primary_key=True),
    Column("account_id", String(64), ForeignKey("account.id"), nullable=False),
    Column("started_utc", String(30), nullable=False),
    Column("used_utc", String(30), nullable=False),
    Index("session_account", "account_id"),
)
"""A browser that has signed in. ``used_utc`` is when it last changed or computed anything."""

sign_in_try = Table(
    "sign_in_try",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("account_sha256", String(64), nullable=False),
    Column("address", String(64), nullable=False),
    Column("known", Boolean, nullable=False),
    Column("at_utc", String(30), nullable=False),
    Index("sign_in_try_address", "address", "at_utc"),
    Index("sign_in_try_account", "account_sha256", "at_utc"),
)
"""Passwords that were looked at and were wrong, or are being looked at now.

In the place of an address stands a session or a browser (``accounts/tries.py``) where it has one.
"""

known_address = Table(
    "known_address",
    metadata,
    Column("account_sha256", String(64), nullable=False),
    Column("address", String(64), nullable=False),
    Column("at_utc", String(30), nullable=False),
    PrimaryKeyConstraint("account_sha256", "address"),
)
"""Addresses and browsers an account signed in from: others' wrong tries elsewhere do not count."""

api_key = Table(
    "api_key",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("name", String(200), nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("scopes", String(40), nullable=False),
    Column("reach", String(10), nullable=False),
    Column("of", String(200), nullable=False),
    Column("made_by", String(64), ForeignKey("account.id"), nullable=False),
    Column("created_utc", String(30), nullable=False),
    Column("until_utc", String(30), nullable=False),
    Column("revoked_utc", String(30), nullable=True),
    Column("changed_seq", Integer, nullable=False, unique=True),
    CheckConstraint("reach IN ('vessel', 'fleet')", name="api_key_reach"),
)
"""A key of another system: one vessel or one fleet, some scopes, an end."""
