"""Heights of tide as they are given: at times, for a part of the route."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.errors import Fault, InvalidConditions

Between = Literal["cosine", "linear"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TideHeight:
    """A height of tide above chart datum at a time, in seconds since 1970 UTC."""

    at_s: float
    height_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tide:
    """Heights of tide at a station, in order of time, for the legs from one waypoint to another.

    Without ``from_id`` they count from the first waypoint on, without ``to_id`` to the last.
    ``between`` says how heights between two are found: by half a cosine between high and low
    water, or along a straight line. ``margin_s`` is how much earlier or later than computed she
    may pass.

    Raises
    ------
    InvalidConditions
        For fewer than two heights, or heights that are not in order of time.
    """

    station: str
    heights: tuple[TideHeight, ...]
    between: Between = "cosine"
    from_id: str | None = None
    to_id: str | None = None
    margin_s: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no height can be read from."""
        if len(self.heights) < 2:
            message = f"{len(self.heights)} heights of tide given; at least 2 are needed"
            raise InvalidConditions(message, (Fault(pointer="/heights", message=message),))
        for index in range(1, len(self.heights)):
            if self.heights[index].at_s <= self.heights[index - 1].at_s:
                message = "each height of tide must be later than the one before it"
                pointer = f"/heights/{index}/at_utc"
                raise InvalidConditions(message, (Fault(pointer=pointer, message=message),))
