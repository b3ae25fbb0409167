"""Streams of a request: at times, or in hours about high water."""

from collections.abc import Sequence
from typing import Annotated

from pydantic import Field

from wheelover.api.schemas.strict import Direction, Drift, Label, Strict, Word
from wheelover.api.schemas.utc import UtcTime
from wheelover.core.errors import Fault, InvalidConditions
from wheelover.core.types.stream import LEAST_HOUR, MOST_HOUR, Stream, StreamAt, StreamHour
from wheelover.core.utc import seconds_from_utc


class StreamAtIn(Strict):
    """A stream at a time: where it sets to, and its drift."""

    at_utc: UtcTime
    set_deg: Direction
    drift_kn: Drift


class StreamHourIn(Strict):
    """A stream so many hours after high water, before it below zero, at springs and at neaps."""

    hour: Annotated[int, Field(ge=LEAST_HOUR, le=MOST_HOUR)]
    set_deg: Direction
    drift_kn: Drift
    neap_drift_kn: Drift | None = None


class StreamIn(Strict):
    """Streams at a place, for the legs from one waypoint to another.

    Either rows in order of time, between which the stream changes evenly, or hours about high
    waters. Without from_id they count from the first waypoint, without to_id to the last. The range
    ratio is where the range of the tide lies between neaps, 0, and springs, 1. Outside the table
    nothing is known.
    """

    station: Word
    from_id: Word | None = None
    to_id: Word | None = None
    source: Label | None = None
    rows: Annotated[list[StreamAtIn], Field(max_length=2000)] | None = None
    high_waters_utc: Annotated[list[UtcTime], Field(max_length=1000)] | None = None
    hours: Annotated[list[StreamHourIn], Field(max_length=13)] | None = None
    range_ratio: Annotated[float, Field(ge=-0.5, le=2.0)] | None = None

    def to_core(self) -> Stream:
        """Return it as the core takes it."""
        return Stream(
            station=self.station,
            from_id=self.from_id,
            to_id=self.to_id,
            source=self.source,
            rows=tuple(
                StreamAt(
                    at_s=seconds_from_utc(one.at_utc), set_deg=one.set_deg, drift_kn=one.drift_kn
                )
                for one in self.rows or ()
            ),
            high_waters_s=tuple(seconds_from_utc(one) for one in self.high_waters_utc or ()),
            hours=tuple(StreamHour(**one.model_dump()) for one in self.hours or ()),
            range_ratio=self.range_ratio,
        )


def streams_on(streams: Sequence[StreamIn], ids: Sequence[str]) -> tuple[Stream, ...]:
    """Return streams as the core takes them.

    Parameters
    ----------
    streams : sequence of StreamIn
        The streams.
    ids : sequence of str
        The waypoints of the route, in sailing order.

    Raises
    ------
    InvalidConditions
        For a waypoint that is not in the route, an end before its start, or a table that nothing
        can be read from.
    """
    made, faults = [], []
    for index, stream in enumerate(streams):
        at = f"/conditions/streams/{index}"
        for member in ("from_id", "to_id"):
            named = getattr(stream, member)
            if named is not None and named not in ids:
                message = f"{named[:60]!r} is no waypoint of the route"
                faults.append(Fault(pointer=f"{at}/{member}", message=message))
        known = stream.from_id in ids and stream.to_id in ids
        if known and ids.index(stream.from_id or "") >= ids.index(stream.to_id or ""):
            message = f"to_id {(stream.to_id or '')[:60]!r} does not come after from_id"
            faults.append(Fault(pointer=f"{at}/to_id", message=message))
        try:
            made.append(stream.to_core())
        except InvalidConditions as error:
            faults += [
                Fault(pointer=f"{at}{one.pointer}", message=one.message) for one in error.faults
            ]
    if faults:
        raise InvalidConditions(faults[0].message, tuple(faults))
    return tuple(made)
