"""What every answer is made of."""

from pydantic import BaseModel, ConfigDict


class Answer(BaseModel):
    """A model that names every member of an answer."""

    model_config = ConfigDict(extra="forbid")


class PositionOut(Answer):
    """A position on WGS84."""

    lat_deg: float
    lon_deg: float
