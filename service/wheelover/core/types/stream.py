"""Streams as they are given: at times, or in hours before and after high water."""

from dataclasses import dataclass

from wheelover.core.errors import Fault, InvalidConditions

LEAST_HOUR, MOST_HOUR = -6, 6


@dataclass(frozen=True, slots=True, kw_only=True)
class StreamAt:
    """A stream at a time, in seconds since 1970 UTC. ``set_deg`` is where it goes to."""

    at_s: float
    set_deg: float
    drift_kn: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StreamHour:
    """A stream so many hours after high water, before it below zero.

    ``drift_kn`` is that of springs where ``neap_drift_kn`` is given, else that of the day.
    """

    hour: int
    set_deg: float
    drift_kn: float
    neap_drift_kn: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stream:
    """Streams at a place, for the legs from one waypoint to another.

    Given either as ``rows`` at times, or as ``hours`` about ``high_waters_s``. Without ``from_id``
    they count from the first waypoint, without ``to_id`` to the last. ``range_ratio`` is where the
    range of the tide lies between neaps, 0, and springs, 1; without it the drift of springs counts.

    Raises
    ------
    InvalidConditions
        For rows and hours both or neither, out of order, or a range ratio without neaps.
    """

    station: str
    from_id: str | None = None
    to_id: str | None = None
    source: str | None = None
    rows: tuple[StreamAt, ...] = ()
    high_waters_s: tuple[float, ...] = ()
    hours: tuple[StreamHour, ...] = ()
    range_ratio: float | None = None

    def __post_init__(self) -> None:
        """Refuse what no stream can be read from."""
        fault = self._fault()
        if fault is not None:
            raise InvalidConditions(fault.message, (fault,))

    def _fault(self) -> Fault | None:
        """Return what is wrong with it."""
        tidal = bool(self.hours or self.high_waters_s)
        if bool(self.rows) == tidal:
            message = "give a stream as rows at times, or as high_waters_utc and hours"
            return Fault(pointer="/rows", message=message)
        if tidal and not (self.hours and self.high_waters_s):
            missing = "high_waters_utc" if self.hours else "hours"
            return Fault(pointer=f"/{missing}", message=f"{missing} are missing")
        if len(self.rows) == 1:
            return Fault(pointer="/rows", message="1 row given; at least 2 are needed")
        return self._out_of_order() or self._half_neaps()

    def _out_of_order(self) -> Fault | None:
        """Return where something is not later than what stands before it, or an hour is missing."""
        for member, times in (
            ("rows", [one.at_s for one in self.rows]),
            ("high_waters_utc", list(self.high_waters_s)),
        ):
            for index in range(1, len(times)):
                if times[index] <= times[index - 1]:
                    message = "each time must be later than the one before it"
                    return Fault(pointer=f"/{member}/{index}", message=message)
        for index in range(1, len(self.hours)):
            if self.hours[index].hour != self.hours[index - 1].hour + 1:
                message = "hours follow one another from the earliest to the latest, none left out"
                return Fault(pointer=f"/hours/{index}/hour", message=message)
        return None

    def _half_neaps(self) -> Fault | None:
        """Return where neaps are given for some hours only, or a range ratio without neaps."""
        neaps = [one.neap_drift_kn is not None for one in self.hours]
        if any(neaps) and not all(neaps):
            index = neaps.index(False)
            message = "neap_drift_kn is given for every hour or for none"
            return Fault(pointer=f"/hours/{index}/neap_drift_kn", message=message)
        if self.range_ratio is not None and not any(neaps):
            message = "a range_ratio needs neap_drift_kn beside the drift of springs"
            return Fault(pointer="/range_ratio", message=message)
        return None
