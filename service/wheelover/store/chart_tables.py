"""The tables of chart cells."""

from sqlalchemy import (
    CheckConstraint,
    Column,
    Float,
    ForeignKey,
    Integer,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
)

from wheelover.store.tables import metadata

chart_cell = Table(
    "chart_cell",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("name", String(20), nullable=False, index=True),
    Column("edition", Integer, nullable=False),
    Column("created_utc", String(30), nullable=False),
    Column("changed_seq", Integer, nullable=False, unique=True),
    Column("vessel_id", String(64), nullable=True),
    Column("withdrawn_utc", String(30), nullable=True),
    CheckConstraint("edition >= 1", name="chart_cell_edition"),
)
"""A cell under its producer's name; ``edition`` is the newest kept here. Without vessel it is for
all. One that was withdrawn stays for the plans that used it."""

chart_edition = Table(
    "chart_edition",
    metadata,
    Column("cell_id", String(64), ForeignKey("chart_cell.id"), nullable=False),
    Column("edition", Integer, nullable=False),
    Column("producer_edition", Integer, nullable=False),
    Column("producer_update", Integer, nullable=False),
    Column("sha256", String(64), ForeignKey("blob.sha256"), nullable=False),
    Column("object_count", Integer, nullable=False),
    Column("west_deg", Float(53), nullable=False),
    Column("south_deg", Float(53), nullable=False),
    Column("east_deg", Float(53), nullable=False),
    Column("north_deg", Float(53), nullable=False),
    Column("said", Text, nullable=False),
    Column("created_utc", String(30), nullable=False),
    PrimaryKeyConstraint("cell_id", "edition"),
)
"""What an edition holds stands as a blob; ``said`` is what a list says of it, as JSON: about,
outline, counts, files and the report of its import. The box is around everything in it."""
