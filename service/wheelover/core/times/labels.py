"""Places of full hours along the track, for time labels beside it."""

import numpy as np

from wheelover.core.geo.angles import normal_longitude_deg
from wheelover.core.times.line import TimedLine
from wheelover.core.types.route import Position
from wheelover.core.types.schedule import TimeLabel

HOUR_S = 3600.0
EVERY_H = (1, 2, 3, 4, 6, 12, 24, 48, 96, 168, 336, 672)
MOST = 60
"""Up to so many labels; where hours are more, every second, third or so is told."""


def time_labels(line: TimedLine, departure_s: float | None) -> tuple[TimeLabel, ...]:
    """Return where she is at full hours.

    Parameters
    ----------
    line : TimedLine
        The track with its times.
    departure_s : float or None
        Hours are those of the clock in UTC; without a departure they count from it.
    """
    known = ~np.isnan(line.at_s)
    if not bool(known.any()):
        return ()
    start_s = 0.0 if departure_s is None else departure_s
    at_s = line.at_s[known] + start_s
    lat = line.lat_deg[known]
    lon = np.degrees(np.unwrap(np.radians(line.lon_deg[known])))
    first_s, last_s = float(at_s[0]), float(at_s[-1])
    every_s = HOUR_S * next(
        (one for one in EVERY_H if (last_s - first_s) / (one * HOUR_S) <= MOST), EVERY_H[-1]
    )
    hours_s = np.arange(np.ceil(first_s / every_s) * every_s, last_s + 0.5, every_s)[: MOST + 1]
    # Where no track is known between two places, nothing is put there.
    row = np.clip(np.searchsorted(at_s, hours_s, side="right"), 1, at_s.size - 1)
    run = line.run[known]
    together = run[row] == run[row - 1]
    lats, lons = np.interp(hours_s, at_s, lat), np.interp(hours_s, at_s, lon)
    return tuple(
        TimeLabel(
            position=Position(lat_deg=float(a), lon_deg=float(normal_longitude_deg(b))),
            at_s=float(c) - start_s,
        )
        for a, b, c, joined in zip(lats, lons, hours_s, together, strict=True)
        if joined
    )
