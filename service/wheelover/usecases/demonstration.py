"""The demonstration passage: read from the sample files the way a user's own would be."""

from pathlib import Path
from typing import Any

from wheelover.core.errors import NotFound
from wheelover.formats.strict_json import read_json
from wheelover.store import Store
from wheelover.usecases.drafts import has_plan, start_plan
from wheelover.usecases.read_route import read_route_file

ROUTE_FILE = "demonstration.csv"
SETTING_FILE = "demonstration.json"
PLAN_ID = "demonstration"
HAZARD_FILE = "demonstration-hazards.geojson"


def demonstration(samples: Path) -> dict[str, Any]:
    """Return the demonstration as a plan request, with the route file it came from.

    Raises
    ------
    NotFound
        When the sample files are not where the settings say.
    """
    try:
        csv = (samples / ROUTE_FILE).read_bytes()
        setting = read_json((samples / SETTING_FILE).read_bytes())
        hazards = read_json((samples / HAZARD_FILE).read_bytes())
    except FileNotFoundError as error:
        raise NotFound(
            "The demonstration's files are not in the folder of sample routes; "
            "set WHEELOVER_SAMPLES to where they are."
        ) from error
    route = read_route_file(csv, ROUTE_FILE)["route"]
    request = {
        "demonstration": True,
        "route": {**route, "name": setting["name"]},
        "ship": setting["ship"],
        "hazards": hazards,
        "marks": setting["marks"],
        "limits": setting["limits"],
        **setting["more"],
    }
    for waypoint in request["route"]["waypoints"]:
        for place, wishes in setting["waypoints"].get(waypoint["id"], {}).items():
            waypoint[place] = {**(waypoint.get(place) or {}), **wishes}
    return {
        "request": request,
        "file_name": ROUTE_FILE,
        "csv": csv.decode("utf-8"),
        "notes": setting["notes"],
    }


def keep_demonstration(store: Store, samples: Path, now_utc: str) -> str:
    """Make sure that the demonstration is a stored plan, and return its id.

    Parameters
    ----------
    store : Store
        Where plans are kept.
    samples : Path
        Folder of the sample routes.
    now_utc : str
        The time, RFC 3339.
    """
    if not has_plan(store, PLAN_ID):
        start_plan(store, demonstration(samples)["request"], now_utc, PLAN_ID)
    return PLAN_ID
