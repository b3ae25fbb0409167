"""The demonstration passage: read from the sample files the way a user's own would be."""

from pathlib import Path
from typing import Any

from wheelover.core.errors import NotFound
from wheelover.formats.strict_json import read_json
from wheelover.usecases.read_route import read_route_file

ROUTE_FILE = "demonstration.csv"
SETTING_FILE = "demonstration.json"
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
        "limits": setting["limits"],
    }
    return {
        "request": request,
        "file_name": ROUTE_FILE,
        "csv": csv.decode("utf-8"),
        "notes": setting["notes"],
    }
