"""Plans that papers and workbooks are made of in tests, computed by the real service."""

import importlib.util
import math
from functools import lru_cache
from pathlib import Path
from typing import Any

from tests.revision_documents import GAT, SHIP, rich_request
from tests.revision_documents import frozen as frozen_revision
from wheelover.api import create_app
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.render.exports.stamp import Stamp, remarks
from wheelover.render.paper import Printing
from wheelover.render.paper.matter import Matter
from wheelover.usecases.demonstration import demonstration
from wheelover.usecases.gather import Gathered
from wheelover.usecases.plan_route import PlanInputs, plan_route
from wheelover.usecases.printing import printing_of

Document = dict[str, Any]

MORE_FONT = importlib.util.find_spec("fontpkg_noto_sans") is not None
"""Whether the font with more alphabets is installed, as the lock file has it."""

SAMPLES = Path(__file__).parents[3] / "sample_routes"
PRINTED_UTC = "2026-11-26T11:40:00.000Z"
FROZEN = Stamp(
    plan_id="plan-0123",
    revision=4,
    sha256="8f3a" * 16,
    created_utc="2026-11-25T14:02:11.000Z",
    standing=("State: approved. Approved r4 by R. Holm, master, claimed, 2026-11-25T16:20:00Z.",),
)


def made(asked: Document) -> PlanInputs:
    """Return the inputs of a plan from a request."""
    return PlanRequest.model_validate(asked).to_core(Gathered(inputs=asked))


@lru_cache(maxsize=1)
def demonstration_plan() -> tuple[Document, Document]:
    """Return the demonstration: request and plan."""
    request: Document = demonstration(SAMPLES)["request"]
    return request, plan_route(made(request))


@lru_cache(maxsize=1)
def rich_plan() -> tuple[Document, Document]:
    """Return a plan in which every kind of input stands, as the service froze it."""
    frozen = frozen_revision(create_app(), rich_request(), ship=SHIP, hazards=GAT)
    inputs = {k: v for k, v in frozen["inputs"].items() if k != "ship_id"}
    return {**inputs, "ship": frozen["loaded"]["ship"]["ship"]}, frozen["result"]


@lru_cache(maxsize=4)
def long_plan(turn_count: int) -> tuple[Document, Document]:
    """Return a plan with so many turns, with the demonstration's ship and dangers."""
    request = {k: v for k, v in demonstration_plan()[0].items() if k != "demonstration"}
    waypoints, lat_deg, lon_deg = [], 47.5, -30.0
    for index in range(turn_count + 2):
        place = {"lat_deg": round(lat_deg, 6), "lon_deg": round(lon_deg, 6)}
        waypoints.append({"id": f"WP{index + 1:02d}", "name": f"Buoy {index + 1}", **place})
        course = math.radians(60 + (40 if index % 2 else -25) + (index % 7) * 5)
        lat_deg += 3 / 60 * math.cos(course)
        lon_deg += 3 / 60 * math.sin(course) / math.cos(math.radians(lat_deg))
    request["route"] = {"name": "Long passage", "waypoints": waypoints}
    return request, plan_route(made(request))


def printing(request: Document, result: Document) -> Printing:
    """Return what a plan is printed with."""
    return printing_of(made, request, result, PRINTED_UTC)


def matter(request: Document, result: Document, stamp: Stamp) -> Matter:
    """Return a plan as it is printed."""
    return Matter(
        inputs=request,
        result=result,
        stamp=stamp,
        said=remarks(request, result, stamp),
        printing=printing(request, result),
    )
