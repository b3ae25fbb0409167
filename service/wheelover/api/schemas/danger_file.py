"""What reading a file of dangers answers."""

from typing import Any, Literal

from pydantic import BaseModel


class DangerRowOut(BaseModel):
    """One row: its text, and what was understood of it or why nothing was."""

    line: int
    raw: str
    understood: str | None
    problem: str | None


class DangerFileAnswer(BaseModel):
    """A file of dangers as it was read; ``hazards`` is what a plan or a hazard set takes."""

    format: Literal["csv", "geojson"]
    hazards: dict[str, Any]
    report: list[DangerRowOut]
    accepted_count: int
    rejected_count: int
    read_as: str
    notes: list[str]
