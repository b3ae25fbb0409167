"""The coastline that a plan is held against, and how far it is ready."""

from dataclasses import asdict
from typing import Any

from wheelover.charts.land import LAND
from wheelover.core.types.chart import NO_LAND_CHECK
from wheelover.core.types.coast import Coast

SWITCHED_OFF = "the land check is switched off in this plan"


def coast_wanted(check_land: bool | None) -> tuple[Coast | None, str]:
    """Return the coastline where a plan asks for it, else why there is none.

    The first to ask waits until it is built; how far that is ``coast_state`` tells meanwhile.

    Parameters
    ----------
    check_land : bool or None
        What the plan asks for.
    """
    if not check_land:
        return None, NO_LAND_CHECK if check_land is None else SWITCHED_OFF
    found = LAND.wait()
    return (None, found) if isinstance(found, str) else (found, "")


def coast_state() -> dict[str, Any]:
    """Return how far the coastline is ready to be checked against; nothing is begun by asking."""
    return asdict(LAND.state)
