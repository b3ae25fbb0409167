"""Whether it is dark at each wheel-over, where the plan knows when she comes there."""

from collections.abc import Sequence

from wheelover.core.aids.helms import Helm
from wheelover.core.schedule.sun import lights_at
from wheelover.core.types.sky import DARK

NO_DEPARTURE = "daylight is not known: no time of departure is given"
NO_TIME = "daylight is not known: when she comes there is not known"


def darkness(
    helms: Sequence[Helm], departure_s: float | None
) -> list[tuple[bool | None, str | None]]:
    """Return whether it is dark at each wheel-over, or why that is not known.

    Parameters
    ----------
    helms : sequence of Helm
        The planned wheel-overs.
    departure_s : float or None
        Time of departure, seconds since 1970 UTC.
    """
    if departure_s is None:
        return [(None, NO_DEPARTURE)] * len(helms)
    timed = [(one.at, departure_s + one.at_s) for one in helms if one.at_s is not None]
    lights = iter(
        lights_at(
            [at.lat_deg for at, _ in timed],
            [at.lon_deg for at, _ in timed],
            [when_s for _, when_s in timed],
        )
    )
    return [(None, NO_TIME) if one.at_s is None else (next(lights) in DARK, None) for one in helms]
