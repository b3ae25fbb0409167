"""The answer to a route file."""

from typing import Any

from pydantic import BaseModel, ConfigDict


class HemisphereChoice(BaseModel):
    """What a row in question may mean, and its text written so."""

    model_config = ConfigDict(extra="forbid")

    hemispheres: str
    raw: str


class ReportRow(BaseModel):
    """One row of the file beside what was understood of it."""

    model_config = ConfigDict(extra="forbid")

    line: int
    raw: str
    understood: str | None
    problem: str | None
    in_question: bool
    choices: list[HemisphereChoice]
    waypoint_id: str | None


class ReadingResponse(BaseModel):
    """A route file as it was read; ``route`` is in the shape a plan request takes."""

    model_config = ConfigDict(extra="forbid")

    format: str
    route: dict[str, Any]
    report: list[ReportRow]
    accepted_count: int
    rejected_count: int
    read_as: str
    notes: list[str]
