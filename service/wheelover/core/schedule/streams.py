"""What stream runs when: tables by time and by hours about high water, as they are looked up.

Between two given streams the stream changes evenly, north and east apart, so that it turns through
slack water as given ones do. Outside a table nothing is known.
"""

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from wheelover.core.types.stream import Stream, StreamHour
from wheelover.core.units import m_per_s_from_kn

HOUR_S = 3600.0
HELD_S = 1800.0
"""The stream of an hour about high water is that from half an hour before it to half an hour after.
"""

Flow = tuple[float, float]
"""East and north, metres per second."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A time in which streams are known, with the flow at each of its knots, in order."""

    at_s: tuple[float, ...]
    flows: tuple[Flow, ...]

    def flow_at(self, at_s: float) -> Flow:
        """Return the flow at a time within it."""
        row = min(max(bisect_right(self.at_s, at_s), 1), len(self.at_s) - 1)
        low_s, high_s = self.at_s[row - 1], self.at_s[row]
        part = 0.0 if high_s == low_s else (at_s - low_s) / (high_s - low_s)
        (east, north), (to_east, to_north) = self.flows[row - 1], self.flows[row]
        return east + (to_east - east) * part, north + (to_north - north) * part


@dataclass(frozen=True, slots=True, kw_only=True)
class StreamTable:
    """A stream made ready to be looked up."""

    station: str
    spans: tuple[Span, ...]

    def flow_at(self, at_s: float) -> Flow | None:
        """Return the stream at a time, None where the table does not cover it.

        Parameters
        ----------
        at_s : float
            Seconds since 1970 UTC.
        """
        for span in self.spans:
            if span.at_s[0] <= at_s <= span.at_s[-1]:
                return span.flow_at(at_s)
        return None


def stream_table(stream: Stream) -> StreamTable:
    """Return a stream made ready to be looked up.

    Parameters
    ----------
    stream : Stream
        As it is given.

    Notes
    -----
    Hours about high water are those of tidal stream tables; a rate between neaps and springs
    changes evenly with the range of the tide [TidalStreamRates]_. Where two high waters are less
    than the table's length apart the nearer one counts.
    """
    if stream.rows:
        span = Span(
            at_s=tuple(one.at_s for one in stream.rows),
            flows=tuple(_flow(one.set_deg, one.drift_kn) for one in stream.rows),
        )
        return StreamTable(station=stream.station, spans=(span,))
    flows = [_flow(one.set_deg, rate_kn(one, stream.range_ratio)) for one in stream.hours]
    waters_s = stream.high_waters_s
    spans = []
    for index, high_s in enumerate(waters_s):
        first_s = high_s + stream.hours[0].hour * HOUR_S - HELD_S
        last_s = high_s + stream.hours[-1].hour * HOUR_S + HELD_S
        if index > 0:
            first_s = max(first_s, (waters_s[index - 1] + high_s) / 2.0)
        if index + 1 < len(waters_s):
            last_s = min(last_s, (high_s + waters_s[index + 1]) / 2.0)
        if first_s < last_s:
            spans.append(_about(high_s, stream.hours, flows, first_s, last_s))
    return StreamTable(station=stream.station, spans=tuple(spans))


def rate_kn(hour: StreamHour, range_ratio: float | None) -> float:
    """Return the drift of an hour for the range of the day, never less than none.

    Parameters
    ----------
    hour : StreamHour
        With the drifts of springs and neaps.
    range_ratio : float or None
        0 at neaps, 1 at springs; without one the drift of springs.

    Examples
    --------
    Halfway between a neap drift of 1.2 and a spring drift of 2.4 kn [TidalStreamRates]_:

    >>> rate_kn(StreamHour(hour=2, set_deg=40.0, drift_kn=2.4, neap_drift_kn=1.2), 0.5)
    1.7999999999999998
    """
    if range_ratio is None or hour.neap_drift_kn is None:
        return hour.drift_kn
    neap_kn = hour.neap_drift_kn
    return max(0.0, neap_kn + (hour.drift_kn - neap_kn) * range_ratio)


def _about(
    high_s: float, hours: Sequence[StreamHour], flows: Sequence[Flow], first_s: float, last_s: float
) -> Span:
    """Return the span about one high water, from a first to a last time."""
    times = [high_s + one.hour * HOUR_S for one in hours]
    whole = Span(
        at_s=(times[0] - HELD_S, *times, times[-1] + HELD_S),
        flows=(flows[0], *flows, flows[-1]),
    )
    inside = [one for one in whole.at_s if first_s < one < last_s]
    at_s = (first_s, *inside, last_s)
    return Span(at_s=at_s, flows=tuple(whole.flow_at(one) for one in at_s))


def _flow(set_deg: float, drift_kn: float) -> Flow:
    """Return a stream as it flows east and north."""
    speed_m_per_s, toward_rad = m_per_s_from_kn(drift_kn), math.radians(set_deg)
    return speed_m_per_s * math.sin(toward_rad), speed_m_per_s * math.cos(toward_rad)
