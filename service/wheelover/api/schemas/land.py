"""What the open coastline says of legs and turns, in an answer."""

from typing import Literal

from pydantic import Field

from wheelover.api.schemas.answer import Answer, PositionOut


class UsedOut(Answer):
    """A stretch of a leg or turn, metres along it, and what its land comes from."""

    source: Literal["coastline", "cells"]
    from_m: float
    to_m: float


class LandfallOut(Answer):
    """A stretch on land of the coastline, and the known canals in whose boxes it lies."""

    from_m: float
    to_m: float
    from_: PositionOut = Field(alias="from")
    to: PositionOut
    canals: list[str]


class CorridorLandOut(Answer):
    """The coastline nearest inside the cross-track limit of a side."""

    side: Literal["port", "starboard"]
    limit_m: float
    distance_m: float
    position: PositionOut
    waived: bool


class WaivedOut(Answer):
    """The stretch of a leg for which its canal waiver answers, along it from its first waypoint."""

    from_m: float
    to_m: float


class LandOut(Answer):
    """What the open coastline says of a leg or turn; null where none within ``search_m``.

    ``used`` says where which source counts, where it is both; else ``source`` holds for all of it.
    ``hull_m`` is what is left of the nearest distance beside the hull on a leg, and how far the
    hull stays from the coast in a simulated turn, where it comes near.
    """

    result: Literal["met", "must_explain", "must_resolve", "not_checked"]
    source: Literal["coastline", "cells", "both"]
    version: str
    search_m: float
    nearest_m: float | None
    position: PositionOut | None
    track_position: PositionOut | None
    hull_m: float | None
    used: list[UsedOut]
    on_land: list[LandfallOut]
    waived: WaivedOut | None
    corridor: list[CorridorLandOut]
    reason: str | None


class CanalByOut(Answer):
    """Who answers for a leg through a canal."""

    name: str
    rank: str | None


class CanalOut(Answer):
    """A canal waiver as it was given."""

    reason: str
    by: CanalByOut
    at_utc: str | None
    from_nm: float | None
    to_nm: float | None
