"""The tide as it is given, for a part of the route: heights at times, or harmonic constants."""

from dataclasses import dataclass
from typing import Literal, NoReturn

from wheelover.core.errors import Fault, InvalidConditions

Between = Literal["cosine", "linear"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TideHeight:
    """A height of tide above chart datum at a time, in seconds since 1970 UTC."""

    at_s: float
    height_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Constituent:
    """One harmonic constituent: its name, amplitude, and phase lag on Greenwich (g)."""

    name: str
    amplitude_m: float
    phase_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Harmonics:
    """The harmonic constants of a station. ``mean_level_m`` (Z0) is above chart datum."""

    mean_level_m: float
    lat_deg: float
    constituents: tuple[Constituent, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tide:
    """The tide at a station for the legs from one waypoint to another.

    It is given by heights in order of time or by harmonic constants. Without ``from_id`` it counts
    from the first waypoint on, without ``to_id`` to the last. ``between`` says how heights between
    two of a table are found: by half a cosine between high and low water, or along a straight line.
    ``margin_s`` is how much earlier or later than computed she may pass.

    Raises
    ------
    InvalidConditions
        For fewer than two heights, heights that are not in order of time, both heights and
        constants, or constants without a constituent.
    """

    station: str
    heights: tuple[TideHeight, ...] = ()
    between: Between = "cosine"
    from_id: str | None = None
    to_id: str | None = None
    margin_s: float = 0.0
    harmonics: Harmonics | None = None

    def __post_init__(self) -> None:
        """Refuse what no height can be read from."""
        if self.harmonics is not None:
            if self.heights:
                _refuse("give heights of tide or harmonic constants, not both", "/harmonics")
            if not self.harmonics.constituents:
                _refuse("harmonic constants need a constituent", "/harmonics/constituents")
            return
        if len(self.heights) < 2:
            message = f"{len(self.heights)} heights of tide given; at least 2 are needed"
            _refuse(message, "/heights")
        for index in range(1, len(self.heights)):
            if self.heights[index].at_s <= self.heights[index - 1].at_s:
                message = "each height of tide must be later than the one before it"
                _refuse(message, f"/heights/{index}/at_utc")


def _refuse(message: str, pointer: str) -> NoReturn:
    """Raise for a tide that no height can be read from."""
    raise InvalidConditions(message, (Fault(pointer=pointer, message=message),))
