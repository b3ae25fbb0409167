"""Positions asked for and answered."""

from typing import Annotated

from pydantic import BaseModel, Field

from wheelover.api.schemas.strict import Direction, Latitude, Longitude, Strict


class PositionIn(Strict):
    """A position on WGS84."""

    lat_deg: Latitude
    lon_deg: Longitude


class PositionTextIn(Strict):
    """A position as it is typed."""

    text: Annotated[str, Field(min_length=1, max_length=200)]


class OffsetIn(Strict):
    """A bearing and a distance from a position."""

    start: Annotated[PositionIn, Field(alias="from")]
    bearing_deg: Direction
    distance_nm: Annotated[float, Field(ge=0.0, le=10_000.0, description="Nautical miles")]


class PositionOut(BaseModel):
    """A position on WGS84."""

    lat_deg: float
    lon_deg: float


class PositionAnswer(BaseModel):
    """A position, and how it is shown."""

    position: PositionOut
    echo: str
