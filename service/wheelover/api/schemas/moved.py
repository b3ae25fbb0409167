"""A waypoint of a plan moved elsewhere: what is asked, and the answer."""

from wheelover.api.schemas.answer import Answer
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.api.schemas.plan_response import LeastOut
from wheelover.api.schemas.positions import PositionIn
from wheelover.api.schemas.strict import Strict, Word


class MovedRequest(Strict):
    """A plan as it stands, and where one of its waypoints is now."""

    plan: PlanRequest
    waypoint_id: Word
    position: PositionIn


class MovedLegOut(Answer):
    """A leg that may change with the waypoint, by the waypoints it joins.

    ``least_clearance`` is null where nothing loaded is near, or where the leg is not ``checked``:
    no danger is loaded, it has no length, or beside a pole it could not be measured.
    """

    from_id: str
    to_id: str
    checked: bool
    least_clearance: LeastOut | None


class MovedTurnOut(Answer):
    """A turn that may change with the waypoint, as a leg; without an arc it is not ``checked``."""

    waypoint_id: str
    checked: bool
    least_clearance: LeastOut | None


class MovedAnswer(Answer):
    """What the legs and turns about a moved waypoint clear, as the whole plan would say it.

    Speeds and currents are those of the plan as it stands, also where times of arrival are given.
    Land, depth and what water the charts cover are not looked at, nor charts that only the moved
    waypoint comes near.
    """

    waypoint_id: str
    legs: list[MovedLegOut]
    turns: list[MovedTurnOut]
