"""The turn about a mark, asked for and answered."""

from pydantic import BaseModel

from wheelover.api.schemas.positions import PositionIn, PositionOut
from wheelover.api.schemas.strict import Direction, Radius, Strict


class AboutMarkIn(Strict):
    """A mark, the distance to keep off it, and the courses before and after."""

    mark: PositionIn
    radius_nm: Radius
    course_in_deg: Direction
    course_out_deg: Direction


class AboutMarkBetweenIn(Strict):
    """A mark, the distance to keep off it, and the waypoints before and after."""

    mark: PositionIn
    radius_nm: Radius
    before: PositionIn
    after: PositionIn


class AboutMarkAnswer(BaseModel):
    """The waypoint for which both legs are tangent to the circle about the mark."""

    waypoint: PositionOut
    start: PositionOut
    end: PositionOut
    course_change_deg: float
    tangent_in_m: float
    tangent_out_m: float
    arc_m: float
