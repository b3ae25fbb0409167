"""Accounts, their roles, sessions, wrong tries, and keys of other systems."""

import sqlalchemy as sa
from alembic import op

revision = "m0003_accounts"
down_revision = "m0002_record_and_audit"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    _accounts()
    _sessions()
    _keys()


def _accounts() -> None:
    """Make accounts and their roles."""
    op.create_table(
        "account",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("name", sa.String(64), nullable=False, unique=True),
        sa.Column("person", sa.String(200), nullable=False),
        sa.Column("rank", sa.String(100), nullable=False),
        sa.Column("ashore", sa.Boolean, nullable=False),
        sa.Column("disabled", sa.Boolean, nullable=False),
        sa.Column("password_hash", sa.String(200), nullable=True),
        sa.Column("enrol_sha256", sa.String(64), nullable=True),
        sa.Column("enrol_until_utc", sa.String(30), nullable=True),
        sa.Column("factor_sealed", sa.Text, nullable=True),
        sa.Column("factor_step", sa.Integer, nullable=False),
        sa.Column("outside_issuer", sa.String(300), nullable=True),
        sa.Column("outside_subject", sa.String(300), nullable=True),
        sa.Column("edit", sa.Integer, nullable=False),
        sa.Column("created_utc", sa.String(30), nullable=False),
        sa.Column("changed_seq", sa.Integer, nullable=False, unique=True),
        sa.UniqueConstraint("outside_issuer", "outside_subject", name="account_outside"),
    )
    op.create_table(
        "account_grant",
        sa.Column("account_id", sa.String(64), sa.ForeignKey("account.id"), nullable=False),
        sa.Column("role", sa.String(20), nullable=False),
        sa.Column("reach", sa.String(10), nullable=False),
        sa.Column("of", sa.String(200), nullable=False),
        sa.PrimaryKeyConstraint("account_id", "role", "reach", "of"),
        sa.CheckConstraint(
            "role IN ('reader', 'navigator', 'master', 'superintendent', 'administrator')",
            name="account_grant_role",
        ),
        sa.CheckConstraint("reach IN ('vessel', 'fleet', 'all')", name="account_grant_reach"),
    )


def _sessions() -> None:
    """Make sessions, and what wrong tries are counted by."""
    op.create_table(
        "session",
        sa.Column("token_sha256", sa.String(64), primary_key=True),
        sa.Column("account_id", sa.String(64), sa.ForeignKey("account.id"), nullable=False),
        sa.Column("started_utc", sa.String(30), nullable=False),
        sa.Column("used_utc", sa.String(30), nullable=False),
    )
    op.create_index("session_account", "session", ["account_id"])
    op.create_table(
        "sign_in_try",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("account_sha256", sa.String(64), nullable=False),
        sa.Column("address", sa.String(64), nullable=False),
        sa.Column("known", sa.Boolean, nullable=False),
        sa.Column("at_utc", sa.String(30), nullable=False),
    )
    op.create_index("sign_in_try_address", "sign_in_try", ["address", "at_utc"])
    op.create_index("sign_in_try_account", "sign_in_try", ["account_sha256", "at_utc"])
    op.create_table(
        "known_address",
        sa.Column("account_sha256", sa.String(64), nullable=False),
        sa.Column("address", sa.String(64), nullable=False),
        sa.Column("at_utc", sa.String(30), nullable=False),
        sa.PrimaryKeyConstraint("account_sha256", "address"),
    )


def _keys() -> None:
    """Make keys of other systems."""
    op.create_table(
        "api_key",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("scopes", sa.String(40), nullable=False),
        sa.Column("reach", sa.String(10), nullable=False),
        sa.Column("of", sa.String(200), nullable=False),
        sa.Column("made_by", sa.String(64), sa.ForeignKey("account.id"), nullable=False),
        sa.Column("created_utc", sa.String(30), nullable=False),
        sa.Column("until_utc", sa.String(30), nullable=False),
        sa.Column("revoked_utc", sa.String(30), nullable=True),
        sa.Column("changed_seq", sa.Integer, nullable=False, unique=True),
        sa.CheckConstraint("reach IN ('vessel', 'fleet')", name="api_key_reach"),
    )


def downgrade() -> None:
    """Refuse: a way back would throw accounts away. Restore the backup instead."""
    raise NotImplementedError("there is no way back from a migration; restore the backup")
