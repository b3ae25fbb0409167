"""Whether it is dark at each wheel-over, where the plan knows when she comes there."""

from collections.abc import Sequence

from wheelover.core.aids.helms import Helm

NO_DEPARTURE = "daylight is not known: no time of departure is given"
NO_TIME = "daylight is not known: when she comes there is not known"
NO_SUN = "daylight is not known: the sun is not computed"


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
    return [(None, NO_TIME if one.at_s is None else NO_SUN) for one in helms]
