"""Navigational warnings as they are pasted and answered."""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, Field, field_validator

from wheelover.api.schemas.strict import Strict
from wheelover.formats.warning_text import MOST_TEXT


class ChosenIn(Strict):
    """What the reader decided of one position: which reading counts, or that it is left out.

    ``start`` is where the position begins in the text, counted from 0.
    """

    start: Annotated[int, Field(ge=0, le=MOST_TEXT)]
    reading: Annotated[int, Field(ge=0, le=9)] | None


class WarningTextIn(Strict):
    """The text of one or more warnings, and what was decided of positions in question."""

    text: Annotated[str, Field(min_length=1, max_length=MOST_TEXT)]
    chosen: Annotated[list[ChosenIn], Field(max_length=2000, default_factory=list)]

    @field_validator("chosen")
    @classmethod
    def _each_once(cls, chosen: list[ChosenIn]) -> list[ChosenIn]:
        """Refuse two decisions about one position."""
        starts = [one.start for one in chosen]
        if len(set(starts)) != len(starts):
            raise ValueError("two decisions about one position")
        return chosen


class SaidTimeOut(BaseModel):
    """A time as it is written, and in UTC where it names a year."""

    raw: str
    utc: str | None


class ReadingOut(BaseModel):
    """One way to read a position. ``words`` says which, where there is more than one."""

    lat_deg: float
    lon_deg: float
    shown: str
    words: str


class FoundPositionOut(BaseModel):
    """A position, from character ``start`` up to ``end``; in question while it is not settled."""

    start: int
    end: int
    raw: str
    problem: str | None
    settled: bool
    reading: int | None
    readings: list[ReadingOut]


class NavigationalWarningOut(BaseModel):
    """One message. ``takings`` holds GeoJSON features by shape, for a plan or a hazard set."""

    start: int
    end: int
    number: str | None
    issued: SaidTimeOut | None
    cancel: SaidTimeOut | None
    cancels: list[str]
    positions: list[FoundPositionOut]
    suggested_shape: Literal["points", "line", "area", "circle"]
    radius_m: float | None
    takings: dict[str, list[dict[str, Any]]]
    missing: dict[str, str]


class WarningsAnswer(BaseModel):
    """Everything that was found in a text."""

    messages: list[NavigationalWarningOut]
    position_count: int
    in_question_count: int
